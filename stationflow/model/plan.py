"""A balanced line: what was asked, the assignment, its proof, the effort; and the stored plan."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from enum import StrEnum

from stationflow.model.finding import Finding
from stationflow.model.task import Side
from stationflow.model.way_out import WayOut


class Goal(StrEnum):
    """What a balance is asked for."""

    FEWEST_STATIONS = "fewest-stations"  # at a limit
    SHORTEST_CYCLE = "shortest-cycle"  # for a number of stations
    FEASIBLE = "feasible"  # at most so many stations at a limit: possible or not
    BEST_EFFICIENCY = "best-efficiency"  # smallest stations x cycle time over a range
    FEWEST_MOVES = "fewest-moves"  # from an old plan, once one of the others is reached


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
class Pins:
    """What a balance leaves as it is, while the method shares out the rest."""

    tasks: tuple[tuple[str, int], ...] = ()  # numbers of pinned tasks, each with its station
    stations: tuple[int, ...] = ()  # locked stations: no task joins those pinned there


NO_PINS = Pins()


class FinerGoal(StrEnum):
    """What is best among plans that are equally good for the first goal."""

    SMOOTHEST = "smoothest"  # the least smoothness index
    LEAST_EQUIPMENT = "least-equipment"  # the least cost of equipment


@dataclass(frozen=True, slots=True, kw_only=True)
class Reached:
    """What came of a second goal."""

    goal: FinerGoal
    value: float  # smoothness index in the time unit, or money
    least: float = 0.0  # no plan as good for the goals before has less
    is_proven: bool = False  # whether the plan has no more, of those with as many stations


@dataclass(frozen=True, slots=True, kw_only=True)
class BalanceSettings:
    """What a balance is asked for. An option left at None takes the method's default."""

    method: str = "exact"  # "ranked-positional-weight", "comsoal", "exact" ...
    # limit of a station in the source's unit (seconds for products); None: none was given, and
    # without a number of stations the demand sets it
    limit: float | None = None
    # number of stations (at most so many, with a limit); None: as few as possible
    stations: int | None = None
    # first number of the range `stations_from` to `stations` for best efficiency
    stations_from: int | None = None
    direction: Direction | None = None
    seconds: float | None = None  # time limit, for comsoal and exact
    # trials, seed: for comsoal; seed for exact too
    trials: int | None = None
    seed: int | None = None
    cores: int | None = None  # for exact
    memory_mb: int | None = None  # MiB of the search, for exact
    # most partial plans to be looked at, for exact; None: no limit. On one core, the same seed and
    # the same limit give the same answer.
    nodes: int | None = None
    pins: Pins = NO_PINS  # what stays where it is
    then: tuple[FinerGoal, ...] = ()  # what is asked of the best plans, one after the other

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
    """One station of an assignment."""

    number: int  # from 1, in the direction of flow
    operators: tuple[OperatorWork, ...] = (OperatorWork(),)
    work_ticks: int = 0  # sum of the task times, the mean over the mix
    # the shortest cycle that its target load or its lifting allow; 0: its work decides
    cycle_ticks: int = 0
    # the same for each model; empty: the product has no models
    model_ticks: tuple[tuple[str, int], ...] = ()
    place: str = ""  # what the station is called in the hall; empty: its number
    side: Side | None = None  # the side of the line it stands at; None: the line has none
    copies: int = 1  # parallel stations that share this work, each doing every so many-th unit

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
    """How a balance ended and what is proven."""

    ending: Ending | None = None  # None: data errors, or nothing was tried
    # no plan has fewer stations (or, for the shortest cycle, a shorter time). For best efficiency:
    # stations x cycle time is at least this.
    lower_bound: float = 0.0
    # the single bounds by name ("LB1": 5, ...), for showing why
    bounds: tuple[tuple[str, float], ...] = ()
    # the kinds of limits entered that the method kept, beside the limit of a station
    limits_kept: tuple[str, ...] = ()
    # why the search ended before its proof; None: it did not, or the method proves nothing
    stopped: Stopped | None = None
    reached: tuple[Reached, ...] = ()  # of the second goals, in the order they were asked for


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """What was done for an answer."""

    engine: str = ""  # what did the work: "stationflow 0.1.0", "ortools 9.15"
    direction: Direction | None = None
    trials: int = 0  # done by comsoal
    nodes: int = 0  # partial plans looked at by exact
    memory_mb: float = 0.0  # of the search, in MiB; 0: not measured
    # from the problem object to the verified answer, monotonic time in seconds
    runtime_s: float = 0.0


REBALANCE = "rebalance"
"""What stands for the method of a plan made from an old one with the least upheaval."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A task that leaves its physical station."""

    task: str
    old: int  # number of its station in the old plan
    new: int  # number of its station in the new plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Upheaval:
    """What a new plan turns over, counted; or what one of each weighs."""

    moves: int = 0  # tasks that leave their physical station
    tools: int = 0  # tools and equipment that a station gets, or no longer needs
    skills: int = 0  # skills a station did not need before
    cards: int = 0  # stations whose task list is another, or new

    def weighed(self, weights: "Upheaval") -> int:
        """Return all of it as one number."""
        return (
            weights.moves * self.moves
            + weights.tools * self.tools
            + weights.skills * self.skills
            + weights.cards * self.cards
        )


MOVES_ALONE = Upheaval(moves=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class RebalanceSettings:
    """What a rebalancing is asked for; with neither limit nor stations at the line's pace."""

    plan_id: int = 0  # the stored plan it starts from
    limit: float | None = None  # limit of a station in the source's unit
    stations: int | None = None  # number of stations; at most so many, with a limit
    seconds: float = 60.0  # time limit of each plan that is tried
    cores: int | None = None
    weights: Upheaval = MOVES_ALONE
    pins: Pins = NO_PINS  # what stays as it is
    method: str = REBALANCE


@dataclass(frozen=True, slots=True, kw_only=True)
class Rebalanced:
    """How a plan stands to the old one that it was made from."""

    # for each station the number it had; None: it is new. Rising along the line
    was: tuple[int | None, ...] = ()
    moves: tuple[Move, ...] = ()  # in the listed order of the tasks
    closed: tuple[int, ...] = ()  # numbers of old stations that are no more
    # added, gone: tasks that the old plan does not have, and that only the old plan has
    added: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()
    upheaval: Upheaval = Upheaval()
    weights: Upheaval = MOVES_ALONE  # what one of each was to weigh
    least: int = 0  # proven: no plan that reaches the same has less upheaval by these weights
    is_least: bool = False  # whether this plan is proven to have the least


@dataclass(frozen=True, slots=True, kw_only=True)
class Confirmation:
    """What a second, independent solver says of an answer."""

    engine: str
    agrees: bool | None  # whether it came to the same; None: it could not tell in its time
    said: str  # the same as a sentence
    runtime_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BalanceResult:
    """The answer of a balance for one line. Times are in `time_unit`, but for the assignment."""

    line: str
    # what was asked, with every option that the method used, so that it can be asked again
    asked: BalanceSettings
    pace: DemandPace = DemandPace()  # the pace that set the limit, where demand did
    assignment: Assignment | None = None  # None: there is no plan
    proof: Proof = Proof()
    effort: Effort = Effort()
    rebalanced: Rebalanced | None = None  # None: it was not made from an old plan
    time_unit: str = "s"  # "s" for products, "unit" for published instances
    ticks: int = 1000  # of the assignment in one time unit
    findings: tuple[Finding, ...] = ()  # why there is no plan; what to watch
    ways_out: tuple[WayOut, ...] = ()  # of what is impossible, the cheapest first

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
        """What the slowest station needs; 0 without a plan.

        That is its work, or more where its target load or its lifting ask for more.
        """
        slowest = max((max(s.work_ticks, s.cycle_ticks) for s in self.stations), default=0)
        return self.in_time_unit(slowest)

    def in_time_unit(self, ticks: int) -> float:
        """Return a number of ticks in the time unit."""
        return float(Decimal(ticks) / self.ticks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A stored balance of one line."""

    product: str
    result: BalanceResult
    plan_id: int = 0  # identifies the plan in the store; 0: not stored
    number: int = 0  # what people call it: its place among the plans of its line; 0: not stored
    name: str = ""  # what the engineer calls it
    product_version: int = 0  # the save it was made from, with its checksum; 0: made from a file
    product_checksum: str = ""
    # by, at: who stored it, and when (UTC)
    by: str = ""
    at: datetime | None = None
    inputs: str = ""  # checksum of what the balance rests on; empty: it was not kept
    in_force: bool = False
    # remark, archived: what the engineer says of it, and whether it is out of the lists
    remark: str = ""
    archived: bool = False
    # what a second solver says of the answer; None: it was not asked
    confirmation: Confirmation | None = None

    @property
    def line(self) -> str:
        """Name of the line the plan is for."""
        return self.result.line

    @property
    def asked(self) -> BalanceSettings:
        """What was asked."""
        return self.result.asked

    @property
    def label(self) -> str:
        """How the plan is spoken of within a sentence."""
        return f"plan {self.number}" if self.number else f"the plan “{self.name}”"

    def is_same(self, other: "Plan") -> bool:
        """Return whether both are one answer to one question on the same facts.

        How long, on how many cores and with which seed a method looked is no part of the question.
        """
        return bool(self.inputs) and _sameness(self) == _sameness(other)


def _sameness(plan: Plan) -> tuple[object, ...]:
    """Return what two plans have in common when they are the same."""
    asked, proof = plan.asked, plan.result.proof
    wanted = (asked.limit, asked.stations, asked.stations_from)
    question = (asked.method, *wanted, asked.direction, asked.pins, asked.then)
    proven = (proof.ending, proof.lower_bound, proof.reached)
    made = (plan.result.stations, plan.result.rebalanced)
    return (plan.product, plan.line, plan.inputs, question, made, proven)
