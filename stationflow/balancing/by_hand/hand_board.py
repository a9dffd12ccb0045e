"""Where a task may be put by hand, and why not: known before it is let go.

A task goes to another station with those that must share its station, and with what lies
between them. What is refused is what `verify` would refuse, but for work over the limit: that
may be wanted for a while, and the plan then says it.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from stationflow.balancing.by_hand.hand_plan import HandPlan, with_step
from stationflow.balancing.limits.contraction import contracted
from stationflow.balancing.limits.forms import AnyForm, Form, Placed
from stationflow.balancing.limits.forms.base_form import LimitedProblem
from stationflow.balancing.problem import BalanceProblem, balance_problem
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork
from stationflow.model import HandAct, HandMove, HandStep
from stationflow.model.schema.cells import capital
from stationflow.units import exact

BY_NUMBER = {Form.DISTANCES, Form.LAGS, Form.SETUPS}
"""Forms that name no station, and yet ask what lies between stations."""

OVERRUN = frozenset({"station-over-limit", "target-load-exceeded"})
"""The findings about work that may be too much for a while."""

Stepped = HandStep | str
"""A step, or why it cannot be done."""

Reasons = dict[int, str]
"""For each station that is refused, why."""


@dataclass(frozen=True, slots=True)
class HandRules:
    """What a line asks of every plan, ready to be looked up by position."""

    problem: BalanceProblem
    place_of: Mapping[str, int]
    forms: Mapping[int, tuple[AnyForm, ...]]  # by the task they concern
    company: tuple[tuple[int, ...], ...]  # for each task those that share its station


@lru_cache(maxsize=8)  # asked for each time a task is put down
def hand_rules(work: LineWork, limit: float | None) -> HandRules:
    """Return the rules of a line at a limit of its stations, in its time unit."""
    problem = balance_problem(work, limit)
    forms: dict[int, list[AnyForm]] = defaultdict(list)
    for form in problem.forms:
        for task in set(form.concerned):
            forms[task].append(form)
    company: list[tuple[int, ...]] = [()] * problem.size
    for row in contracted(problem).members:
        for task in row:
            company[task] = row
    return HandRules(
        problem=problem,
        place_of={number: at for at, number in enumerate(work.numbers)},
        forms={task: tuple(found) for task, found in forms.items()},
        company=tuple(company),
    )


@dataclass(frozen=True, slots=True)
class _Placed(Placed):
    """Where tasks are, looked up by station too: it is asked for every task and station."""

    tasks_at: Mapping[int, Sequence[int]]

    def at(self, station: int, task: int) -> list[int]:
        """Return a task and the others at a station."""
        return [t for t in self.tasks_at.get(station, ()) if t != task] + [task]


@dataclass(frozen=True, slots=True)
class HandBoard:
    """A plan that is moved by hand, on the work of its line; `hand_board` makes one."""

    work: LineWork
    plan: HandPlan
    limit: float | None  # of a station, in the time unit of the work
    rules: HandRules
    station_of: Mapping[str, int]  # of each task that is at one

    def after(self, step: HandStep) -> "HandBoard":
        """Return the board after a step."""
        plan = with_step(self.plan, step)
        return replace(self, plan=plan, station_of=plan.station_of)

    @property
    def loads(self) -> tuple[int, ...]:
        """The work of each station in ticks, with what limits add to it."""
        return tuple(self._load(station.number, station.tasks) for station in self.plan.stations)

    @property
    def rooms(self) -> tuple[int | None, ...]:
        """How much work each station may have, in ticks: the limit, or its own target load."""
        problem, limit = self.rules.problem, self.limit
        if limit is None:
            return (None,) * len(self.plan.stations)
        most = exact(limit) * self.work.ticks
        return tuple(
            min((int(most), *(t.most(s.number, int(most)) for t in problem.forms.targets)))
            for s in self.plan.stations
        )

    def _load(self, station: int, tasks: Iterable[str]) -> int:
        problem = self.rules.problem
        there = [self.rules.place_of[task] for task in tasks]
        return problem.work_at(station, there) * problem.scale

    def company(self, task: str) -> tuple[str, ...]:
        """Return the tasks that go together to another station, in the order they are done."""
        at = self.station_of
        numbers = [self.work.numbers[p] for p in self.rules.company[self.rules.place_of[task]]]
        last = len(self.plan.stations) + 1

        def where(number: str) -> tuple[int, int]:
            station = at.get(number, last)
            return station, self.plan.at(station).index(number) if number in at else 0

        return tuple(sorted(numbers, key=where))

    # What may be done.

    def refused(self, task: str, station: int, place: int, *, is_new: bool = False) -> str:
        """Return why a task may not go to a place at a station; empty: it may.

        `place` counts the tasks that stay there, from 0; `is_new`: at a new station that is
        inserted with this number.
        """
        if said := self.held(task) or ("" if is_new else self._locked(station)):
            return said
        moved = self._moved(task, station, is_new=is_new)
        order = self._order(moved, station - 0.5 if is_new else station)
        if isinstance(order, str):
            return order
        first, last = order
        if not is_new and not first[0] <= place <= last[0]:
            return first[1] if place < first[0] else last[1]
        limits = self._new_limits(task, station) if is_new else self._limits(task, station)
        return limits or ""

    def held(self, task: str) -> str:
        """Return why a task may not be taken from where it is; empty: it may."""
        at = self.station_of
        for each in self.company(task):
            if each in self.plan.pinned and each in at:
                return f"Task {each} is pinned."
            if each in at and (said := self._locked(at[each])):
                return said
        return ""

    def _locked(self, station: int) -> str:
        return f"Station {station} is locked." if station in self.plan.locked else ""

    def _moved(self, task: str, station: int, *, is_new: bool = False) -> tuple[str, ...]:
        """Return what goes: within a station the task alone."""
        is_within = not is_new and self.station_of.get(task) == station
        return (task,) if is_within else self.company(task)

    def _order(
        self, moved: tuple[str, ...], station: float
    ) -> str | tuple[tuple[int, str], tuple[int, str]]:
        """Return the first and last place that the order leaves at a station, each with its reason.

        A station between two numbers is a new one. Text: why it leaves none.
        """
        work, rules, at = self.work, self.rules, self.station_of
        names = [task for task in self._tasks_at(station) if task not in moved]
        first, last = (0, ""), (len(names), "")
        for task in moved:
            position = rules.place_of[task]
            for other in (work.numbers[p] for p in work.predecessors[position]):
                if other in moved or other not in at or at[other] < station:
                    continue
                said = f"Task {other} (station {at[other]}) comes before task {task}."
                if at[other] > station:
                    return said
                first = max(first, (names.index(other) + 1, said))
            for other in (work.numbers[p] for p in rules.problem.successors[position]):
                if other in moved or other not in at or at[other] > station:
                    continue
                said = f"Task {task} comes before task {other} (station {at[other]})."
                if at[other] < station:
                    return said
                last = min(last, (names.index(other), said))
        return first[1] if first[0] > last[0] else (first, last)

    def _tasks_at(self, station: float) -> tuple[str, ...]:
        return self.plan.at(int(station)) if station == int(station) else ()

    def _others(self, moved: Iterable[str], shift: Mapping[int, int] | None = None) -> _Placed:
        """Return where all other tasks are, by position; `shift`: stations that change number."""
        away, place_of = set(moved), self.rules.place_of
        station_of = {
            place_of[task]: shift[at] if shift else at
            for task, at in self.station_of.items()
            if task not in away
        }
        return _placed(self.rules.problem, station_of)

    def _refusal(self, moved: Iterable[str], station: int, others: _Placed) -> str:
        """Return which limit refuses tasks at a station, in the engineer's words; empty: none."""
        placed = others
        for task in (self.rules.place_of[number] for number in moved):
            for form in self.rules.forms.get(task, ()):
                if form.refuses(task, station, placed):
                    return f"{capital(form.said)}."
            if len(self.rules.company[task]) > 1:
                placed = _placed(placed.problem, {**placed.station_of, task: station})
        return ""

    def _limits(self, task: str, station: int) -> str:
        moved = self._moved(task, station)
        return self._refusal(moved, station, self._others(moved))

    def _new_limits(self, task: str, station: int) -> str:
        moved = self.company(task)
        if said := next(self._shifting(station, 1, moved), ""):
            return said
        shift = {n: n + (n >= station) for n in range(1, len(self.plan.stations) + 1)}
        return self._refusal(moved, station, self._others(moved, shift))

    def _shifting(self, station: int, by: int, moved: Sequence[str] = ()) -> Iterator[str]:
        """Yield why tasks may not move on with their station when one is put in or taken out.

        What a limit refuses already is no reason against it, nor are tasks that are `moved`.
        """
        rules = self.rules
        if not rules.forms:
            return
        here = self._others(moved)
        then = {task: n + by * (n >= station) for task, n in here.station_of.items()}
        there = _placed(rules.problem, then)
        for task, forms in rules.forms.items():
            if task not in then:
                continue
            was, now = here.station_of[task], then[task]
            for form in forms:
                if not (form.last_named or form.form in BY_NUMBER):
                    continue
                if form.refuses(task, now, there) and not form.refuses(task, was, here):
                    yield f"Station numbers would change: {form.said}."
                    break

    def insert_refused(self, station: int) -> str:
        """Return why no station may be inserted with this number; empty: it may."""
        return next(self._shifting(station, 1), "")

    def remove_refused(self, station: int) -> str:
        """Return why a station may not be taken out; empty: it may."""
        if self.plan.at(station):
            return f"Station {station} has work; empty it first."
        if len(self.plan.stations) == 1:
            return "A line has at least one station."
        return self._locked(station) or next(self._shifting(station + 1, -1), "")

    # What the browser is told, so that it knows before a task is let go.

    def refused_stations(self) -> dict[str, Reasons]:
        """Return for each task the stations that its limits refuse; those without are left out."""
        stations = range(1, len(self.plan.stations) + 1)
        all_placed = self._others(())
        found: dict[str, Reasons] = {}
        for moved in self._limited():
            # Where a single task is now makes no difference to what refuses it elsewhere.
            others = self._others(moved) if len(moved) > 1 else all_placed
            reasons = {n: said for n in stations if (said := self._refusal(moved, n, others))}
            for task in moved:
                own = self.station_of.get(task)
                if elsewhere := {n: said for n, said in reasons.items() if n != own}:
                    found[task] = elsewhere
        return found

    def refused_new_stations(self) -> tuple[Reasons, dict[str, Reasons]]:
        """Return which numbers a new station may not have: for no task, and for single ones."""
        numbers = range(1, len(self.plan.stations) + 2)
        for_all: Reasons = {}
        found: dict[str, Reasons] = defaultdict(dict)
        limited = self._limited()
        for n in numbers if limited else ():
            if shifting := next(self._shifting(n, 1), ""):
                for_all[n] = shifting
            shift = {at: at + (at >= n) for at in numbers}
            all_placed = self._others((), shift)
            for moved in limited:
                kept = next(self._shifting(n, 1, moved), "") if shifting else ""
                others = self._others(moved, shift) if len(moved) > 1 else all_placed
                said = kept or self._refusal(moved, n, others)
                for task in moved if said or n in for_all else ():
                    found[task][n] = said  # a task that moves itself may take the reason away
        return for_all, dict(found)

    def _limited(self) -> list[tuple[str, ...]]:
        """Return the tasks that have limits, each with those that go with it."""
        forms = self.rules.forms
        rows = dict.fromkeys(self.rules.company)
        return [
            tuple(self.work.numbers[task] for task in row)
            for row in rows
            if any(task in forms for task in row)
        ]

    # Steps.

    def step(self, act: HandAct, task: str, station: int, place: int, *, is_new: bool) -> Stepped:
        """Return the step that is asked for, or why it cannot be done."""
        last = len(self.plan.stations)
        is_named = 1 <= station <= last + (is_new or act == HandAct.INSERT)
        if act != HandAct.PIN and not is_named:
            return f"There is no station {station}."
        if act in (HandAct.MOVE, HandAct.PIN) and task not in self.rules.place_of:
            return f"Task {task} is not on line {self.work.line}."
        if act == HandAct.MOVE:
            said = self.refused(task, station, place, is_new=is_new)
            return said or self._verified(self.move(task, station, place, is_new=is_new))
        if act == HandAct.EMPTY:
            found = self.empty(station)
            return found if isinstance(found, str) else self._verified(found)
        said = ""
        if act == HandAct.INSERT:
            said = self.insert_refused(station)
        elif act == HandAct.REMOVE:
            said = self.remove_refused(station)
        elif act == HandAct.PIN and task not in self.station_of:
            said = f"Task {task} is at no station yet."
        return said or HandStep(act=act, task=task, station=station)

    def _verified(self, step: HandStep) -> Stepped:
        """Return a step, unless `verify` says more against the plan after it than before.

        What hangs on the order inside a station, time between two tasks, is seen here only.
        """
        before, after = (self._wrong(board) for board in (self, self.after(step)))
        return next((said for key, said in after.items() if key not in before), "") or step

    def _wrong(self, board: "HandBoard") -> dict[tuple[str, str], str]:
        stations = [station.tasks for station in board.plan.stations]
        found = verify(self.work, stations, limit=self.limit)
        said = {(f.code, f.where): f"{f.where}: {f.message}" for f in found}
        return {key: words for key, words in said.items() if key[0] not in OVERRUN}

    def move(self, task: str, station: int, place: int, *, is_new: bool = False) -> HandStep:
        """Return the step that brings a task, with its company, to a place."""
        moved = self._moved(task, station, is_new=is_new)
        there = list(() if is_new else self.plan.at(station))
        stay = [other for other in there if other not in moved]
        before = stay[place - 1] if 0 < place <= len(stay) else None
        moves = []
        for each in moved:
            there = [other for other in there if other != each]
            at = 0 if before is None else there.index(before) + 1
            there.insert(at, each)
            moves.append(HandMove(task=each, station=station, place=at))
            before = each
        return HandStep(
            act=HandAct.MOVE, task=task, station=station, is_new=is_new, moves=tuple(moves)
        )

    def empty(self, station: int) -> Stepped:
        """Return the step that shares the work of a station out to others, or why it cannot be.

        Task by task goes where most room is left, nearest first; none is over the limit where
        that can be helped.
        """
        if said := self._locked(station):
            return said
        board, moves = self, list[HandMove]()
        while tasks := board.plan.at(station):
            options = []
            why = board.held(tasks[0])
            for task in tasks:
                for to, load in enumerate(board.loads, 1):
                    place = board._end_towards(task, to, station)
                    if place is None:
                        continue
                    if said := board.refused(task, to, place):
                        why = said
                        continue
                    after = load + sum(board._time(each) for each in board.company(task))
                    options.append((after, abs(to - station), task, to, place))
            if not options:
                return f"Not all of its work has another place. {why}".strip()
            *_, task, to, place = min(options)
            step = board.move(task, to, place)
            moves += step.moves
            board = board.after(step)
        return HandStep(act=HandAct.EMPTY, station=station, moves=tuple(moves))

    def _end_towards(self, task: str, to: int, station: int) -> int | None:
        """Return the place at a station that is nearest to another; None: the order leaves none."""
        order = None if to == station else self._order(self.company(task), to)
        if order is None or isinstance(order, str):
            return None
        first, last = order
        return last[0] if to < station else first[0]

    def _time(self, task: str) -> int:
        return self.work.times[self.rules.place_of[task]]


def hand_board(work: LineWork, plan: HandPlan, limit: float | None) -> HandBoard:
    """Return a plan on the work of its line, at a limit of its stations in the time unit."""
    return HandBoard(work, plan, limit, hand_rules(work, limit), plan.station_of)


def _placed(problem: LimitedProblem, station_of: Mapping[int, int]) -> _Placed:
    tasks_at: dict[int, list[int]] = defaultdict(list)
    for task, station in station_of.items():
        tasks_at[station].append(task)
    return _Placed(problem, station_of, tasks_at)
