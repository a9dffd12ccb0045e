"""What all forms have in common, and what they are asked with.

Tasks are positions, stations are counted from 1, all numbers are whole.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, ClassVar, Protocol, Self


class Form(StrEnum):
    """A form of a limit; a method says which of them it keeps."""

    STATIONS = "stations"  # the stations a task can be at
    GROUPS = "groups"  # tasks at one station
    PAIRS = "pairs"  # tasks that never share a station
    MEASURES = "measures"  # an amount of each task, and how much of it a station takes
    TARGETS = "targets"  # the share of the limit that a station may be loaded
    RATES = "rates"  # amounts counted in time, of which a cycle takes no more than it lasts
    TIMES = "times"  # the time of a task at a certain station
    TURNS = "turns"  # time lost where tasks of several kinds share a station
    SETUPS = "setups"  # what a station gets once for all its tasks
    DISTANCES = "distances"  # how many stations lie between two tasks
    LAGS = "lags"  # how much time lies between two tasks


ALL_FORMS = frozenset(Form)


class LimitedProblem(Protocol):
    """What a form asks of the problem that it belongs to."""

    @property
    def times(self) -> tuple[int, ...]:
        """The time of each task."""

    @property
    def predecessors(self) -> tuple[tuple[int, ...], ...]:
        """The tasks before each task."""

    @property
    def limit(self) -> int | None:
        """The limit of a station; None: there is none."""

    @property
    def forms(self) -> Any:
        """All its limits: `Forms`."""

    def work_at(self, station: int, tasks: Sequence[int]) -> int:
        """Return the work of a station with these tasks, all that limits add to it included."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A line of which some tasks have a station."""

    problem: LimitedProblem
    station_of: Mapping[int, int]

    def at(self, station: int, task: int) -> list[int]:
        """Return a task and the others at a station."""
        return [t for t, k in self.station_of.items() if k == station and t != task] + [task]

    def with_task(self, task: int, station: int) -> dict[int, int]:
        """Return where tasks are when one has joined a station."""
        return {**self.station_of, task: station}


@dataclass(frozen=True, slots=True)
class SolverModel:
    """A CP-SAT model while limits write themselves into it."""

    model: Any
    problem: LimitedProblem
    is_there: Sequence[Mapping[int, Any]]  # a yes-or-no variable by task and station
    # the limit of a station: a number, or a variable where the cycle is to be short
    limit: Any
    # from unit to unit, a number or a variable; None: the limit
    pace: Any = None
    # for each station the terms of its work; whoever asks adds sum(terms) <= limit afterwards
    work: dict[int, list[Any]] = field(default_factory=dict)
    # of tasks between which time is counted: whether another is at the same station and before
    # it, by (other, task); no variable: it is not
    is_before: dict[tuple[int, int], Any] = field(default_factory=dict)

    def station(self, task: int) -> Any:
        """Return the number of a task's station."""
        return sum(k * variable for k, variable in self.is_there[task].items())

    @property
    def stations(self) -> list[int]:
        """The numbers of all stations."""
        return sorted({k for row in self.is_there for k in row})

    def some_of(self, tasks: Sequence[int], station: int) -> Any:
        """Return a variable that is yes where any of these tasks is at a station, or 0."""
        there = [self.is_there[t][station] for t in tasks if station in self.is_there[t]]
        if len(there) < 2:
            return there[0] if there else 0
        some = self.model.new_bool_var("")
        self.model.add_max_equality(some, there)
        return some


@dataclass(frozen=True, slots=True)
class BaseForm:
    """A limit in a form: what nothing more is said of holds anywhere."""

    form: ClassVar[Form]

    @property
    def is_free(self) -> bool:
        """Whether it forbids nothing, and only tells a cost."""
        return False

    @property
    def concerned(self) -> tuple[int, ...]:
        """The tasks it can refuse, for more than their work."""
        return ()

    def refuses(self, task: int, station: int, placed: Placed) -> bool:
        """Return whether a task may not join a station, others being where they are."""
        return False

    def write(self, into: SolverModel) -> None:
        """Write it into a CP-SAT model."""

    def mirrored(self, count: int) -> Self:
        """Return it as seen from the other end of a line of `count` stations."""
        return self

    def grouped(self, at: Sequence[int]) -> Self:
        """Return it for tasks of which some became one: `at` says which each is now."""
        return self

    def divided(self, unit: int) -> Self:
        """Return it with times in a larger unit that divides them all."""
        return self

    @property
    def last_named(self) -> int:
        """The last station that it names; 0: none."""
        return 0
