"""The upheaval of a plan as something a constraint solver makes least.

A new station is at most one of the old ones and the other way round, and whichever are the same
follow each other in the same order: an order-preserving matching. For each new station k and
each old one j, a variable says that the last station up to k which is an old one is j or
earlier. It falls along the line; where it falls at j, station k is j.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from stationflow.balancing.limits.forms import SolverModel
from stationflow.balancing.rebalance.upheaval import Stations, Turnover, held

IsThere = Sequence[Mapping[int, Any]]
"""A variable by position and station, from 1."""


@dataclass(frozen=True, slots=True)
class LeastUpheaval:
    """Asks a model for the plan of least upheaval, from a first plan if there is one."""

    turnover: Turnover
    first: Stations = ()

    def __call__(self, into: SolverModel) -> None:
        """Write it."""
        model, is_there = into.model, into.is_there
        stations = max((k for row in is_there for k in row), default=0)
        same = self._matching(model, stations)
        weights, old = self.turnover.weights, self.turnover.old
        terms: list[Any] = []
        stays = self._stays(model, is_there, same)
        if weights.moves:
            there = sum(at is not None for at in old.station_of)
            terms.append(weights.moves * (there - sum(v for _, _, v in stays)))
        if weights.tools:
            terms += self._carried(model, is_there, same, self.turnover.having.tools, both=True)
        if weights.skills:
            terms += self._carried(model, is_there, same, self.turnover.having.skills, both=False)
        if weights.cards:
            terms.append(weights.cards * self._cards(model, is_there, same, stays))
        model.minimize(sum(terms))
        self._hint(model, is_there, same, stays)

    def _matching(self, model: Any, stations: int) -> dict[tuple[int, int], Any]:
        """Return a variable for each new station (from 1) and old one (from 0): the same place."""
        few = len(self.turnover.old.numbers)
        same = {(k, j): model.new_bool_var("") for k in range(1, stations + 1) for j in range(few)}
        before: list[Any] = [1] * (few + 1)  # by j: the last old one so far is before j
        for k in range(1, stations + 1):
            now = [*(model.new_bool_var("") for _ in range(few)), 1]
            for j in range(few):
                model.add(now[j] <= now[j + 1])
                model.add(now[j] <= before[j])
                model.add(same[k, j] <= before[j] - now[j])
            model.add_at_most_one(same[k, j] for j in range(few))
            before = now
        return same

    def _stays(
        self, model: Any, is_there: IsThere, same: Mapping[tuple[int, int], Any]
    ) -> list[tuple[int, int, Any]]:
        """Return a variable for each task of the old plan and station: it stays at its place."""
        stays = []
        for task, at in enumerate(self.turnover.old.station_of):
            if at is None:
                continue
            for k, variable in is_there[task].items():
                stay = model.new_bool_var("")
                model.add_implication(stay, variable)
                model.add_implication(stay, same[k, at])
                stays.append((task, k, stay))
        return stays

    def _carried(
        self,
        model: Any,
        is_there: IsThere,
        same: Mapping[tuple[int, int], Any],
        each: Sequence[frozenset[str]],
        *,
        both: bool,
    ) -> Iterable[Any]:
        """Yield what stations get that they did not have, and with `both` what they lose too."""
        old, stations = self.turnover.old, max(k for k, _ in same)
        weight = self.turnover.weights.tools if both else self.turnover.weights.skills
        had = [held(each, tasks) for tasks in old.held]
        if both:
            yield weight * sum(map(len, had))
        for name in sorted(frozenset[str]().union(*each)):
            tasks = [task for task, names in enumerate(each) if name in names]
            for k in range(1, stations + 1):
                using = [is_there[task][k] for task in tasks if k in is_there[task]]
                if not using:
                    continue
                has = model.new_bool_var("")
                model.add_max_equality(has, using)
                having = [same[k, j] for j, names in enumerate(had) if name in names]
                kept = model.new_bool_var("")  # it was there before
                model.add_implication(kept, has)
                model.add(kept <= sum(having))
                yield weight * has - (2 if both else 1) * weight * kept

    def _cards(
        self,
        model: Any,
        is_there: IsThere,
        same: Mapping[tuple[int, int], Any],
        stays: Iterable[tuple[int, int, Any]],
    ) -> Any:
        """Return how many stations have another list of tasks, or are new."""
        old = self.turnover.old
        staying = {(task, k): variable for task, k, variable in stays}
        total: list[Any] = []
        for k in range(1, max(k for k, _ in same) + 1):
            here = {task: row[k] for task, row in enumerate(is_there) if k in row}
            used = model.new_bool_var("")
            for variable in here.values():
                model.add_implication(variable, used)
            total.append(used)
            for j, tasks in enumerate(old.held):
                if not tasks or old.gone[j] or any(task not in here for task in tasks):
                    continue
                alike = model.new_bool_var("")
                for task, variable in here.items():
                    if task in tasks:
                        model.add_implication(alike, staying[task, k])
                    else:
                        model.add_implication(alike, variable.negated())
                total.append(-alike)
        return sum(total)

    def _hint(
        self,
        model: Any,
        is_there: IsThere,
        same: Mapping[tuple[int, int], Any],
        stays: Iterable[tuple[int, int, Any]],
    ) -> None:
        """Tell the solver of the first plan."""
        if not self.first:
            return
        was = dict(enumerate(self.turnover.was(self.first), 1))
        at = {task: k for k, tasks in enumerate(self.first, 1) for task in tasks}
        old = self.turnover.old.station_of
        hint: Callable[[Any, bool], None] = model.add_hint
        for task, row in enumerate(is_there):
            for k, variable in row.items():
                hint(variable, at[task] == k)
        for (k, j), variable in same.items():
            hint(variable, was.get(k) == j)
        for task, k, variable in stays:
            hint(variable, at[task] == k and was.get(k) == old[task])
