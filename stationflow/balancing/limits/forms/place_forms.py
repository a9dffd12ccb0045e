"""Forms about the stations of tasks: where they can be, together, never together."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import ClassVar, Self

from stationflow.balancing.limits.forms.base_form import BaseForm, Form, Placed, SolverModel
from stationflow.balancing.limits.forms.station_sets import mirrored


def each_once(tasks: Sequence[int], at: Sequence[int]) -> tuple[int, ...]:
    """Return tasks as what each is now, each once."""
    return tuple(dict.fromkeys(at[task] for task in tasks))


@dataclass(frozen=True, slots=True)
class StationSet(BaseForm):
    """A task that can be at these stations only."""

    form: ClassVar[Form] = Form.STATIONS
    task: int
    stations: int
    said: str

    @property
    def concerned(self) -> tuple[int, ...]:
        """The tasks it can refuse."""
        return (self.task,)

    def refuses(self, task: int, station: int, placed: Placed) -> bool:
        """Return whether it is a station for this task."""
        return task == self.task and not self.stations >> station & 1

    def write(self, into: SolverModel) -> None:
        """Forbid the other stations."""
        for station, variable in into.is_there[self.task].items():
            if not self.stations >> station & 1:
                into.model.add(variable == 0)

    def mirrored(self, count: int) -> Self:
        """Count the stations from the other end."""
        return replace(self, stations=mirrored(self.stations, count))

    def grouped(self, at: Sequence[int]) -> Self:
        """Name the task anew."""
        return replace(self, task=at[self.task])

    @property
    def last_named(self) -> int:
        """The last station that differs from the next."""
        return self.stations.bit_length() - 1


@dataclass(frozen=True, slots=True)
class Group(BaseForm):
    """Tasks at one station."""

    form: ClassVar[Form] = Form.GROUPS
    tasks: tuple[int, ...]
    said: str

    @property
    def concerned(self) -> tuple[int, ...]:
        """The tasks it can refuse."""
        return self.tasks

    def refuses(self, task: int, station: int, placed: Placed) -> bool:
        """Return whether another of the group is elsewhere."""
        where = placed.station_of
        return task in self.tasks and any(
            where.get(other, station) != station for other in self.tasks if other != task
        )

    def write(self, into: SolverModel) -> None:
        """Let the variables of all be the same at each station."""
        first = into.is_there[self.tasks[0]]
        for other in (into.is_there[task] for task in self.tasks[1:]):
            for station in first.keys() | other.keys():
                into.model.add(first.get(station, 0) - other.get(station, 0) == 0)

    def grouped(self, at: Sequence[int]) -> Self:
        """Name the tasks anew."""
        return replace(self, tasks=each_once(self.tasks, at))


@dataclass(frozen=True, slots=True)
class Pairs(BaseForm):
    """Tasks of which none may share a station with any of the others."""

    form: ClassVar[Form] = Form.PAIRS
    tasks: tuple[int, ...]
    others: tuple[int, ...]
    said: str

    @property
    def concerned(self) -> tuple[int, ...]:
        """The tasks it can refuse."""
        return self.tasks + self.others

    def refuses(self, task: int, station: int, placed: Placed) -> bool:
        """Return whether one that the task never shares a station with is there."""
        foes = (self.others if task in self.tasks else ()) + (
            self.tasks if task in self.others else ()
        )
        return any(placed.station_of.get(foe) == station for foe in foes)

    def write(self, into: SolverModel) -> None:
        """Let at most one of each pair be at a station."""
        for one in (into.is_there[task] for task in self.tasks):
            for other in (into.is_there[task] for task in self.others):
                for station in one.keys() & other.keys():
                    into.model.add_at_most_one([one[station], other[station]])

    def grouped(self, at: Sequence[int]) -> Self:
        """Name the tasks anew."""
        return replace(self, tasks=each_once(self.tasks, at), others=each_once(self.others, at))
