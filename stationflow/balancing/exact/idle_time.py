"""A long line improved by carrying its idle time along: stretch by stretch, station to station.

A stretch of stations may do its tasks in any other way that keeps its own arrows. It is
balanced anew so that its last station has as much idle time as can be, and the next stretch
begins with that station. Idle time that was scattered over the line comes together on the
way; where it is a whole station, the line needs one fewer.

Idle time is asked for as one more task that comes after all others of the stretch: whether
they fit into as many stations as before is a small question for the search itself.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from stationflow.balancing.arrows import turned
from stationflow.balancing.exact.both_ends import both_ends, with_last_time
from stationflow.balancing.exact.hunt import Hunt, Means
from stationflow.balancing.methods.method import loads, turned_round
from stationflow.balancing.problem import BalanceProblem
from stationflow.model import Stopped

if TYPE_CHECKING:
    from collections.abc import Callable

    from stationflow.balancing.methods.method import Stations, Watch

LONG = 150
"""From so many tasks on idle time is carried along the line as well."""
LENGTHS = (10, 15, 22, 32)
"""Numbers of stations of a stretch; a walk keeps to one."""
QUESTIONS = 5
"""Idle times asked for in one stretch: the most that there is, then halving."""
STEPS = 4
"""How long each is searched for, in steps of a hunt."""
MEMORY_BYTES = 256 << 20
PATIENCE, LAST_PATIENCE = 25, 4
"""Walks in vain until the search of the whole line has its turn: where two stations or more
may be saved, and where one is left, which is mostly for the search to decide."""
SEARCH_STEPS = 4
"""Steps of the search of the whole line until walks have their turn again. Where one station
is left it has twice as many each time."""


class Turns:
    """Whose turn it is: the search of the whole line or, on a long one, a walk along its plan."""

    def __init__(self, hunt: Hunt) -> None:
        self.hunt = hunt
        self.walks = 0
        self._plan = hunt.best or hunt.filled
        self._walk: Walk | None = None
        self._chance = np.random.default_rng(hunt.means.seed)
        self._means = replace(
            hunt.means, memory_bytes=min(MEMORY_BYTES, hunt.means.memory_bytes), cores=1
        )
        self._in_vain = 0
        self._steps_each = self._steps_left = SEARCH_STEPS

    @property
    def is_walking(self) -> bool:
        """Whether it is the turn of a walk."""
        hunt = self.hunt
        if hunt.problem.size < LONG or hunt.is_closed or not hunt.filled:
            return False
        return self._in_vain < (LAST_PATIENCE if self._is_last else PATIENCE)

    def stopped(self, watch: Watch, most_nodes: int | None, nodes: int = 0) -> Stopped | None:
        """Return why the search cannot go on, or None; `nodes` were looked at before."""
        if reason := watch.stopped:
            return reason
        if most_nodes is not None and nodes + self.hunt.nodes_seen >= most_nodes:
            return Stopped.NODES
        return Stopped.MEMORY if self.hunt.is_full and not self.is_walking else None

    def step(self, is_over: Callable[[], bool]) -> None:
        """Go on for a moment."""
        if self.is_walking:
            self._walk_on(is_over)
            return
        self.hunt.step(is_over)
        self._steps_left -= 1
        if not self._steps_left:
            self._in_vain = 0
            self._steps_each *= 2 if self._is_last else 1
            self._steps_left = self._steps_each

    @property
    def _is_last(self) -> bool:
        return len(self._plan) - self.hunt.lower < 2

    def _walk_on(self, is_over: Callable[[], bool]) -> None:
        """Balance one stretch anew, of the walk that is under way or of a new one."""
        hunt = self.hunt
        if hunt.best and len(hunt.best) < len(self._plan):
            self._plan, self._walk = hunt.best, None  # found by the search of the whole line
        if self._walk is None:
            self._walk = self._new_walk()
        walk = self._walk
        walk.step(self._means, is_over)
        hunt.count(walk.nodes, walk.peak_bytes)
        if walk.count < len(self._plan):
            self._plan = walk.plan
            self._in_vain, self._steps_each = -1, SEARCH_STEPS  # this walk is not in vain
            hunt.improved(self._plan)
        if walk.is_over:
            self._plan, self._walk = walk.plan, None
            self._in_vain += 1

    def _new_walk(self) -> Walk:
        """Return a walk from one end of the line, by turns, in stretches of any length."""
        self.walks += 1
        length = int(self._chance.choice(LENGTHS))
        first = max(0, int(self._chance.integers(-length, length)))  # half begin at the very end
        hunt = self.hunt
        is_turned = self.walks % 2 == 0
        return Walk(hunt.problem, hunt.limit, self._plan, length, first, is_turned=is_turned)


@dataclass(slots=True)
class Walk:
    """One walk along a plan from station `at` on, balancing stretches of `length` anew."""

    problem: BalanceProblem
    limit: int
    stations: Stations
    length: int  # of a stretch, in stations
    at: int
    is_turned: bool = field(kw_only=True)  # whether it goes from the end of the line to its start
    is_over: bool = False
    # partial plans looked at in the last step, and the most memory they used at a time
    nodes: int = 0
    peak_bytes: int = 0

    def __post_init__(self) -> None:
        """See the line from the end at which the walk begins."""
        self.at = min(self.at, len(self.stations) - 1)
        if self.is_turned:
            self.problem, self.stations = self.problem.reversed(), turned_round(self.stations)

    @property
    def count(self) -> int:
        """Number of stations now."""
        return len(self.stations)

    @property
    def plan(self) -> Stations:
        """The plan as it is now."""
        return turned_round(self.stations) if self.is_turned else self.stations

    def step(self, means: Means, is_over: Callable[[], bool]) -> None:
        """Balance the next stretch anew."""
        self.nodes = self.peak_bytes = 0
        first, last = self.at, min(self.at + self.length, self.count)
        stretch = self._with_idle_time(self.stations[first:last], means, is_over)
        self.stations = self.stations[:first] + stretch + self.stations[last:]
        self.at = first + len(stretch) - 1
        self.is_over = self.at >= self.count - 1

    def _with_idle_time(
        self, stretch: Stations, means: Means, is_over: Callable[[], bool]
    ) -> Stations:
        """Return a stretch with as much idle time in its last station as was found."""
        loaded = loads(self.problem, stretch)
        least = self.limit - loaded[-1]
        most = asked = min(self.limit, len(stretch) * self.limit - sum(loaded))
        if most <= least:
            return stretch  # all its idle time is there already
        tasks = [task for station in stretch for task in station]
        part = with_last_task(self.problem, tasks)
        ends = both_ends(part)
        for _ in range(QUESTIONS):
            if asked <= least or is_over():
                break
            hunt = Hunt(part, self.limit, 1, len(stretch) + 1, means, with_last_time(ends, asked))
            self._search(hunt, is_over)
            anew = (tuple(tasks[t] for t in station if t < len(tasks)) for station in hunt.best)
            found = tuple(station for station in anew if station)
            if len(found) == len(stretch):
                stretch, least = found, asked
            elif found:
                return found  # all of its last station was idle time
            else:
                most = asked - 1
            asked = (least + most + 1) // 2
        return stretch

    def _search(self, hunt: Hunt, is_over: Callable[[], bool]) -> None:
        """Search for a moment for a plan of a stretch with idle time in its last station."""
        hunt.start(is_over)
        for _ in range(STEPS):
            if hunt.best or hunt.is_closed or hunt.is_full or is_over():
                break
            hunt.step(is_over)
        self.nodes += hunt.nodes_seen
        self.peak_bytes = max(self.peak_bytes, hunt.peak_bytes)


def with_last_task(problem: BalanceProblem, tasks: list[int]) -> BalanceProblem:
    """Return some tasks of a line as a line of its own, with a task without time after them."""
    place = {task: at for at, task in enumerate(tasks)}
    predecessors = [
        tuple(place[before] for before in problem.predecessors[task] if before in place)
        for task in tasks
    ]
    followed = {before for row in predecessors for before in row}
    predecessors.append(tuple(at for at in range(len(tasks)) if at not in followed))
    return BalanceProblem(
        times=(*(problem.times[task] for task in tasks), 0),
        predecessors=tuple(predecessors),
        successors=turned(tuple(predecessors)),
        limit=problem.limit,
    )
