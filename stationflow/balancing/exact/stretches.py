"""A long line improved stretch by stretch: a stretch of its stations is balanced anew by itself.

Whatever a stretch of stations does, it may do in any other order that keeps its own arrows.
If it can be done in a station less, so can the line.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from stationflow.balancing.arrows import turned
from stationflow.balancing.exact.hunt import Hunt, Means
from stationflow.balancing.problem import BalanceProblem

if TYPE_CHECKING:
    from collections.abc import Callable

    from stationflow.balancing.methods.method import Stations

STEPS = 14
"""How long a stretch is searched, in steps of a hunt."""
LENGTHS = (15, 25, 40, 60)
"""Numbers of stations of a stretch."""
MEMORY_BYTES = 256 << 20
FIRST_PATIENCE, PATIENCE = 150, 50
"""Stretches tried in vain until the search of the whole line has its turn, at first and later."""
SEARCH_STEPS = 6
"""Steps of the search of the whole line until stretches have their turn again."""


class Stretches:
    """Whose turn it is on a long line: stretches, or the search of the whole line.

    Parameters
    ----------
    hunt
        The search of the whole line, which has a plan.
    """

    def __init__(self, hunt: Hunt) -> None:
        self._hunt = hunt
        self._chance = np.random.default_rng(hunt.means.seed)
        self._means = replace(
            hunt.means, memory_bytes=min(MEMORY_BYTES, hunt.means.memory_bytes), cores=1
        )
        self._patience = FIRST_PATIENCE
        self._steps = 0

    @property
    def has_patience(self) -> bool:
        """Whether it is the turn of stretches."""
        return self._patience > 0

    def step(self, is_over: Callable[[], bool]) -> None:
        """Go on for a moment."""
        hunt = self._hunt
        if (hunt.upper - hunt.lower < 2 or self._patience <= 0) and not hunt.is_full:
            hunt.step(is_over)
            self._steps += 1
            if self._steps % SEARCH_STEPS == 0:
                self._patience = PATIENCE
            return
        count = min(int(self._chance.choice(LENGTHS)), hunt.upper)
        first = int(self._chance.integers(0, hunt.upper - count + 1))
        better = stretch_shortened(
            hunt.problem, hunt.limit, hunt.best, first, count, self._means, is_over
        )
        if better is None:
            self._patience -= 1
        else:
            hunt.improved(better)


def stretch_shortened(
    problem: BalanceProblem,
    limit: int,
    stations: Stations,
    first: int,
    count: int,
    means: Means,
    is_over: Callable[[], bool],
) -> Stations | None:
    """Return the plan with a stretch done in fewer stations, or None.

    Parameters
    ----------
    problem, limit
        The line and the limit of a station.
    stations
        A plan of the line.
    first, count
        Index of the first station of the stretch, and its number of stations.
    means
        What the search may use.
    is_over
        Asked between steps; True gives up.
    """
    stretch = stations[first : first + count]
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
    if not hunt.best:
        return None
    shorter = tuple(tuple(tasks[at] for at in station) for station in hunt.best)
    return stations[:first] + shorter + stations[first + count :]
