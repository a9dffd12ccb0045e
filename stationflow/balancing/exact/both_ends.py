"""A line seen from both its ends, and between which stations each task can be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from stationflow.balancing.arrows import closure
from stationflow.balancing.exact.search_line import (
    SearchLine,
    bit_rows,
    line_arrays,
    search_line,
)

if TYPE_CHECKING:
    import numpy.typing as npt

    from stationflow.balancing.exact.arrays import LineArrays
    from stationflow.balancing.exact.weights import Weights
    from stationflow.balancing.problem import BalanceProblem


@dataclass(frozen=True, slots=True, kw_only=True)
class BothEnds:
    """A line ready to be searched from either end, whatever the limit."""

    # forwards, backwards: the line from its start and from its end
    forwards: SearchLine
    backwards: SearchLine
    times: npt.NDArray[np.int64]  # task times by position of the problem
    # later, sooner: for each position the tasks after and before it, however far, as rows of bits
    later: npt.NDArray[np.uint64]
    sooner: npt.NDArray[np.uint64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """A line at a limit, with weights."""

    # forwards, backwards: arrays for the search from either end
    forwards: LineArrays
    backwards: LineArrays
    # first station, from 1, that each task can be at, by position of the problem
    earliest: npt.NDArray[np.int64]
    # stations from that of each task to the end of the line, its own included
    tails: npt.NDArray[np.int64]

    @property
    def bound(self) -> int:
        """Fewest stations for which each task has a station left."""
        return int((self.earliest + self.tails - 1).max())

    def latest(self, stations: int) -> npt.NDArray[np.int64]:
        """Return the last station each task can be at, on a line of so many stations."""
        return stations + 1 - self.tails


def both_ends(problem: BalanceProblem) -> BothEnds:
    """Return a problem as seen from both ends. Its limit plays no part."""
    later, sooner = closure(problem.successors), closure(problem.predecessors)
    return BothEnds(
        forwards=search_line(problem, later),
        backwards=search_line(problem.reversed(), sooner),
        times=np.array(problem.times, dtype=np.int64),
        later=bit_rows(later),
        sooner=bit_rows(sooner),
    )


@lru_cache(maxsize=4)
def kept_ends(problem: BalanceProblem) -> BothEnds:
    """Return a line as seen from both ends, kept for further questions about it."""
    return both_ends(problem)


def with_last_time(ends: BothEnds, time: int) -> BothEnds:
    """Return the same with another time of the last position, which comes after all others.

    Nothing but times depends on it: each positional weight from the start holds its time, and
    it can take no other task's place.
    """
    change = time - int(ends.times[-1])
    times = ends.times.copy()
    times[-1] = time
    forwards, backwards = ends.forwards, ends.backwards
    alone = backwards.order == times.size - 1
    return replace(
        ends,
        times=times,
        forwards=replace(
            forwards, times=times[forwards.order], positional=forwards.positional + change
        ),
        backwards=replace(
            backwards,
            times=times[backwards.order],
            positional=backwards.positional + np.where(alone, change, 0),
        ),
    )


def made_ready(
    ends: BothEnds,
    limit: int,
    weights: Sequence[Weights],
    late: Sequence[Weights] = (),
    early: Sequence[Weights] = (),
) -> Ready:
    """Return a line at a limit, not below its longest task, with weights, the times first.

    `late` ones weigh late tasks, for the search from the start, and `early` ones early tasks.
    """
    forwards = line_arrays(ends.forwards, limit, [*weights, *late])
    backwards = line_arrays(ends.backwards, limit, [*weights, *early])
    earliest = np.empty(ends.times.size, np.int64)
    earliest[ends.backwards.order] = backwards.tails
    tails = np.empty(ends.times.size, np.int64)
    tails[ends.forwards.order] = forwards.tails
    return Ready(forwards=forwards, backwards=backwards, earliest=earliest, tails=tails)
