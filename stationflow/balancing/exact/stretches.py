"""A long line improved stretch by stretch: a stretch of its stations is balanced anew by itself.

Whatever a stretch of stations does, it may do in any other order that keeps its own arrows.
If it can be done in a station less, so can the line.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from stationflow.balancing.arrows import turned
from stationflow.balancing.exact.hunt import Hunt, Means
from stationflow.balancing.problem import BalanceProblem

if TYPE_CHECKING:
    from collections.abc import Callable

    from stationflow.balancing.methods.method import Stations

LONG = 150
"""From so many tasks on a line is improved stretch by stretch as well."""
STEPS = 14
"""How long a stretch is searched, in steps of a hunt."""
LENGTHS = (15, 25, 40, 60)
"""Numbers of stations of a stretch."""
MEMORY_BYTES = 256 << 20
FIRST_PATIENCE, PATIENCE = 150, 50
"""Stretches tried in vain until the search of the whole line has its turn, at first and later."""
SEARCH_STEPS = 6
"""Steps of the search of the whole line until stretches have their turn again."""


class Turns:
    """Whose turn it is: the search of the whole line or, on a long one, stretches of its plan.

    Parameters
    ----------
    hunt
        The search of the whole line, begun.

    Attributes
    ----------
    hunt
        The same.
    """

    def __init__(self, hunt: Hunt) -> None:
        self.hunt = hunt
        self._plan = hunt.best or hunt.filled
        self._chance = np.random.default_rng(hunt.means.seed)
        self._means = replace(
            hunt.means, memory_bytes=min(MEMORY_BYTES, hunt.means.memory_bytes), cores=1
        )
        self._patience = FIRST_PATIENCE
        self._steps = 0

    @property
    def is_stuck(self) -> bool:
        """Whether the memory bound leaves nothing to go on with."""
        return self.hunt.is_full and not self._can_improve

    @property
    def has_stretch(self) -> bool:
        """Whether it is the turn of a stretch."""
        return self._can_improve and (self._patience > 0 or self.hunt.is_full)

    def step(self, is_over: Callable[[], bool]) -> None:
        """Go on for a moment."""
        if self.has_stretch:
            self._try_stretch(is_over)
            return
        self.hunt.step(is_over)
        self._steps += 1
        if self._steps % SEARCH_STEPS == 0:
            self._patience = PATIENCE

    @property
    def _can_improve(self) -> bool:
        """Whether the line is long and its plan may have two stations too many."""
        hunt = self.hunt
        if hunt.best:
            self._plan = hunt.best
        if hunt.is_closed or hunt.problem.size < LONG:
            return False
        return len(self._plan) - hunt.lower > 1

    def _try_stretch(self, is_over: Callable[[], bool]) -> None:
        """Balance a stretch anew, of any length and anywhere."""
        hunt, plan = self.hunt, self._plan
        count = min(int(self._chance.choice(LENGTHS)), len(plan))
        first = int(self._chance.integers(0, len(plan) - count + 1))
        tried = stretch_tried(
            hunt.problem, hunt.limit, plan[first : first + count], self._means, is_over
        )
        hunt.count(tried.nodes, tried.peak_bytes)
        if not tried.stations:
            self._patience -= 1
            return
        self._plan = plan[:first] + tried.stations + plan[first + count :]
        hunt.improved(self._plan)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What came of balancing a stretch anew.

    Attributes
    ----------
    stations
        Its tasks in fewer stations; empty: not found.
    nodes, peak_bytes
        Partial plans looked at, and the most memory they used at a time.
    """

    stations: Stations
    nodes: int
    peak_bytes: int


def stretch_tried(
    problem: BalanceProblem,
    limit: int,
    stretch: Stations,
    means: Means,
    is_over: Callable[[], bool],
) -> Tried:
    """Search for a stretch of a plan in fewer stations, for a moment.

    Parameters
    ----------
    problem, limit
        The line and the limit of a station.
    stretch
        Stations of a plan of the line, one behind the other.
    means
        What the search may use.
    is_over
        Asked between steps; True gives up.
    """
    tasks = [task for station in stretch for task in station]
    place = {task: at for at, task in enumerate(tasks)}
    predecessors = tuple(
        tuple(place[before] for before in problem.predecessors[task] if before in place)
        for task in tasks
    )
    part = BalanceProblem(
        times=tuple(problem.times[task] for task in tasks),
        predecessors=predecessors,
        successors=turned(predecessors),
        limit=limit,
    )
    hunt = Hunt(part, limit, 1, len(stretch), means)
    hunt.start(is_over)
    hunt.pack(is_over)
    for _ in range(STEPS):
        if hunt.best or hunt.is_closed or hunt.is_full or is_over():
            break
        hunt.step(is_over)
    shorter = tuple(tuple(tasks[at] for at in station) for station in hunt.best)
    return Tried(stations=shorter, nodes=hunt.nodes_seen, peak_bytes=hunt.peak_bytes)
