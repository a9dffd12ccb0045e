"""Forms about what a station holds: amounts, its load, times, what it gets once for all."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar, Self

from stationflow.balancing.limits.forms.base_form import BaseForm, Form, Placed, SolverModel
from stationflow.balancing.limits.forms.place_forms import each_once

WHOLE_LIMIT = 1_000_000
"""A target load is counted in millionths of the limit of a station."""


@dataclass(frozen=True, slots=True)
class Measure(BaseForm):
    """An amount of each task, of which a station takes no more than so much."""

    form: ClassVar[Form] = Form.MEASURES
    amounts: tuple[int, ...]  # by task
    usual: int | None  # what a station takes; None: any amount
    at: tuple[tuple[int, int], ...]  # stations that take another amount
    said: str

    def room(self, station: int) -> int | None:
        """Return what a station takes; None: any amount."""
        return next((most for number, most in self.at if number == station), self.usual)

    @property
    def concerned(self) -> tuple[int, ...]:
        """The tasks it can refuse."""
        return tuple(task for task, amount in enumerate(self.amounts) if amount)

    def refuses(self, task: int, station: int, placed: Placed) -> bool:
        """Return whether the station would hold more than it takes."""
        most = self.room(station)
        if most is None or not self.amounts[task]:
            return False
        return sum(self.amounts[t] for t in placed.at(station, task)) > most

    def write(self, into: SolverModel) -> None:
        """Bound the sum at each station."""
        for station in into.stations:
            if (most := self.room(station)) is not None:
                held = [
                    amount * row[station]
                    for amount, row in zip(self.amounts, into.is_there, strict=True)
                    if amount and station in row
                ]
                if held:
                    into.model.add(sum(held) <= most)

    def mirrored(self, count: int) -> Self:
        """Count the stations from the other end."""
        return replace(self, at=mirrored_at(self.at, count))

    def grouped(self, at: Sequence[int]) -> Self:
        """Add up the amounts of tasks that became one."""
        return replace(self, amounts=added_up(self.amounts, at))

    @property
    def last_named(self) -> int:
        """The last station that takes another amount."""
        return max((number for number, _ in self.at), default=0)


@dataclass(frozen=True, slots=True)
class Target(BaseForm):
    """Stations that may be loaded up to a share of the limit only, rounded down."""

    form: ClassVar[Form] = Form.TARGETS
    at: tuple[tuple[int, int], ...]  # stations with millionths of the limit
    said: str

    def most(self, station: int, limit: int) -> int:
        """Return how much work a station may have at a limit."""
        return next((limit * s // WHOLE_LIMIT for k, s in self.at if k == station), limit)

    def needed(self, station: int, work: int) -> int:
        """Return the smallest limit at which a station may have so much work.

        A station without any load keeps a share of nothing too; others need a limit without end.
        """
        share = next((share for number, share in self.at if number == station), WHOLE_LIMIT)
        return -(-work * WHOLE_LIMIT // max(share, 1))

    def refuses(self, task: int, station: int, placed: Placed) -> bool:
        """Return whether the station would have more work than that."""
        problem = placed.problem
        if problem.limit is None or all(number != station for number, _ in self.at):
            return False
        return problem.work_at(station, placed.at(station, task)) > self.most(
            station, problem.limit
        )

    def write(self, into: SolverModel) -> None:
        """Bound the work of these stations, which times and turns were added to before."""
        for station, share in self.at:
            if work := into.work.get(station):
                into.model.add(WHOLE_LIMIT * sum(work) <= share * into.limit)

    def mirrored(self, count: int) -> Self:
        """Count the stations from the other end."""
        return replace(self, at=mirrored_at(self.at, count))

    @property
    def last_named(self) -> int:
        """The last station with a share of its own."""
        return max((number for number, _ in self.at), default=0)


@dataclass(frozen=True, slots=True)
class Rate(BaseForm):
    """A time of each task that a station may not have more of than a cycle lasts.

    So many lifts a minute: each lift takes its part of a minute.
    """

    form: ClassVar[Form] = Form.RATES
    amounts: tuple[int, ...]  # by task
    lost: int  # what each cycle has beyond the limit of a station: repositioning
    said: str

    @property
    def concerned(self) -> tuple[int, ...]:
        """The tasks it can refuse."""
        return tuple(task for task, amount in enumerate(self.amounts) if amount)

    def refuses(self, task: int, station: int, placed: Placed) -> bool:
        """Return whether the station would have more than a cycle lasts."""
        limit = placed.problem.limit
        if limit is None or not self.amounts[task]:
            return False
        return sum(self.amounts[t] for t in placed.at(station, task)) > limit + self.lost

    def write(self, into: SolverModel) -> None:
        """Bound the sum at each station."""
        for station in into.stations:
            held = [
                amount * row[station]
                for amount, row in zip(self.amounts, into.is_there, strict=True)
                if amount and station in row
            ]
            if held:
                into.model.add(sum(held) <= into.limit + self.lost)

    def grouped(self, at: Sequence[int]) -> Self:
        """Add up the amounts of tasks that became one."""
        return replace(self, amounts=added_up(self.amounts, at))


@dataclass(frozen=True, slots=True)
class TimeAt(BaseForm):
    """The time of a task at a certain station; elsewhere it is the problem's."""

    form: ClassVar[Form] = Form.TIMES
    task: int
    station: int
    time: int
    said: str

    def write(self, into: SolverModel) -> None:
        """Add the difference to the work of the station."""
        if self.station in into.is_there[self.task]:
            extra = self.time - into.problem.times[self.task]
            there = into.is_there[self.task][self.station]
            into.work.setdefault(self.station, []).append(extra * there)

    def mirrored(self, count: int) -> Self:
        """Count the station from the other end."""
        return replace(self, station=count + 1 - self.station)

    def divided(self, unit: int) -> Self:
        """Divide the time."""
        return replace(self, time=self.time // unit)

    @property
    def last_named(self) -> int:
        """The station, where the line has it."""
        return max(self.station, 0)


@dataclass(frozen=True, slots=True)
class Turns(BaseForm):
    """Tasks of several kinds: every kind after the first costs a station time."""

    form: ClassVar[Form] = Form.TURNS
    kinds: tuple[tuple[int, ...], ...]  # the tasks of each
    time: int
    said: str

    def lost(self, tasks: Collection[int]) -> int:
        """Return the time that a station with these tasks loses."""
        kinds = sum(1 for kind in self.kinds if not set(kind).isdisjoint(tasks))
        return self.time * max(0, kinds - 1)

    def write(self, into: SolverModel) -> None:
        """Add the time lost to the work of each station."""
        for station in into.stations:
            some = [into.some_of(kind, station) for kind in self.kinds]
            if len(there := [kind for kind in some if not isinstance(kind, int)]) > 1:
                turns = into.model.new_int_var(0, len(there) - 1, "")
                into.model.add_max_equality(turns, [0, sum(there) - 1])
                into.work.setdefault(station, []).append(self.time * turns)

    def grouped(self, at: Sequence[int]) -> Self:
        """Name the tasks anew; one that became several kinds is of each."""
        return replace(self, kinds=tuple(each_once(kind, at) for kind in self.kinds))

    def divided(self, unit: int) -> Self:
        """Divide the time."""
        return replace(self, time=self.time // unit)


@dataclass(frozen=True, slots=True)
class SetUp(BaseForm):
    """What a station of any of these tasks gets, once for all of them."""

    form: ClassVar[Form] = Form.SETUPS
    tasks: tuple[int, ...]
    most: int | None  # how many there are; None: any number
    is_shared: bool  # whether one does for two stations next to each other
    cost: int  # of one, in hundredths
    said: str

    @property
    def is_free(self) -> bool:
        """Whether there are as many as anybody wants."""
        return self.most is None

    def needed(self, stations: Collection[int]) -> int:
        """Return how many these stations need.

        >>> SetUp((), None, True, 0, "").needed({1, 2, 3})
        2
        """
        if not self.is_shared:
            return len(set(stations))
        count, served = 0, 0
        for station in sorted(set(stations)):
            if station > served:
                count, served = count + 1, station + 1
        return count

    @property
    def concerned(self) -> tuple[int, ...]:
        """The tasks it can refuse."""
        return () if self.most is None else self.tasks

    def refuses(self, task: int, station: int, placed: Placed) -> bool:
        """Return whether more would be needed than there are."""
        if self.most is None or task not in self.tasks:
            return False
        where = placed.with_task(task, station)
        return self.needed({where[t] for t in self.tasks if t in where}) > self.most

    def write(self, into: SolverModel) -> None:
        """Bound how many the stations with these tasks need."""
        if self.most is None:
            return
        some = {station: into.some_of(self.tasks, station) for station in into.stations}
        if not self.is_shared:
            into.model.add(sum(some.values()) <= self.most)
            return
        stands = {station: into.model.new_bool_var("") for station in some}
        for station, is_needed in some.items():  # it stands here, or before the next
            into.model.add(is_needed <= stands[station] + stands.get(station - 1, 0))
        into.model.add(sum(stands.values()) <= self.most)

    def grouped(self, at: Sequence[int]) -> Self:
        """Name the tasks anew."""
        return replace(self, tasks=each_once(self.tasks, at))


def added_up(amounts: Sequence[int], at: Sequence[int]) -> tuple[int, ...]:
    """Return amounts of tasks of which some became one: `at` says which each is now."""
    sums = [0] * (max(at) + 1)
    for task, amount in enumerate(amounts):
        sums[at[task]] += amount
    return tuple(sums)


def mirrored_at(at: Sequence[tuple[int, int]], count: int) -> tuple[tuple[int, int], ...]:
    """Return numbers by station with the stations counted from the other end."""
    return tuple((count + 1 - number, what) for number, what in at if number <= count)
