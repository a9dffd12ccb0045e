"""Hot parts around the search: stations filled by value, and stations to the end of the line.

What compiled code is kept on disk for hangs on the text of its own file alone. So nothing here
calls a function of another file.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    import numpy.typing as npt

    from stationflow.balancing.exact.arrays import LineArrays

    Whole = npt.NDArray[np.int64]
    Small = npt.NDArray[np.int32]
    Bits = npt.NDArray[np.uint64]


def stations_to_the_end(
    limit: int,
    times: Whole,
    later: Bits,
    starts: Small,
    followers: Small,
    weights: Whole,
    capacities: Whole,
) -> Small:
    """Return the stations from that of each task to the end of the line, at least.

    Three reasons are combined. What the task and all that wait for it weigh together needs
    so many stations. A task that waits directly and does not fit beside it is at a later
    station. And the tasks that wait are done one after another at best, each with its own
    tail behind it (one machine with tails: Johnson 1988, Management Science 34(2), 240-253);
    a tail that cannot share the station of its task begins with a new station.

    `later` has the tasks after each task as bits; tasks are numbered in the direction of
    the arrows.
    """
    size = times.shape[0]
    needed = np.ones(size, np.int32)
    behind = np.zeros(size, np.int64)  # time at least between the end of a task and of the line
    by_tail = np.empty(size, np.int32)  # tasks by falling time behind them
    weight = np.empty(weights.shape[0], np.int64)
    for count in range(size):
        task = size - 1 - count
        stations = 1
        tail = np.int64(0)
        done = np.int64(0)
        weight[:] = weights[:, task]
        for i in range(count):
            other = by_tail[i]
            if (later[task, other >> 6] >> np.uint64(other & 63)) & np.uint64(1):
                done += times[other]
                tail = max(tail, done + behind[other])
                for kind in range(weight.shape[0]):
                    weight[kind] += weights[kind, other]
        for kind in range(weight.shape[0]):
            stations = max(stations, -(-weight[kind] // capacities[kind]))
        for at in range(starts[task], starts[task + 1]):
            other = followers[at]
            apart = 1 if times[task] + times[other] > limit else 0
            stations = max(stations, needed[other] + apart)
        rest = tail % limit
        if rest > 0 and rest + times[task] > limit:
            tail += limit - rest
        stations = max(stations, -(-(tail + times[task]) // limit))
        needed[task] = stations
        behind[task] = max(tail, (stations - 1) * limit)
        place = count
        while place > 0 and behind[by_tail[place - 1]] < behind[task]:
            by_tail[place] = by_tail[place - 1]
            place -= 1
        by_tail[place] = task
    return needed


def fill_by_value(
    line: LineArrays, values: npt.NDArray[np.float64], most_loads: int, station_of: Small
) -> int:
    """Fill each station with the load of highest value (Hoffmann 1963); return the stations.

    At most `most_loads` loads are tried at a station. `station_of` gets each task's station,
    from 0.
    """
    size = line.times.shape[0]
    waits = line.waits.copy()
    is_done = np.zeros(size, np.bool_)
    free = np.empty(size + 1, np.int32)
    turn = np.empty(size + 2, np.int32)
    free_before = np.empty(size + 2, np.int32)
    chosen = np.empty(size + 2, np.int32)
    best = np.empty(size + 2, np.int32)
    grew = np.empty(size + 2, np.bool_)
    open_count = size
    station = 0
    while open_count > 0:
        free_count = 0
        for task in range(size):
            if not is_done[task] and waits[task] == 0:
                free[free_count] = task
                free_count += 1
        depth = 0
        turn[0] = 0
        grew[0] = False
        left = line.limit
        loads = 0
        value = 0.0
        best_value = -1e300
        best_count = 0
        while True:
            at = turn[depth]
            has_grown = False
            while at < free_count and loads < most_loads:
                task = free[at]
                at += 1
                if line.times[task] <= left:
                    turn[depth] = at
                    grew[depth] = True
                    chosen[depth] = task
                    free_before[depth] = free_count
                    left -= line.times[task]
                    value += values[task]
                    for link in range(line.starts[task], line.starts[task + 1]):
                        after = line.followers[link]
                        waits[after] -= 1
                        if waits[after] == 0:
                            free[free_count] = after
                            free_count += 1
                    depth += 1
                    turn[depth] = at
                    grew[depth] = False
                    has_grown = True
                    break
            if has_grown:
                continue
            if not grew[depth] and depth > 0:
                loads += 1
                if value > best_value + 1e-9:
                    best_value = value
                    best_count = depth
                    for i in range(depth):
                        best[i] = chosen[i]
            if depth == 0:
                break
            depth -= 1
            task = chosen[depth]
            for link in range(line.starts[task], line.starts[task + 1]):
                waits[line.followers[link]] += 1
            free_count = free_before[depth]
            left += line.times[task]
            value -= values[task]
        for i in range(best_count):
            task = best[i]
            station_of[task] = station
            is_done[task] = True
            open_count -= 1
            for link in range(line.starts[task], line.starts[task + 1]):
                waits[line.followers[link]] -= 1
        station += 1
    return station
