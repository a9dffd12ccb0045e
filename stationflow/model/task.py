"""A task and everything that belongs to it: steps, parts, tools, checks, cautions."""

from dataclasses import dataclass, field
from enum import StrEnum

from stationflow.model.hazard import DEFER, HAZARD_ADVICE, Hazard
from stationflow.model.lift import Lift
from stationflow.model.quality_step import QualityStep

MAIN_LINE = "main"
"""The usual name of the main line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One important step of a task, as it stands on the card."""

    text: str  # what is done, verb first
    key_point: str = ""  # what makes or breaks the work, could injure, or makes it easier
    reason: str = ""  # why the key point matters
    picture: str = ""  # name of a picture of the product, or empty
    # time of the step in ms; None: untimed. If one step of a task is timed, all are, and they add
    # up to the task's time.
    time_ms: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PartUse:
    """How many of one part a task fits."""

    part: str
    quantity: float = 1.0

    def __post_init__(self) -> None:
        """Refuse a quantity that cannot be."""
        if self.quantity < 0:
            raise ValueError(f"quantity must not be negative, got {self.quantity}")


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolUse:
    """One tool, jig or gauge a task needs, and how it is set."""

    tool: str
    setting: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One check within a task."""

    text: str
    limit: str = ""  # what is accepted, with unit
    method: str = ""  # how it is checked, and with which gauge
    frequency: str = ""  # how often; "every unit" if empty
    record: str = ""  # where the result is written; empty: not recorded
    reaction: str = ""  # the reaction plan: what the operator does when the check fails


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A hazard of the task and the words that warn of it."""

    hazard: Hazard
    text: str = ""  # empty: the words of the hazard catalogue

    @property
    def words(self) -> str:
        """The caution as it is printed, ending with the deference to local rules."""
        return f"{self.text or HAZARD_ADVICE[self.hazard].caution} {DEFER}"


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelTime:
    """The time of a task for one model of the mix; 0: the model does not need the task."""

    model: str
    time_ms: int

    def __post_init__(self) -> None:
        """Refuse a time that cannot be."""
        _refuse_negative("time_ms", self.time_ms)


@dataclass(frozen=True, slots=True, kw_only=True)
class StationTime:
    """The time of a task at a station where it takes another than elsewhere."""

    station: int  # its number, from 1
    time_ms: int

    def __post_init__(self) -> None:
        """Refuse a time that cannot be."""
        _refuse_negative("time_ms", self.time_ms)


class Side(StrEnum):
    """The side of the line a task must be done from."""

    LEFT = "left"
    RIGHT = "right"
    EITHER = "either"


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskLimits:
    """Where and how a task may be done, beyond precedence."""

    station: int | None = None  # the only station it may be done at; None: any
    # earliest_station, latest_station: the first and the last station it may be done at; None: any
    earliest_station: int | None = None
    latest_station: int | None = None
    zone: str = ""
    together: str = ""  # label of a group: tasks with one label share a station
    apart: tuple[str, ...] = ()  # numbers of tasks that must not be at the same station
    equipment: tuple[str, ...] = ()  # what the station must have
    side: Side | None = None
    attitude: str = ""  # how the unit must lie: "face down"
    working_height_mm: float | None = None  # above the floor
    space_mm: float | None = None  # width the parts need at the line
    lift_kg: float | None = None  # lifted by hand
    lifts: int | None = None  # how often in one unit; None: once, where a mass is entered
    skill: str = ""  # skill or certificate the operator needs
    static_safe: bool = False  # in a static-protected area
    guarded: bool = False  # behind a high-voltage guard
    # numbers of tasks whose operator may not do this one (a check of their work)
    independent_of: tuple[str, ...] = ()
    while_moving: bool | None = None  # may be done while the unit moves; None: not stated
    crossing: bool | None = None  # may cross the limit of the station; None: not stated


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One piece of work that is not split between stations."""

    number: str  # the printed text ("010"); tells tasks apart
    name: str = ""  # what is done, verb first
    line: str = MAIN_LINE
    time_ms: int | None = None  # standard time; None: not yet timed (drafts may be incomplete)
    predecessors: tuple[str, ...] = ()  # numbers of the tasks that must be finished before
    model_times: tuple[ModelTime, ...] = ()
    station_times: tuple[StationTime, ...] = ()  # where the time is another
    machine: bool = False
    time_sd_ms: int | None = None  # standard deviation; None: not known
    time_source: str = ""  # where the time comes from, with date
    remark: str = ""  # what else should be known
    picture: str = ""  # name of a picture of the whole task, or empty
    steps: tuple[Step, ...] = ()
    parts: tuple[PartUse, ...] = ()
    tools: tuple[ToolUse, ...] = ()
    checks: tuple[Check, ...] = ()
    cautions: tuple[Caution, ...] = ()
    limits: TaskLimits = field(default_factory=TaskLimits)
    quality: QualityStep | None = None
    lift: Lift | None = None
    other_lines: tuple[str, ...] = ()  # lines beside its own on which it may be done too

    def __post_init__(self) -> None:
        """Refuse a time that cannot be."""
        _refuse_negative("time_ms", self.time_ms)

    def time_ms_for(self, model: str) -> int | None:
        """Return the time for one model in ms; None: not yet timed."""
        return next((t.time_ms for t in self.model_times if t.model == model), self.time_ms)


def _refuse_negative(name: str, number: float | None) -> None:
    """Raise when a number that cannot be negative is."""
    if number is not None and not number >= 0:  # also refuses nan
        raise ValueError(f"{name} must not be negative, got {number}")
