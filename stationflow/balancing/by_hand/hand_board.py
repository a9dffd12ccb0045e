"""Where a task may be put by hand, and why not: known before it is let go.

A task goes to another station with those that must share its station, and with what lies
between them. What is refused is what `verify` would refuse, but for work over the limit: that
may be wanted for a while, and the plan then says it.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from stationflow.balancing.arrows import turned
from stationflow.balancing.by_hand.hand_plan import HandPlan, with_step
from stationflow.balancing.limits.contraction import contracted
from stationflow.balancing.limits.forms import AnyForm
from stationflow.balancing.problem import balance_problem
from stationflow.balancing.work import LineWork
from stationflow.model import HandAct, HandMove, HandStep

Reasons = dict[int, str]
"""For each station that is refused, why."""


@dataclass(frozen=True, slots=True)
class HandRules:
    """What a line asks of every plan, ready to be looked up by position."""

    place_of: Mapping[str, int]
    successors: tuple[tuple[int, ...], ...]
    forms: Mapping[int, tuple[AnyForm, ...]]  # by the task they concern
    company: tuple[tuple[int, ...], ...]  # for each task those that share its station


@lru_cache(maxsize=8)  # asked for each time a task is put down
def hand_rules(work: LineWork) -> HandRules:
    """Return the rules of a line."""
    problem = balance_problem(work)
    forms: dict[int, list[AnyForm]] = defaultdict(list)
    for form in problem.forms:
        for task in set(form.concerned):
            forms[task].append(form)
    company: list[tuple[int, ...]] = [()] * problem.size
    for row in contracted(problem).members:
        for task in row:
            company[task] = row
    return HandRules(
        place_of={number: at for at, number in enumerate(work.numbers)},
        successors=turned(work.predecessors),
        forms={task: tuple(found) for task, found in forms.items()},
        company=tuple(company),
    )


@dataclass(frozen=True, slots=True)
class HandBoard:
    """A plan that is moved by hand, on the work of its line."""

    work: LineWork
    plan: HandPlan

    @property
    def rules(self) -> HandRules:
        """What the line asks of every plan."""
        return hand_rules(self.work)

    @property
    def loads(self) -> tuple[int, ...]:
        """The work of each station in ticks."""
        times = dict(zip(self.work.numbers, self.work.times, strict=True))
        return tuple(sum(times[t] for t in station.tasks) for station in self.plan.stations)

    def company(self, task: str) -> tuple[str, ...]:
        """Return the tasks that go together to another station, in the order they are done."""
        at = self.plan.station_of
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
        at = self.plan.station_of
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
        is_within = not is_new and self.plan.station_of.get(task) == station
        return (task,) if is_within else self.company(task)

    def _order(
        self, moved: tuple[str, ...], station: float
    ) -> str | tuple[tuple[int, str], tuple[int, str]]:
        """Return the first and last place that the order leaves at a station, each with its reason.

        A station between two numbers is a new one. Text: why it leaves none.
        """
        work, rules, at = self.work, self.rules, self.plan.station_of
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
            for other in (work.numbers[p] for p in rules.successors[position]):
                if other in moved or other not in at or at[other] > station:
                    continue
                said = f"Task {task} comes before task {other} (station {at[other]})."
                if at[other] < station:
                    return said
                last = min(last, (names.index(other), said))
        return first[1] if first[0] > last[0] else (first, last)

    def _tasks_at(self, station: float) -> tuple[str, ...]:
        return self.plan.at(int(station)) if station == int(station) else ()

    def _others(
        self, moved: Iterable[str], shift: Mapping[int, int] | None = None
    ) -> dict[int, int]:
        """Return the stations of all other tasks, by position."""
        away, place_of = set(moved), self.rules.place_of
        return {
            place_of[task]: shift[at] if shift else at
            for task, at in self.plan.station_of.items()
            if task not in away
        }

    def _refusal(self, moved: Iterable[str], station: int, others: dict[int, int]) -> str:
        """Return which limit refuses tasks at a station, in the engineer's words; empty: none."""
        station_of = dict(others)
        for task in (self.rules.place_of[number] for number in moved):
            for form in self.rules.forms.get(task, ()):
                if form.refuses(task, station, station_of):
                    return f"{form.said[:1].upper()}{form.said[1:]}."
            station_of[task] = station
        return ""

    def _limits(self, task: str, station: int) -> str:
        moved = self._moved(task, station)
        return self._refusal(moved, station, self._others(moved))

    def _new_limits(self, task: str, station: int) -> str:
        moved = self.company(task)
        for other, said in self._shifting(station, 1):
            if other not in moved:
                return said
        shift = {n: n + (n >= station) for n in range(1, len(self.plan.stations) + 1)}
        return self._refusal(moved, station, self._others(moved, shift))

    def _shifting(self, station: int, by: int) -> Iterator[tuple[str, str]]:
        """Yield the tasks that may not move on with their station when one is put in or taken out.

        What a limit refuses already is no reason against it.
        """
        rules, at = self.rules, self.plan.station_of
        if not rules.forms:
            return
        now = self._others(())
        then = {task: n + by * (n >= station) for task, n in now.items()}
        for task, forms in rules.forms.items():
            number = self.work.numbers[task]
            if number not in at:
                continue
            here, there = now.pop(task), then.pop(task)
            for form in forms:
                if form.refuses(task, there, then) and not form.refuses(task, here, now):
                    yield number, f"Station numbers would change: {form.said}."
                    break
            now[task], then[task] = here, there

    def insert_refused(self, station: int) -> str:
        """Return why no station may be inserted with this number; empty: it may."""
        return next((said for _, said in self._shifting(station, 1)), "")

    def remove_refused(self, station: int) -> str:
        """Return why a station may not be taken out; empty: it may."""
        if self.plan.at(station):
            return f"Station {station} has work; empty it first."
        if len(self.plan.stations) == 1:
            return "A line has at least one station."
        moved = (said for _, said in self._shifting(station + 1, -1))
        return self._locked(station) or next(moved, "")

    # What the browser is told, so that it knows before a task is let go.

    def refused_stations(self) -> dict[str, Reasons]:
        """Return for each task the stations that its limits refuse; those without are left out."""
        stations = range(1, len(self.plan.stations) + 1)
        found: dict[str, Reasons] = {}
        for task in self._limited():
            own = self.plan.station_of.get(task)
            moved = self.company(task)
            others = self._others(moved)
            reasons = {
                n: said for n in stations if n != own and (said := self._refusal(moved, n, others))
            }
            if reasons:
                found[task] = reasons
        return found

    def refused_new_stations(self) -> tuple[Reasons, dict[str, Reasons]]:
        """Return which numbers a new station may not have: for no task, and for single ones."""
        numbers = range(1, len(self.plan.stations) + 2)
        shifting = {n: dict(self._shifting(n, 1)) for n in numbers}
        for_all = {n: next(iter(said.values())) for n, said in shifting.items() if said}
        found: dict[str, Reasons] = {}
        for task in self._limited():
            moved = self.company(task)
            reasons: Reasons = {}
            for n in numbers:
                kept = next((s for other, s in shifting[n].items() if other not in moved), "")
                shift = {at: at + (at >= n) for at in numbers}
                reasons[n] = kept or self._refusal(moved, n, self._others(moved, shift))
            # A task that would itself be moved on takes the reason of all away.
            if any(reasons.values()) or any(reasons[n] != said for n, said in for_all.items()):
                found[task] = reasons
        return for_all, found

    def _limited(self) -> list[str]:
        """Return the tasks that have limits, or go with one that has."""
        forms = self.rules.forms
        return [
            number
            for number, row in zip(self.work.numbers, self.rules.company, strict=True)
            if any(task in forms for task in row)
        ]

    # Steps.

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

    def empty(self, station: int) -> HandStep | str:
        """Return the step that shares the work of a station out to others, or why it cannot be.

        Task by task goes where most room is left, nearest first; none is over the limit where
        that can be helped.
        """
        if said := self._locked(station):
            return said
        board, moves = self, list[HandMove]()
        why = ""
        while tasks := board.plan.at(station):
            options = []
            for task in tasks:
                for to, load in enumerate(board.loads, 1):
                    if to == station:
                        continue
                    order = board._order(board.company(task), to)
                    place = (
                        0
                        if isinstance(order, str)
                        else order[1][0]
                        if to < station
                        else order[0][0]
                    )
                    why = board.refused(task, to, place) or ""
                    if not why:
                        after = load + sum(board._time(each) for each in board.company(task))
                        options.append((after, abs(to - station), task, to, place))
            if not options:
                return (
                    f"Not all of its work has another place. {why or board.held(tasks[0])}".strip()
                )
            *_, task, to, place = min(options)
            step = board.move(task, to, place)
            moves += step.moves
            board = replace(board, plan=with_step(board.plan, step))
        return HandStep(act=HandAct.EMPTY, station=station, moves=tuple(moves))

    def _time(self, task: str) -> int:
        return self.work.times[self.rules.place_of[task]]
