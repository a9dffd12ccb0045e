"""Weights of tasks that no station load exceeds: what is left of a line needs so many stations.

Every vector comes from the task times and the limit alone. They are the bin-packing
bounds known as LB1 to LB3 and the dual feasible functions of Fekete and Schepers.

References
----------
.. [1] Fekete, S. P. and Schepers, J. (2001). "New classes of fast lower bounds for bin
   packing problems". Mathematical Programming 91, 11-31.
.. [2] Scholl, A. and Becker, C. (2006). "State-of-the-art exact and heuristic solution
   procedures for simple assembly line balancing". European Journal of Operational
   Research 168(3), 666-693.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    import numpy.typing as npt

ROUNDED = range(2, 12)
"""Divisors of the rounding functions."""


@dataclass(frozen=True, slots=True)
class Weights:
    """One vector of weights."""

    tasks: npt.NDArray[np.int64]  # weight of each task, a whole number
    capacity: int  # the most that the tasks of one station can weigh together

    @property
    def bound(self) -> int:
        """Stations that all tasks need."""
        return -(-int(self.tasks.sum()) // self.capacity)

    @property
    def ratio(self) -> float:
        """Stations that all tasks need, not rounded."""
        return float(self.tasks.sum()) / self.capacity


def time_weights(times: npt.NDArray[np.int64], limit: int) -> list[Weights]:
    """Return the vectors that follow from task times and limit, the times themselves first."""
    halves = (2 * times > limit).astype(np.int64) + (2 * times >= limit)
    thirds = np.select(
        [3 * times > 2 * limit, 3 * times == 2 * limit, 3 * times > limit, 3 * times == limit],
        [6, 4, 3, 2],
        0,
    ).astype(np.int64)
    found = [Weights(times, limit), Weights(halves, 2), Weights(thirds, 6)]
    for k in ROUNDED:
        parts = (k + 1) * times
        rounded = np.where(parts % limit == 0, k * times, parts // limit * limit)
        found.append(Weights(rounded, k * limit))
    for small in sorted({int(time) for time in times if 0 < 2 * time <= limit}):
        kept = np.where(times > limit - small, limit, np.where(times < small, 0, times))
        found.append(Weights(kept.astype(np.int64), limit))
    return found


def strongest(weights: Sequence[Weights], count: int) -> list[Weights]:
    """Return the vectors to search with: the times first, then those that ask for most."""
    first, *others = weights
    others.sort(key=lambda each: -each.ratio)
    kept: list[Weights] = [first]
    for each in others:
        if len(kept) == count:
            break
        if not any(np.array_equal(each.tasks, known.tasks) for known in kept):
            kept.append(each)
    return kept


def most(weights: Iterable[Weights]) -> int:
    """Return the largest bound of several vectors."""
    return max((each.bound for each in weights), default=0)
