"""The hot part of COMSOAL: plain loops over whole numbers, compiled when first used."""

from __future__ import annotations

import inspect
import zlib
from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING

from stationflow.balancing.limits import joining
from stationflow.balancing.limits.joining import SHARES, is_open, may_join

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]

MASK = 0xFFFFFFFF
"""The 32 bits of the random numbers."""

Kernel = Callable[..., tuple[int, int]]


def plain_kernel(rule_mark: int, *, limited: bool) -> Kernel:
    """Return the kernel as plain Python; `limited`: the line has limits.

    `rule_mark` stands for the text of the station rule. The compiler's store on disk looks at this
    file and at the values enclosed in the kernel, not at the functions it calls: with the mark
    enclosed, a changed station rule is compiled anew. `limited` is enclosed too, so that without
    limits nothing of them is left.
    """
    shares = SHARES

    def run_trials(
        times: Whole,
        predecessor_counts: Whole,
        successor_starts: Whole,
        successors: Whole,
        limit: int,
        best: int,
        seeds: Whole,
        station_of: Whole,
        order: Whole,
        allowed: Whole,
        last_station: Whole,
        due: Whole,
        foe_starts: Whole,
        foes: Whole,
    ) -> tuple[int, int]:
        # Fills stations once for each seed, until a trial needs fewer than `best` stations.
        # Returns the seeds used and the stations of the last one (0: none was better);
        # `station_of` and `order` then hold its assignment. Limits: whether a task is allowed
        # at a station (the last column stands for all after it), its last station (0: none),
        # how many tasks have a station as their last, and whom each task does not stand.
        size = len(times)
        missing = predecessor_counts.copy()
        available = order.copy()
        first_available = order.copy()
        foe_came = order.copy()
        due_left = due.copy()
        work_due = due.copy()
        after_named = len(due) - 1
        total = rule_mark * 0
        first_count = 0
        for position in range(size):
            total += times[position]
            if predecessor_counts[position] == 0:
                first_available[first_count] = position
                first_count += 1
        for trial in range(len(seeds)):
            # Xorshift of 32 bits with a counter added (Marsaglia 2003, Journal of
            # Statistical Software 8(14)): small, and the same in any language.
            state = seeds[trial]
            counter = 0
            for position in range(size):
                missing[position] = predecessor_counts[position]
            for i in range(first_count):
                available[i] = first_available[i]
            # The first `open_count` of those available may still fit the station;
            # the rest were drawn and did not.
            count = first_count
            open_count = 0
            work_left = total
            stations = 0
            left = 0
            placed = 0
            until = 0
            next_until = 0
            if limited:
                foe_came[:] = 0
                due_left[:] = due
                work_due[:] = 0
                for position in range(size):
                    work_due[last_station[position]] += times[position]
                # What the stations to come are trusted to fill differs by trial.
                room = limit * shares[trial % len(shares)] // 100
            while placed < size:
                if open_count == 0:
                    if until:  # the others have their turn
                        until, next_until = next_until, 0
                        open_count = count
                        continue
                    if limited and stations and due_left[min(stations, after_named)]:
                        break  # a task at its last station did not fit
                    # Even stations filled to the brim could not beat the best: abandon.
                    needed = max(1, (work_left + limit - 1) // max(1, limit))
                    if stations + needed >= best:
                        break
                    stations += 1
                    left = limit
                    open_count = count
                    if limited:
                        # Tasks whose last station this is go first, then those for which the
                        # stations up to their last would be too few without this one. What
                        # comes before them is never later itself: none waits for others.
                        until = stations if due_left[min(stations, after_named)] else 0
                        work = work_due[min(stations, after_named)]
                        for last in range(stations + 1, after_named):
                            work += work_due[last]
                            if work > (last - stations) * room:
                                next_until = last
                                break
                        if not until:
                            until, next_until = next_until, 0
                state ^= (state << 13) & MASK
                state ^= state >> 17
                state ^= (state << 5) & MASK
                counter = (counter + 362437) & MASK
                choice = (((state + counter) & MASK) * open_count) >> 32
                chosen = available[choice]
                time = times[chosen]
                open_count -= 1
                available[choice] = available[open_count]
                fits = may_join(left, time)
                if limited and fits:
                    at_column = allowed[chosen, min(stations, after_named)]
                    fits = is_open(at_column, foe_came[chosen], stations)
                    fits = fits and (not until or 0 < last_station[chosen] <= until)
                if not fits:
                    # Drawing again among the rest is drawing among those that fit.
                    available[open_count] = chosen
                    continue
                count -= 1
                available[open_count] = available[count]
                order[placed] = chosen
                station_of[chosen] = stations - 1
                left -= time
                work_left -= time
                placed += 1
                if limited:
                    for at in range(foe_starts[chosen], foe_starts[chosen + 1]):
                        foe_came[foes[at]] = stations
                    due_left[last_station[chosen]] -= 1
                    work_due[last_station[chosen]] -= time
                for at in range(successor_starts[chosen], successor_starts[chosen + 1]):
                    after = successors[at]
                    missing[after] -= 1
                    if missing[after] == 0:
                        available[count] = available[open_count]
                        available[open_count] = after
                        open_count += 1
                        count += 1
            if placed == size:
                return trial + 1, stations
        return len(seeds), 0

    return run_trials


def rule_mark() -> int:
    """Return a number that changes with the text of the station rule."""
    return zlib.crc32(inspect.getsource(joining).encode())


@cache
def compiled_kernel(*, limited: bool) -> Kernel:
    """Return the kernel compiled; the first call on a machine takes a second or two."""
    from numba.extending import register_jitable

    from stationflow.balancing.exact.compiled import compiled

    register_jitable(may_join)
    register_jitable(is_open)
    kernel: Kernel = compiled(plain_kernel(rule_mark(), limited=limited))
    return kernel
