"""The few forms in which the machine knows all limits of a line.

Tasks are positions, stations are counted from 1. A set of stations is one whole number
with bit k for station k; a negative one goes on for ever: -2 is all stations. Every form
says in the engineer's words where it came from, says no to a station, and writes itself
into a model of a constraint solver.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any, ClassVar

from stationflow.balancing.limits.entered import EnteredLimits

ALL_STATIONS = -2


class Form(StrEnum):
    """A form of a limit; a method says which of them it keeps."""

    STATIONS = "stations"
    GROUPS = "groups"
    PAIRS = "pairs"


ALL_FORMS = frozenset(Form)


def station_set(numbers: Iterable[int]) -> int:
    """Return a set of stations.

    >>> bin(station_set([1, 3]))
    '0b1010'
    """
    return sum(1 << number for number in set(numbers))


def from_station(number: int) -> int:
    """Return the set of a station and all after it."""
    return -1 << max(number, 1)


def up_to_station(number: int) -> int:
    """Return the set of a station and all before it."""
    return (2 << number) - 2


def earliest(stations: int) -> int:
    """Return the first station of a set that is not empty."""
    return (stations & -stations).bit_length() - 1


def latest(stations: int) -> int | None:
    """Return the last station of a set that is not empty; None: it goes on for ever."""
    return stations.bit_length() - 1 if stations >= 0 else None


def mirrored(stations: int, count: int) -> int:
    """Return a set as seen from the other end of a line of `count` stations.

    >>> bin(mirrored(station_set([1, 3]), 4))
    '0b10100'
    """
    return station_set(count + 1 - k for k in range(1, count + 1) if stations >> k & 1)


@dataclass(frozen=True, slots=True)
class StationSet:
    """A task that can be at these stations only."""

    form: ClassVar[Form] = Form.STATIONS
    task: int
    stations: int
    said: str

    @property
    def concerned(self) -> tuple[int, ...]:
        """The tasks it can refuse."""
        return (self.task,)

    def refuses(self, task: int, station: int, station_of: Mapping[int, int]) -> bool:
        """Return whether a task may not join a station, others being where they are."""
        return task == self.task and not self.stations >> station & 1

    def write(self, model: Any, is_there: Sequence[Mapping[int, Any]]) -> None:
        """Write it into a CP-SAT model; `is_there` has a variable by task and station."""
        for station, variable in is_there[self.task].items():
            if not self.stations >> station & 1:
                model.add(variable == 0)


@dataclass(frozen=True, slots=True)
class Group:
    """Tasks at one station."""

    form: ClassVar[Form] = Form.GROUPS
    tasks: tuple[int, ...]
    said: str

    @property
    def concerned(self) -> tuple[int, ...]:
        """The tasks it can refuse."""
        return self.tasks

    def refuses(self, task: int, station: int, station_of: Mapping[int, int]) -> bool:
        """Return whether a task may not join a station, others being where they are."""
        return task in self.tasks and any(
            station_of.get(other, station) != station for other in self.tasks if other != task
        )

    def write(self, model: Any, is_there: Sequence[Mapping[int, Any]]) -> None:
        """Write it into a CP-SAT model; `is_there` has a variable by task and station."""
        first = is_there[self.tasks[0]]
        for other in (is_there[task] for task in self.tasks[1:]):
            for station in first.keys() | other.keys():
                model.add(first.get(station, 0) - other.get(station, 0) == 0)


@dataclass(frozen=True, slots=True)
class Pairs:
    """Tasks of which none may share a station with any of the others."""

    form: ClassVar[Form] = Form.PAIRS
    tasks: tuple[int, ...]
    others: tuple[int, ...]
    said: str

    @property
    def concerned(self) -> tuple[int, ...]:
        """The tasks it can refuse."""
        return self.tasks + self.others

    def refuses(self, task: int, station: int, station_of: Mapping[int, int]) -> bool:
        """Return whether a task may not join a station, others being where they are."""
        foes = (self.others if task in self.tasks else ()) + (
            self.tasks if task in self.others else ()
        )
        return any(station_of.get(foe) == station for foe in foes)

    def write(self, model: Any, is_there: Sequence[Mapping[int, Any]]) -> None:
        """Write it into a CP-SAT model; `is_there` has a variable by task and station."""
        for one in (is_there[task] for task in self.tasks):
            for other in (is_there[task] for task in self.others):
                for station in one.keys() & other.keys():
                    model.add_at_most_one([one[station], other[station]])


AnyForm = StationSet | Group | Pairs


@dataclass(frozen=True, slots=True, kw_only=True)
class Forms:
    """All limits of a line in the machine's forms."""

    stations: tuple[StationSet, ...] = ()
    groups: tuple[Group, ...] = ()
    pairs: tuple[Pairs, ...] = ()

    def __bool__(self) -> bool:
        """Return whether there is any limit."""
        return bool(self.stations or self.groups or self.pairs)

    def __iter__(self) -> Iterator[AnyForm]:
        """Go through all of them."""
        yield from self.stations
        yield from self.groups
        yield from self.pairs

    def only(self, kept: frozenset[Form]) -> "Forms":
        """Return those of some forms."""
        return forms_in(form for form in self if form.form in kept)

    def mirrored(self, count: int) -> "Forms":
        """Return them as seen from the other end of a line of `count` stations."""
        seen = (replace(s, stations=mirrored(s.stations, count)) for s in self.stations)
        return replace(self, stations=tuple(seen))

    @property
    def last_named(self) -> int:
        """The last station that any of them names; from the next on all are alike."""
        return max((s.stations.bit_length() for s in self.stations), default=1) - 1


NO_FORMS = Forms()


def forms_in(found: Iterable[AnyForm]) -> Forms:
    """Return forms sorted by what they are."""
    forms = tuple(found)
    return Forms(
        stations=tuple(f for f in forms if isinstance(f, StationSet)),
        groups=tuple(f for f in forms if isinstance(f, Group)),
        pairs=tuple(f for f in forms if isinstance(f, Pairs)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One kind of limit."""

    # task_fields, station_fields: the fields of `TaskLimits` and of `StationSetting` that it reads
    task_fields: tuple[str, ...]
    station_fields: tuple[str, ...] = ()
    forms: Callable[[EnteredLimits], Iterator[AnyForm]]  # makes the forms of what is entered

    def kept_by(self, entered: EnteredLimits, kept: frozenset[Form]) -> bool:
        """Return whether a method that keeps these forms keeps all that is entered of it."""
        return all(form.form in kept for form in self.forms(entered))


def forms_of(entered: EnteredLimits, limits: Iterable[Limit]) -> Forms:
    """Return all that is entered in the machine's forms."""
    return forms_in(form for limit in limits for form in limit.forms(entered))


def refusal(forms: Forms, task: int, station: int, station_of: Mapping[int, int]) -> str | None:
    """Return why a task may not join a station, others being where they are; None: it may."""
    return next((f.said for f in forms if f.refuses(task, station, station_of)), None)
