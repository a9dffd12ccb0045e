"""COMSOAL in straightforward Python, by the same rules, to measure the compiled one against."""

import random
from collections.abc import Sequence


def plain_comsoal(
    times: Sequence[int],
    predecessors: Sequence[Sequence[int]],
    successors: Sequence[Sequence[int]],
    limit: int,
    trials: int,
    seed: int,
) -> int:
    """Return the fewest stations met in so many trials.

    List A holds the number of unplaced predecessors of each task, list B the tasks
    without any, list C those of B that fit. A trial that can no longer win is
    abandoned when its next station would be opened.
    """
    draw = random.Random(seed)
    size, total = len(times), sum(times)
    best = size + 1
    for _ in range(trials):
        missing = [len(row) for row in predecessors]
        available = [j for j in range(size) if not missing[j]]
        stations, left, work_left, placed = 0, 0, total, 0
        while placed < size:
            fitting = [j for j in available if times[j] <= left] if stations else []
            if not fitting:
                if stations + max(1, -(-work_left // limit)) >= best:
                    break
                stations, left = stations + 1, limit
                continue
            chosen = draw.choice(fitting)
            available.remove(chosen)
            left -= times[chosen]
            work_left -= times[chosen]
            placed += 1
            for after in successors[chosen]:
                missing[after] -= 1
                if not missing[after]:
                    available.append(after)
        if placed == size:
            best = min(best, stations)
    return best
