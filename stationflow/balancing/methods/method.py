"""What all methods have in common: options in, an answer out, a watch to stop them."""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from importlib import metadata
from time import monotonic
from typing import ClassVar, Protocol

from stationflow.balancing.limits.contraction import Contraction, as_it_is
from stationflow.balancing.limits.forms import ALL_FORMS, Form
from stationflow.balancing.problem import BalanceProblem
from stationflow.balancing.progress import Progress
from stationflow.model import Direction, Stopped

Stations = tuple[tuple[int, ...], ...]
"""The positions at each station, in the order they are done."""


@dataclass(slots=True)
class Watch:
    """Passes progress on, and says when a method has to stop."""

    progress: Progress = field(default_factory=Progress)  # who wants to know
    unit: float = 1.0  # whole units of the problem in one time unit of the work
    deadline: float | None = None  # monotonic time at which to stop; None: no limit

    def better(self, stations: int, limit: int) -> None:
        """Pass on a better plan and the limit it keeps, in whole units."""
        self.progress.on_better(stations, limit / self.unit)

    def station_bound(self, bound: int) -> None:
        """Pass on a bound on the number of stations."""
        self.progress.on_bound(float(bound))

    def cycle_bound(self, bound: int) -> None:
        """Pass on a bound on a time, in whole units."""
        self.progress.on_bound(bound / self.unit)

    @property
    def seconds_left(self) -> float | None:
        """Seconds until the deadline, at least 0; None: no limit."""
        return None if self.deadline is None else max(0.0, self.deadline - monotonic())

    def is_over(self) -> bool:
        """Return whether time is up or somebody wants to stop."""
        return self.seconds_left == 0.0 or self.progress.should_stop()

    @property
    def stopped(self) -> Stopped | None:
        """Why a method has to stop; None: it may go on."""
        if not self.is_over():
            return None
        return Stopped.TIME if self.seconds_left == 0.0 else Stopped.REQUEST

    def part(self, share: float) -> "Watch":
        """Return a watch over a share of the time that is left."""
        left = self.seconds_left
        deadline = None if left is None else monotonic() + share * left
        return Watch(self.progress, self.unit, deadline)


@dataclass(frozen=True, slots=True, kw_only=True)
class Options:
    """Options of a method, defaults filled in."""

    direction: Direction = Direction.BOTH
    seconds: float | None = None
    trials: int = 1000
    seed: int = 1
    cores: int = 1
    memory_mb: int = 2048  # bound on the memory of a search, in MiB
    nodes: int | None = None  # most partial plans to be looked at; None: no limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What a method found."""

    stations: Stations = ()  # the assignment; empty: none was found
    # proven on the way: stations, or whole units of time for the shortest cycle
    lower_bound: int = 0
    is_ruled_out: bool = False  # proven: no plan of the stations asked for keeps all limits
    trials: int = 0  # trials done
    direction: Direction | None = None  # the direction of the assignment, for rules
    nodes: int = 0  # partial plans looked at
    memory_mb: float = 0.0  # memory of the search in MiB; 0: not measured
    stopped: Stopped | None = None  # why the search ended before its proof; None: it did not
    engine: str = ""  # what did the work, where it was not our own search
    bounds: tuple[tuple[str, int], ...] = ()  # single bounds the method found on its way, by name


class Solver(Protocol):
    """A method, ready to be asked. Limits, loads and cycle times are in whole units."""

    takes_groups: ClassVar[bool]
    """Whether it can be given a line with its groups as they are: the order inside is open then."""

    def fewest(
        self, problem: BalanceProblem, limit: int, low: int, watch: Watch, most: int | None = None
    ) -> Answer:
        """Return a plan of few stations at a limit; no plan has fewer than `low`.

        With `most`, any plan of so many stations will do.
        """

    def shortest(
        self, problem: BalanceProblem, most: int, low: int, high: int | None, watch: Watch
    ) -> Answer:
        """Return a plan of at most `most` stations whose largest load is small.

        No plan has a cycle below `low`; only cycles up to `high` are wanted (None: any).
        """


class Prepare(Protocol):
    """Makes a method ready."""

    def __call__(self, announce: Callable[[], None], *, limited: bool = True) -> None:
        """Make it ready, for lines with limits too or not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodInfo:
    """A method by name."""

    name: str  # as it is asked for: "largest-candidate"
    title: str  # as people say it
    # the options it uses, of "direction", "seconds", "trials", "seed", "cores", "memory_mb",
    # "nodes"
    uses: frozenset[str]
    source: str  # where it was published
    make: Callable[[Options], Solver]  # makes the method with its options
    # asked before the method is made ready: where its plan is proven best, that is the answer
    first: Solver | None = None
    seconds: float | None = None  # default time limit; None: none
    # makes the method ready before its time begins; calls back if that takes a while
    prepare: Prepare | None = None
    # the forms of limits it keeps. Groups every method keeps: it sees each as one task.
    keeps: frozenset[Form] = ALL_FORMS


def seen_by(solver: Solver, line: Contraction) -> Contraction:
    """Return a line as a method sees it: with groups as single tasks, if it has to."""
    if line.whole.forms.lags and solver.takes_groups:
        return as_it_is(line.whole)  # the order inside a group is open too
    return line


def loads(problem: BalanceProblem, stations: Stations) -> list[int]:
    """Return the load of each station in whole units."""
    if problem.forms.times or problem.forms.turns:
        return [problem.work_at(at, station) for at, station in enumerate(stations, 1)]
    return [sum(problem.times[position] for position in station) for station in stations]


def turned_round(stations: Stations) -> Stations:
    """Return a plan as seen from the other end of its line."""
    return tuple(station[::-1] for station in stations[::-1])


@cache
def engine_name() -> str:
    """Return what does the work, with its version."""
    try:
        return f"stationflow {metadata.version('stationflow')}"
    except metadata.PackageNotFoundError:
        return "stationflow"  # run from a folder that was never installed
