"""Forms about what lies between two tasks: stations, time."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from graphlib import TopologicalSorter
from typing import Any, ClassVar, Self

from stationflow.balancing.limits.forms.base_form import BaseForm, Form, Placed, SolverModel


@dataclass(frozen=True, slots=True)
class _Between(BaseForm):
    """Two tasks, and what may lie between them."""

    before: int
    after: int
    least: int | None  # None: any
    most: int | None  # None: any

    def holds(self, number: int) -> bool:
        """Return whether it may be so much."""
        return (self.least is None or number >= self.least) and (
            self.most is None or number <= self.most
        )

    @property
    def concerned(self) -> tuple[int, ...]:
        """The tasks it can refuse."""
        return (self.before, self.after)

    def mirrored(self, count: int) -> Self:
        """Swap the tasks; idle time, which counts between two times, then lies at the other end."""
        return replace(self, before=self.after, after=self.before)

    def grouped(self, at: Sequence[int]) -> Self:
        """Name the tasks anew."""
        return replace(self, before=at[self.before], after=at[self.after])


@dataclass(frozen=True, slots=True)
class Distance(_Between):
    """How many stations a task is after another, at least and at most; negative: before it."""

    form: ClassVar[Form] = Form.DISTANCES
    said: str

    def refuses(self, task: int, station: int, placed: Placed) -> bool:
        """Return whether the task would be too near to the other, or too far."""
        where = placed.with_task(task, station)
        if task not in (self.before, self.after) or not {self.before, self.after} <= where.keys():
            return False
        return not self.holds(where[self.after] - where[self.before])

    def write(self, into: SolverModel) -> None:
        """Bound the difference of the stations."""
        between = into.station(self.after) - into.station(self.before)
        if self.least is not None:
            into.model.add(between >= self.least)
        if self.most is not None:
            into.model.add(between <= self.most)


@dataclass(frozen=True, slots=True)
class Lag(_Between):
    """How much time passes between the end of a task and the start of another.

    A unit moves on every `lost` after the limit of a station; tasks of a station are done one
    after another as they are listed, turn-overs after all of them.
    """

    form: ClassVar[Form] = Form.LAGS
    lost: int  # what each cycle has beyond the limit of a station: repositioning
    said: str

    def refuses(self, task: int, station: int, placed: Placed) -> bool:
        """Return whether the time cannot be right in whatever order stations do their tasks."""
        where, problem = placed.with_task(task, station), placed.problem
        if task not in (self.before, self.after) or not {self.before, self.after} <= where.keys():
            return False
        if problem.limit is None:
            return False
        apart = where[self.after] - where[self.before]
        theirs = problem.times[self.before] + problem.times[self.after]
        passed = apart * (problem.limit + self.lost)

        def fails(work: int) -> bool:  # with so much work at their stations
            longest, shortest = passed + max(0, work - theirs), passed - work if apart else 0
            return (self.least is not None and longest < self.least) or (
                self.most is not None and shortest > self.most
            )

        if not fails(problem.limit):
            return False
        # Only by hand a station has more work than the limit.
        stations = {where[self.before], where[self.after]}
        work = max(problem.work_at(n, [t for t, at in where.items() if at == n]) for n in stations)
        return fails(max(problem.limit, work))

    def write(self, into: SolverModel) -> None:
        """Bound the time between; `write_order` was called before."""
        if self.before == self.after:  # of a group, which has its tasks in one order
            if not self.holds(0):
                into.model.add_bool_or([])
            return
        pace = into.limit + self.lost if into.pace is None else into.pace
        apart: Any = into.station(self.after) - into.station(self.before)
        if isinstance(pace, int):
            apart = pace * apart
        else:
            moved = into.model.new_int_var(-_FAR, _FAR, "")
            into.model.add_multiplication_equality(moved, [pace, apart])
            apart = moved
        end = _begun(into, self.before) + _lasts(into, self.before)
        between = apart + _begun(into, self.after) - end
        if self.least is not None:
            into.model.add(between >= self.least)
        if self.most is not None:
            into.model.add(between <= self.most)

    def divided(self, unit: int) -> Self:
        """Divide the times."""
        least, most = (t if t is None else t // unit for t in (self.least, self.most))
        return replace(self, least=least, most=most, lost=self.lost // unit)


_FAR = 10**15


def _lasts(into: SolverModel, task: int) -> Any:
    """Return the time of a task where it is."""
    extra = [
        (form.time - into.problem.times[task]) * into.is_there[task][form.station]
        for form in into.problem.forms.times
        if form.task == task and form.station in into.is_there[task]
    ]
    return into.problem.times[task] + sum(extra)


def _begun(into: SolverModel, task: int) -> Any:
    """Return when its station begins a task: after all that it does before."""
    terms: list[Any] = []
    for (other, then), variable in into.is_before.items():
        if then != task:
            continue
        terms.append(into.problem.times[other] * variable)
        for form in into.problem.forms.times:
            if form.task == other and form.station in into.is_there[other]:
                both = into.model.new_bool_var("")
                into.model.add_min_equality(both, [variable, into.is_there[other][form.station]])
                terms.append((form.time - into.problem.times[other]) * both)
    return sum(terms)


def write_order(into: SolverModel, lagged: Sequence[int]) -> None:
    """Let the model decide what is done before some tasks at their stations.

    For such a task and any other there is a variable: at the same station, and before. They
    agree with the arrows and with each other, so that an order of every station follows.
    """
    model, is_there, is_before = into.model, into.is_there, into.is_before
    before = _closed(into.problem.predecessors)
    share: dict[tuple[int, int], Any] = {}
    for task in lagged:
        for other in range(len(is_there)):
            if other == task or is_there[other].keys().isdisjoint(is_there[task]):
                continue
            share[other, task] = same = _at_one_station(into, other, task)
            if other in before[task]:
                is_before[other, task] = same
            elif task not in before[other]:
                is_before[other, task] = model.new_bool_var("")
                model.add_implication(is_before[other, task], same)
    for task in lagged:
        for then in lagged:
            if then > task and (task, then) in share:
                pair = is_before.get((task, then), 0) + is_before.get((then, task), 0)
                model.add(pair == share[task, then])
    for (other, task), first in is_before.items():
        for then in lagged:
            if then not in (other, task) and (task, then) in is_before:
                model.add(is_before.get((other, then), 0) >= first + is_before[task, then] - 1)
        for earlier in into.problem.predecessors[other]:
            if earlier != task and (earlier, task) in share:
                has_come = is_before.get((earlier, task), 0)
                model.add(has_come >= first + share[earlier, task] - 1)


def _at_one_station(into: SolverModel, one: int, other: int) -> Any:
    both = []
    for station in into.is_there[one].keys() & into.is_there[other].keys():
        there = into.model.new_bool_var("")
        pair = [into.is_there[one][station], into.is_there[other][station]]
        into.model.add_min_equality(there, pair)
        both.append(there)
    same = into.model.new_bool_var("")
    into.model.add(sum(both) == same)
    return same


def _closed(predecessors: Sequence[Sequence[int]]) -> list[set[int]]:
    """Return all tasks before each task."""
    sets: list[set[int]] = [set() for _ in predecessors]
    for task in TopologicalSorter(dict(enumerate(predecessors))).static_order():
        for before in predecessors[task]:
            sets[task] |= {before} | sets[before]
    return sets
