"""The hot part of the packing bound: which tasks can share a station, and the heaviest loads."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]
    Small = npt.NDArray[np.int32]
    Bits = npt.NDArray[np.uint64]
    Real = npt.NDArray[np.float64]


def mark_partners(
    times: Whole, later: Bits, sooner: Bits, earliest: Whole, latest: Whole, limit: int, out: Bits
) -> None:
    """Mark in `out` (tasks x words, zeros) the pairs of tasks that can be at one station.

    Two tasks cannot if they are too long together, with all that must be done between them, or if
    one is too late for the last station of the other. `later` and `sooner` are sets of the tasks
    after and before each task, as bits; `earliest` and `latest` its window of stations.
    """
    size, words = later.shape
    one = np.uint64(1)
    for task in range(size):
        for other in range(task + 1, size):
            together = times[task] + times[other]
            if together > limit:
                continue
            if earliest[task] > latest[other] or earliest[other] > latest[task]:
                continue
            first, last = -1, -1
            if (later[task, other >> 6] >> np.uint64(other & 63)) & one:
                first, last = task, other
            elif (later[other, task >> 6] >> np.uint64(task & 63)) & one:
                first, last = other, task
            if first >= 0:
                for word in range(words):
                    between = later[first, word] & sooner[last, word]
                    at = word << 6
                    while between and together <= limit:
                        if between & one:
                            together += times[at]
                        between >>= one
                        at += 1
                if together > limit:
                    continue
            out[task, other >> 6] |= one << np.uint64(other & 63)
            out[other, task >> 6] |= one << np.uint64(task & 63)


def heaviest_loads(
    times: Whole,
    weights: Whole,
    partners: Bits,
    limit: int,
    floor: int,
    most_steps: int,
    starts: Whole,
    members: Small,
) -> tuple[int, int, int]:
    """List for each task the heaviest load, above `floor`, that has it as its first task.

    A load is a set of tasks that can share a station two by two and are not too long together.
    Tasks (times above 0) are in the order of falling weight per time, so that what is left of a
    station bounds what can still be added. Of load i, `members[starts[i]:starts[i + 1]]` are
    filled in. Returned are the number of loads listed, the weight of the heaviest load of all (at
    least `floor`), and the tasks put into loads; more than `most_steps`: given up, the weight
    means nothing.
    """
    size, words = partners.shape
    open_sets = np.empty((size + 1, words), np.uint64)
    turn = np.empty(size + 2, np.int32)
    chosen = np.empty(size + 2, np.int32)
    best = np.empty(size + 2, np.int32)
    one = np.uint64(1)
    shortest = times.copy()  # of the task and all after it
    for task in range(size - 2, -1, -1):
        shortest[task] = min(shortest[task], shortest[task + 1])
    listed = 0
    heaviest = floor
    steps = 0
    for root in range(size):
        best_weight = floor
        best_count = 0
        depth = 1
        chosen[0] = root
        left = limit - times[root]
        weight = weights[root]
        for word in range(words):
            open_sets[1, word] = partners[root, word]
        turn[1] = root + 1
        if weight > best_weight:
            best_weight = weight
            best[0] = root
            best_count = 1
        while depth >= 1:
            task = turn[depth]
            found = False
            while task < size:
                # Falling weight per time: what is left is worth at most this much.
                if (
                    shortest[task] > left
                    or weight + left * weights[task] // times[task] <= best_weight
                ):
                    task = size
                    break
                if (
                    times[task] <= left
                    and (open_sets[depth, task >> 6] >> np.uint64(task & 63)) & one
                ):
                    found = True
                    break
                task += 1
            if found:
                steps += 1
                if steps > most_steps:
                    return listed, heaviest, steps
                turn[depth] = task + 1
                chosen[depth] = task
                left -= times[task]
                weight += weights[task]
                for word in range(words):
                    open_sets[depth + 1, word] = open_sets[depth, word] & partners[task, word]
                depth += 1
                turn[depth] = task + 1
                if weight > best_weight:
                    best_weight = weight
                    best_count = depth
                    for i in range(depth):
                        best[i] = chosen[i]
                continue
            depth -= 1
            if depth >= 1:
                left += times[chosen[depth]]
                weight -= weights[chosen[depth]]
        if best_count > 0 and starts[listed] + best_count <= members.shape[0]:
            for i in range(best_count):
                members[starts[listed] + i] = best[i]
            starts[listed + 1] = starts[listed] + best_count
            listed += 1
            heaviest = max(heaviest, best_weight)
        elif best_count > 0:
            heaviest = max(heaviest, best_weight)
    return listed, heaviest, steps
