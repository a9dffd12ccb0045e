"""The search for plans of a line that keep limits: one question after another.

A question is "at most so many stations at this limit of time?". It is asked from both ends
of the line by turns, the end that makes fewer partial plans more often; what one end finds
or proves ends both.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from stationflow.balancing.exact.hunt import Means
from stationflow.balancing.exact.limited.limited_line import (
    LimitedLine,
    limited_arrays,
    limited_line,
)
from stationflow.balancing.exact.limited.limited_tree import LimitedTree
from stationflow.balancing.exact.tree import nodes_within
from stationflow.balancing.methods.method import turned_round

if TYPE_CHECKING:
    from stationflow.balancing.methods.method import Stations
    from stationflow.balancing.problem import BalanceProblem

FIRST_BUDGET, MOST_BUDGET = 500, 50_000
TRIED_LOADS = (100, 1000, 10_000)
PROVING_AFTER = 12
BATCH = 5


@dataclass(slots=True)
class Seen:
    """A line without groups seen from both ends, for so many stations."""

    problem: BalanceProblem
    stations: int
    forwards: LimitedLine = field(init=False)
    backwards: LimitedLine = field(init=False)

    def __post_init__(self) -> None:
        self.forwards = limited_line(self.problem, self.stations)
        self.backwards = limited_line(self.problem.reversed(self.stations), self.stations)


@dataclass(slots=True)
class Question:
    """Whether so many stations can do the work at a limit."""

    seen: Seen
    limit: int
    means: Means
    plan: Stations = ()  # what was found
    is_closed: bool = False  # whether it is answered: there is a plan, or there is none
    peak_bytes: int = 0
    _trees: list[LimitedTree] = field(init=False)
    _lines: list[LimitedLine] = field(init=False)
    _budget: int = FIRST_BUDGET
    _turns: int = 0

    def __post_init__(self) -> None:
        """Make both ends ready; where windows leave a task no station, that is the answer."""
        self._trees, self._lines = [], [self.seen.forwards, self.seen.backwards]
        size = self.seen.problem.size
        for line in self._lines:
            arrays = limited_arrays(line, self.limit)
            if arrays is None:
                self._trees, self.is_closed = [], True
                return
            room = nodes_within(self.means.memory_bytes // 4, size)
            self._trees.append(LimitedTree(arrays, room))

    @property
    def nodes(self) -> int:
        """Partial plans looked at."""
        return sum(tree.nodes for tree in self._trees)

    @property
    def is_full(self) -> bool:
        """Whether the memory bound leaves nothing to go on with."""
        return bool(self._trees) and all(tree.is_full for tree in self._trees)

    def step(self) -> None:
        """Go on for a moment."""
        is_proving = self._turns >= PROVING_AFTER and self._turns % 3
        loads = TRIED_LOADS[-1 if is_proving else self._turns % len(TRIED_LOADS)]
        for tree in self._turn():
            found = tree.search(self._budget, loads, BATCH)
            if found is not None:
                self.plan = self._in_problem(tree, found)
            if found is not None or tree.is_done:
                self.is_closed = True
                break
        self._turns += 1
        self._budget = min(2 * self._budget, MOST_BUDGET)
        self.peak_bytes = max(self.peak_bytes, sum(tree.memory_bytes for tree in self._trees))

    def _turn(self) -> list[LimitedTree]:
        trees = [tree for tree in self._trees if not tree.is_full]
        if len(trees) < 2 or self._turns < 4:
            return trees
        narrow, wide = sorted(trees, key=lambda tree: tree.branching)
        every = 5 if wide.branching < 3 * narrow.branching else 25
        return trees if self._turns % every == 0 else [narrow]

    def _in_problem(self, tree: LimitedTree, stations: list[list[int]]) -> Stations:
        is_turned = tree is self._trees[1]
        order = self._lines[is_turned].line.order
        found = [tuple(sorted(station)) for station in stations]
        found += [()] * (self.seen.stations - len(found))
        plan = tuple(tuple(int(order[task]) for task in station) for station in found)
        return turned_round(plan) if is_turned else plan
