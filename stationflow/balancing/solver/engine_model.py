"""The model of the engine: stations as numbers, the work inside them as intervals.

It is written apart from the model of the second opinion, which is asked about its answers,
and reads the forms of limits by itself.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from stationflow.balancing.arrows import closure, members
from stationflow.balancing.limits.forms import WHOLE_LIMIT

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stationflow.balancing.limits.forms import Lag, SetUp
    from stationflow.balancing.problem import BalanceProblem


@dataclass(slots=True)
class EngineModel:
    """At most so many stations; the number of the last one, or the limit, is made small.

    Without a limit the work of the fullest station takes its place, target loads included.
    """

    problem: BalanceProblem
    most: int
    limit: Any  # whole units; None: it is to be small
    low: int  # no plan has fewer stations, or a smaller limit
    high: int = 0  # the largest limit that is wanted
    model: Any = field(init=False)
    is_at: list[list[Any]] = field(init=False)  # by task and station, from 1; 0 where it cannot be
    station: list[Any] = field(init=False)
    start: dict[int, Any] = field(init=False, default_factory=dict)  # inside the station, for lags

    def __post_init__(self) -> None:
        """Write it all."""
        from ortools.sat.python import cp_model

        problem, forms = self.problem, self.problem.forms
        self.model = model = cp_model.CpModel()
        stations = range(1, self.most + 1)
        is_short = self.limit is None
        if is_short:
            self.limit = model.new_int_var(self.low, self.high, "")
        longest = self.high if is_short else self.limit
        own = {(form.task, form.station): form.time for form in forms.times}
        allowed = [-2] * problem.size
        for form in forms.stations:
            allowed[form.task] &= form.stations
        self.is_at, self.station = [], []
        for task in range(problem.size):
            row: list[Any] = [0] * (self.most + 1)
            for at in stations:
                if allowed[task] >> at & 1 and own.get((task, at), problem.times[task]) <= longest:
                    row[at] = model.new_bool_var("")
            model.add_exactly_one([each for each in row if not isinstance(each, int)])
            where = model.new_int_var(1, self.most, "")
            model.add(where == sum(at * row[at] for at in stations))
            self.is_at.append(row)
            self.station.append(where)
        if not is_short:
            last = model.new_int_var(min(self.low, self.most), self.most, "")
            for where in self.station:
                model.add(where <= last)
        model.minimize(self.limit if is_short else last)
        for after, arrows in enumerate(problem.predecessors):
            for before in arrows:  # whatever the after-task has by then, the before-task has too
                for at in stations:
                    by_then = sum(self.is_at[after][1 : at + 1])
                    model.add(by_then <= sum(self.is_at[before][1 : at + 1]))
        for group in forms.groups:
            for task in group.tasks[1:]:
                model.add(self.station[task] == self.station[group.tasks[0]])
        for pairs in forms.pairs:
            for one in pairs.tasks:
                for other in pairs.others:
                    for at in stations:
                        model.add(self.is_at[one][at] + self.is_at[other][at] <= 1)
        for between in forms.distances:
            apart = self.station[between.after] - self.station[between.before]
            if between.least is not None:
                model.add(apart >= between.least)
            if between.most is not None:
                model.add(apart <= between.most)
        loads, works = zip(*(self._load(at, own) for at in stations), strict=True)
        rates = [
            sum(a * row[at] for a, row in zip(rate.amounts, self.is_at, strict=True)) - rate.lost
            for rate in forms.rates
            for at in stations
        ]
        for rate in rates:
            model.add(rate <= self.limit)
        if is_short and forms.lags:  # the pace is the cycle time, and no more
            model.add_max_equality(self.limit, [*works, *rates])
        for measure in forms.measures:
            rooms = dict(measure.at)
            for at in stations:
                if (room := rooms.get(at, measure.usual)) is not None:
                    held = (a * row[at] for a, row in zip(measure.amounts, self.is_at, strict=True))
                    model.add(sum(held) <= room)
        for setup in forms.setups:
            self._set_up(setup)
        if forms.lags:
            self._lay_out(loads, own, longest)
            for lag in forms.lags:
                self._keep_lag(lag, own)

    def _load(self, at: int, own: dict[tuple[int, int], int]) -> tuple[Any, Any]:
        """Bound the work of a station; return that of its tasks, and the cycle it needs."""
        problem, model = self.problem, self.model
        tasks = sum(
            own.get((task, at), time) * self.is_at[task][at]
            for task, time in enumerate(problem.times)
        )
        work = tasks
        for form in problem.forms.turns:
            here = [self._any(kind, at) for kind in form.kinds]
            more = model.new_int_var(0, len(here), "")
            model.add(more >= sum(here) - 1)
            work += form.time * more
        shares = [s for form in problem.forms.targets for k, s in form.at if k == at]
        share = min(shares, default=WHOLE_LIMIT)
        model.add(work <= self.limit)
        if share == WHOLE_LIMIT:
            return tasks, work
        model.add(WHOLE_LIMIT * work <= share * self.limit)
        if isinstance(self.limit, int):
            return tasks, work
        needed = model.new_int_var(0, self.high, "")  # the shortest cycle for this load
        model.add(share * needed >= WHOLE_LIMIT * work)
        model.add(share * needed < WHOLE_LIMIT * work + share)
        return tasks, needed

    def _any(self, tasks: tuple[int, ...], at: int) -> Any:
        """Return a variable that is yes where any of these tasks is at a station."""
        there = self.model.new_bool_var("")
        for task in tasks:
            self.model.add(self.is_at[task][at] <= there)
        return there

    def _set_up(self, setup: SetUp) -> None:
        """Count what stations with its tasks need; one may serve a station and the next."""
        if setup.most is None:
            return
        stands: list[Any] = [0]
        for at in range(1, self.most + 1):
            stands.append(self.model.new_bool_var(""))
            serving = stands[at] + (stands[at - 1] if setup.is_shared else 0)
            for task in setup.tasks:
                self.model.add(self.is_at[task][at] <= serving)
        self.model.add(sum(stands) <= setup.most)

    def _lay_out(self, loads: Sequence[Any], own: dict[tuple[int, int], int], longest: int) -> None:
        """Lay the tasks of each station one behind another, without gaps, from its start.

        Nothing overlaps and nothing ends after the work of the station is done: no gap is left.
        """
        problem, model = self.problem, self.model
        rows: list[list[Any]] = [[] for _ in range(self.most + 1)]
        for task in range(problem.size):
            self.start[task] = start = model.new_int_var(0, longest, "")
            for at in range(1, self.most + 1):
                is_here = self.is_at[task][at]
                if not isinstance(is_here, int):
                    time = own.get((task, at), problem.times[task])
                    interval = model.new_optional_fixed_size_interval_var(start, time, is_here, "")
                    rows[at].append(interval)
                    model.add(start + time <= loads[at - 1]).only_enforce_if(is_here)
        for row in rows:
            model.add_no_overlap(row)
        for after, before in enumerate(closure(problem.predecessors)):
            for other in members(before):
                for at in range(1, self.most + 1):
                    both = [self.is_at[after][at], self.is_at[other][at]]
                    if not any(isinstance(each, int) for each in both):
                        time = own.get((other, at), problem.times[other])
                        end = self.start[other] + time
                        model.add(self.start[after] >= end).only_enforce_if(both)

    def _keep_lag(self, lag: Lag, own: dict[tuple[int, int], int]) -> None:
        """Bound the time between two tasks."""
        lasts = sum(
            own.get((lag.before, at), self.problem.times[lag.before]) * self.is_at[lag.before][at]
            for at in range(1, self.most + 1)
        )
        apart: Any = self.station[lag.after] - self.station[lag.before]
        if isinstance(self.limit, int):
            apart = (self.limit + lag.lost) * apart
        else:
            far = self.most * (self.high + lag.lost)
            moved = self.model.new_int_var(-far, far, "")
            self.model.add_multiplication_equality(moved, [self.limit + lag.lost, apart])
            apart = moved
        between = apart + self.start[lag.after] - self.start[lag.before] - lasts
        if lag.least is not None:
            self.model.add(between >= lag.least)
        if lag.most is not None:
            self.model.add(between <= lag.most)

    def plan(self, value: Any) -> tuple[tuple[int, ...], ...]:
        """Return the plan that a solver found; `value`: of a variable."""
        held: dict[int, list[int]] = {}
        before = closure(self.problem.predecessors)
        start = {task: value(variable) for task, variable in self.start.items()}
        # Of tasks without time several may start at once: then in the direction of the arrows.
        for task in sorted(
            range(self.problem.size),
            key=lambda task: (start.get(task, 0), before[task].bit_count()),
        ):
            held.setdefault(value(self.station[task]), []).append(task)
        return tuple(tuple(held.get(at, ())) for at in range(1, max(held, default=0) + 1))
