"""A balanced line: what was asked, what came out, and the stored plan."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from stationflow.model.finding import Finding


class Goal(StrEnum):
    """What a balance is asked for."""

    FEWEST_STATIONS = "fewest-stations"  # for a takt
    SHORTEST_CYCLE = "shortest-cycle"  # for a number of stations
    FEASIBLE = "feasible"  # at most so many stations at a takt: possible or not
    BEST_EFFICIENCY = "best-efficiency"  # smallest stations x cycle time over a range


class Ending(StrEnum):
    """How a balance ended."""

    OPTIMAL = "optimal"  # proven best for the goal
    FOUND = "found"  # valid, best not proven
    IMPOSSIBLE = "impossible"  # proven: what is asked cannot be
    NOTHING_FOUND = "nothing-found"  # stopped before finding a valid one


class Stopped(StrEnum):
    """Why a search ended before its proof."""

    TIME = "time"  # the time limit was reached
    MEMORY = "memory"  # the bound on its memory was reached
    NODES = "nodes"  # so many partial plans as were allowed were looked at
    REQUEST = "request"  # somebody asked it to stop


class Direction(StrEnum):
    """From which end of the line a rule fills the stations."""

    FORWARDS = "forwards"
    BACKWARDS = "backwards"
    BOTH = "both"


@dataclass(frozen=True, slots=True, kw_only=True)
class BalanceSettings:
    """What a balance is asked for. An option left at None takes the method's default.

    Attributes
    ----------
    method
        Name of the method: "ranked-positional-weight", "comsoal", "exact" ...
    takt
        Limit of a station in the source's unit (seconds for products); None: no limit given.
    stations
        Number of stations (at most so many, with a takt); None: as few as possible.
    stations_from
        First number of the range `stations_from` to `stations` for best efficiency.
    direction
        For the rule methods.
    seconds
        Time limit, for comsoal and exact.
    trials, seed
        For comsoal; seed for exact too.
    cores
        Processor cores, for exact.
    memory_mb
        Bound on the memory of the search in MiB, for exact.
    nodes
        Most partial plans to be looked at, for exact; None: no limit. On one core, the same
        seed and the same limit give the same answer.
    """

    method: str = "exact"
    takt: float | None = None
    stations: int | None = None
    stations_from: int | None = None
    direction: Direction | None = None
    seconds: float | None = None
    trials: int | None = None
    seed: int | None = None
    cores: int | None = None
    memory_mb: int | None = None
    nodes: int | None = None

    @property
    def goal(self) -> Goal:
        """The goal these settings state."""
        if self.stations_from is not None:
            return Goal.BEST_EFFICIENCY
        if self.stations is None:
            return Goal.FEWEST_STATIONS
        return Goal.SHORTEST_CYCLE if self.takt is None else Goal.FEASIBLE


@dataclass(frozen=True, slots=True, kw_only=True)
class StationLoad:
    """One station of a balanced line.

    Attributes
    ----------
    number
        From 1, in the direction of flow.
    tasks
        Task numbers in the order they are done.
    work
        Sum of the task times, in the result's unit.
    operators
        Operators working there.
    """

    number: int
    tasks: tuple[str, ...]
    work: float
    operators: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Confirmation:
    """What a second, independent solver says of an answer.

    Attributes
    ----------
    engine
        What did the work: "ortools 9.15".
    agrees
        Whether it came to the same; None: it could not tell in its time.
    said
        The same as a sentence.
    runtime_s
        Monotonic time it took, in seconds.
    """

    engine: str
    agrees: bool | None
    said: str
    runtime_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BalanceResult:
    """The answer of a balance for one line. Times are in `time_unit`.

    Attributes
    ----------
    line
        Name of the line.
    goal, ending
        What was asked and how it ended; ending None: data errors, nothing was tried.
    method, engine
        The method asked for, and what did the work: "stationflow 0.1.0", "ortools 9.15".
    direction
        The direction of the plan kept, for rule methods; else None.
    stations
        The stations; empty without a plan.
    takt
        The limit used; None when the cycle time was the goal.
    takt_time, operating_takt
        From demand; None unless demand set the limit.
    lower_bound
        Proven: no plan has fewer stations (or, for the shortest cycle, a shorter time).
        For best efficiency: stations x cycle time is at least this.
    bounds
        The single bounds by name ("LB1": 5, ...), for showing why.
    time_unit
        "s" for products, "unit" for published instances.
    trials
        Trials done by comsoal; else 0.
    nodes
        Partial plans looked at by exact; else 0.
    memory_mb
        Memory of the search in MiB; 0: not measured.
    stopped
        Why the search ended before its proof; None: it did not, or the method proves nothing.
    runtime_s
        From the problem object to the verified answer, monotonic time in seconds.
    confirmation
        What a second solver says of the answer; None: it was not asked.
    """

    line: str
    goal: Goal
    ending: Ending | None
    method: str
    engine: str = ""
    direction: Direction | None = None
    stations: tuple[StationLoad, ...] = ()
    takt: float | None = None
    takt_time: float | None = None
    operating_takt: float | None = None
    lower_bound: float = 0.0
    bounds: tuple[tuple[str, float], ...] = ()
    time_unit: str = "s"
    seed: int | None = None
    trials: int = 0
    cores: int = 1
    nodes: int = 0
    memory_mb: float = 0.0
    stopped: Stopped | None = None
    runtime_s: float = 0.0
    confirmation: Confirmation | None = None
    findings: tuple[Finding, ...] = ()

    @property
    def has_plan(self) -> bool:
        """Whether there is an assignment."""
        return bool(self.stations)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A stored balance of one line.

    Attributes
    ----------
    plan_id
        Identifies the plan in the store; 0: not stored.
    name
        What the engineer calls it.
    product
        Product code.
    product_version
        Version number of the product it was made from; 0: made from a file.
    product_checksum
        Checksum of that version.
    settings
        What was asked.
    result
        What came out.
    by, at
        Who stored it, and when (UTC).
    inputs
        Checksum of what the balance rests on; empty: it was not kept.
    in_force
        Whether it is the plan in force of its line.
    remark, archived
        What the engineer says of it, and whether it is out of the lists.
    confirmation
        What a second solver says of the answer; None: it was not asked.
    """

    product: str
    settings: BalanceSettings
    result: BalanceResult
    plan_id: int = 0
    name: str = ""
    product_version: int = 0
    product_checksum: str = ""
    by: str = ""
    at: datetime | None = None
    inputs: str = ""
    in_force: bool = False
    remark: str = ""
    archived: bool = False
    confirmation: Confirmation | None = None

    @property
    def line(self) -> str:
        """Name of the line the plan is for."""
        return self.result.line
