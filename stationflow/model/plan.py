"""A balanced line: what was asked, the assignment, its proof, the effort; and the stored plan."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from enum import StrEnum

from stationflow.model.finding import Finding
from stationflow.model.task import Side


class Goal(StrEnum):
    """What a balance is asked for."""

    FEWEST_STATIONS = "fewest-stations"  # at a limit
    SHORTEST_CYCLE = "shortest-cycle"  # for a number of stations
    FEASIBLE = "feasible"  # at most so many stations at a limit: possible or not
    BEST_EFFICIENCY = "best-efficiency"  # smallest stations x cycle time over a range


class Ending(StrEnum):
    """How a balance ended."""

    OPTIMAL = "optimal"  # proven best for the goal and all limits entered
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
    limit
        Limit of a station in the source's unit (seconds for products); None: none was given,
        and without a number of stations the demand sets it.
    stations
        Number of stations (at most so many, with a limit); None: as few as possible.
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
    limit: float | None = None
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
        return Goal.SHORTEST_CYCLE if self.limit is None else Goal.FEASIBLE


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandPace:
    """The pace of a line where demand set the limit, in the time unit; all None: it did not."""

    takt_time: float | None = None
    operating_takt: float | None = None
    station_time: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OperatorWork:
    """The tasks of one operator at a station in order, each with its start.

    A start is in ticks from the moment the station begins its unit.
    """

    tasks: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """One station of an assignment.

    Attributes
    ----------
    number
        From 1, in the direction of flow.
    operators
        What each operator does.
    work_ticks
        Sum of the task times, the mean over the mix.
    model_ticks
        The same for each model; empty: the product has no models.
    place
        What the station is called in the hall; empty: its number.
    side
        The side of the line it stands at; None: the line has none.
    copies
        Parallel stations that share this work, each doing every so many-th unit.
    """

    number: int
    operators: tuple[OperatorWork, ...] = (OperatorWork(),)
    work_ticks: int = 0
    model_ticks: tuple[tuple[str, int], ...] = ()
    place: str = ""
    side: Side | None = None
    copies: int = 1

    @property
    def tasks(self) -> tuple[str, ...]:
        """Task numbers in the order they are begun."""
        begun = [task for operator in self.operators for task in operator.tasks]
        return tuple(number for number, _ in sorted(begun, key=lambda task: task[1]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Assignment:
    """Which task at which station, the stations in line order.

    Times are whole ticks: milliseconds for products, so that nothing is rounded between
    the cell of a task and its card; the smallest unit in the file for published instances.
    """

    stations: tuple[Station, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """How a balance ended and what is proven.

    Attributes
    ----------
    ending
        None: data errors, or nothing was tried.
    lower_bound
        No plan has fewer stations (or, for the shortest cycle, a shorter time). For best
        efficiency: stations x cycle time is at least this.
    bounds
        The single bounds by name ("LB1": 5, ...), for showing why.
    limits_kept
        The kinds of limits entered that the method kept, beside the limit of a station.
    stopped
        Why the search ended before its proof; None: it did not, or the method proves nothing.
    """

    ending: Ending | None = None
    lower_bound: float = 0.0
    bounds: tuple[tuple[str, float], ...] = ()
    limits_kept: tuple[str, ...] = ()
    stopped: Stopped | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """What was done for an answer.

    Attributes
    ----------
    engine
        What did the work: "stationflow 0.1.0", "ortools 9.15".
    direction
        The direction of the plan kept, for rule methods.
    trials
        Trials done by comsoal; else 0.
    nodes
        Partial plans looked at by exact; else 0.
    memory_mb
        Memory of the search in MiB; 0: not measured.
    runtime_s
        From the problem object to the verified answer, monotonic time in seconds.
    """

    engine: str = ""
    direction: Direction | None = None
    trials: int = 0
    nodes: int = 0
    memory_mb: float = 0.0
    runtime_s: float = 0.0


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
    """The answer of a balance for one line. Times are in `time_unit`, but for the assignment.

    Attributes
    ----------
    line
        Name of the line.
    asked
        What was asked, with every option that the method used, so that it can be asked again.
    pace
        The pace that set the limit, where demand did.
    assignment
        None: there is no plan.
    proof, effort
        What is proven, and what was done for it.
    time_unit
        "s" for products, "unit" for published instances.
    ticks
        How many ticks of the assignment one time unit has.
    findings
        Why there is no plan; what to watch.
    """

    line: str
    asked: BalanceSettings
    pace: DemandPace = DemandPace()
    assignment: Assignment | None = None
    proof: Proof = Proof()
    effort: Effort = Effort()
    time_unit: str = "s"
    ticks: int = 1000
    findings: tuple[Finding, ...] = ()

    @property
    def goal(self) -> Goal:
        """What was asked for."""
        return self.asked.goal

    @property
    def method(self) -> str:
        """Name of the method asked for."""
        return self.asked.method

    @property
    def limit(self) -> float | None:
        """The limit of a station: as given, or as demand set it; None: there was none."""
        return self.pace.station_time if self.asked.limit is None else self.asked.limit

    @property
    def ending(self) -> Ending | None:
        """How it ended; None: data errors, or nothing was tried."""
        return self.proof.ending

    @property
    def has_plan(self) -> bool:
        """Whether there is an assignment."""
        return self.assignment is not None

    @property
    def stations(self) -> tuple[Station, ...]:
        """The stations in line order; empty without a plan."""
        return () if self.assignment is None else self.assignment.stations

    @property
    def loads(self) -> tuple[float, ...]:
        """The work of each station."""
        return tuple(self.in_time_unit(station.work_ticks) for station in self.stations)

    @property
    def cycle_time(self) -> float:
        """The load of the slowest station; 0 without a plan."""
        return max(self.loads, default=0.0)

    def in_time_unit(self, ticks: int) -> float:
        """Return a number of ticks in the time unit."""
        return float(Decimal(ticks) / self.ticks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A stored balance of one line.

    Attributes
    ----------
    product
        Product code.
    result
        What was asked and what came out.
    plan_id
        Identifies the plan in the store; 0: not stored.
    name
        What the engineer calls it.
    product_version
        Version number of the product it was made from; 0: made from a file.
    product_checksum
        Checksum of that version.
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

    @property
    def asked(self) -> BalanceSettings:
        """What was asked."""
        return self.result.asked
