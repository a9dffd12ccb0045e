"""The hot part of COMSOAL: plain loops over whole numbers, compiled when first used."""

from __future__ import annotations

import inspect
import zlib
from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING, Any

from stationflow.balancing import station_rule
from stationflow.balancing.station_rule import may_join

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]
    Draws = npt.NDArray[np.float64]

Kernel = Callable[..., tuple[int, int]]


def plain_kernel(rule_mark: int) -> Kernel:
    """Return the kernel as plain Python.

    Parameters
    ----------
    rule_mark
        Stands for the text of the station rule. The compiler's store on disk looks
        at this file and at the values enclosed in the kernel, not at the functions it
        calls: with the mark enclosed, a changed station rule is compiled anew.
    """

    def run_trials(
        times: Whole,
        predecessor_counts: Whole,
        successor_starts: Whole,
        successors: Whole,
        limit: int,
        best: int,
        draws: Draws,
        station_of: Whole,
        order: Whole,
    ) -> tuple[int, int]:
        # Fills stations once for each row of draws, until a row needs fewer than `best`
        # stations. Returns the rows used and the stations of the last one (0: no row was
        # better); `station_of` and `order` then hold its assignment.
        size = len(times)
        missing = predecessor_counts.copy()
        fitting = order.copy()
        waiting = order.copy()
        total = rule_mark * 0
        for position in range(size):
            total += times[position]
        for row in range(len(draws)):
            fitting_count = 0
            waiting_count = 0
            for position in range(size):
                missing[position] = predecessor_counts[position]
                if missing[position] == 0:
                    waiting[waiting_count] = position
                    waiting_count += 1
            work_left = total
            stations = 0
            left = 0
            placed = 0
            while placed < size:
                if fitting_count == 0:
                    # Even stations filled to the brim could not beat the best: abandon.
                    needed = max(1, (work_left + limit - 1) // max(1, limit))
                    if stations + needed >= best:
                        break
                    stations += 1
                    left = limit
                    still_waiting = 0
                    for i in range(waiting_count):
                        position = waiting[i]
                        if may_join(left, times[position]):
                            fitting[fitting_count] = position
                            fitting_count += 1
                        else:
                            waiting[still_waiting] = position
                            still_waiting += 1
                    waiting_count = still_waiting
                choice = int(draws[row, placed] * fitting_count)
                chosen = fitting[choice]
                fitting_count -= 1
                fitting[choice] = fitting[fitting_count]
                order[placed] = chosen
                station_of[chosen] = stations - 1
                left -= times[chosen]
                work_left -= times[chosen]
                placed += 1
                for at in range(successor_starts[chosen], successor_starts[chosen + 1]):
                    after = successors[at]
                    missing[after] -= 1
                    if missing[after] == 0:
                        fitting[fitting_count] = after
                        fitting_count += 1
                still_fitting = 0
                for i in range(fitting_count):
                    position = fitting[i]
                    if may_join(left, times[position]):
                        fitting[still_fitting] = position
                        still_fitting += 1
                    else:
                        waiting[waiting_count] = position
                        waiting_count += 1
                fitting_count = still_fitting
            if placed == size:
                return row + 1, stations
        return len(draws), 0

    return run_trials


def rule_mark() -> int:
    """Return a number that changes with the text of the station rule."""
    return zlib.crc32(inspect.getsource(station_rule).encode())


@cache
def compiled_kernel() -> Kernel:
    """Return the kernel compiled; the first call on a machine takes a second or two."""
    import numba
    from numba.extending import register_jitable

    register_jitable(may_join)
    kernel = plain_kernel(rule_mark())
    compiled: Any
    try:
        compiled = numba.njit(cache=True)(kernel)
    except RuntimeError:  # nowhere to keep the compiled code: compile in every process
        compiled = numba.njit(kernel)
    return compiled  # type: ignore[no-any-return]
