"""A task and everything that belongs to it: steps, parts, tools, checks, cautions."""

from dataclasses import dataclass, field
from enum import StrEnum

from stationflow.model.hazard import DEFER, HAZARD_ADVICE, Hazard

MAIN_LINE = "main"
"""The usual name of the main line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One important step of a task, as it stands on the card.

    Attributes
    ----------
    text
        What is done, verb first.
    key_point
        What makes or breaks the work, could injure, or makes it easier.
    reason
        Why the key point matters.
    picture
        Name of a picture of the product, or empty.
    time_ms
        Time of the step in ms; None: untimed. If one step of a task is
        timed, all are, and they add up to the task's time.
    """

    text: str
    key_point: str = ""
    reason: str = ""
    picture: str = ""
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
    """One check within a task.

    Attributes
    ----------
    text
        What is checked.
    limit
        What is accepted, with unit.
    method
        How it is checked, and with which gauge.
    frequency
        How often; "every unit" if empty.
    record
        Where the result is written; empty: not recorded.
    reaction
        The reaction plan: what the operator does when the check fails.
    """

    text: str
    limit: str = ""
    method: str = ""
    frequency: str = ""
    record: str = ""
    reaction: str = ""


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


class Side(StrEnum):
    """The side of the line a task must be done from."""

    LEFT = "left"
    RIGHT = "right"
    EITHER = "either"


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskLimits:
    """Where and how a task may be done, beyond precedence.

    Attributes
    ----------
    station
        The only station it may be done at; None: any.
    earliest_station, latest_station
        The first and the last station it may be done at; None: any.
    zone
        Name of the zone of the line it must be done in.
    together
        Label of a group: tasks with one label share a station.
    apart
        Numbers of tasks that must not be at the same station.
    equipment
        Names of equipment the station must have.
    side
        Side of the line.
    attitude
        How the unit must lie: "face down".
    working_height_mm
        Height of the working point above the floor, in mm.
    space_mm
        Width the parts need at the line, in mm.
    lift_kg
        Mass lifted by hand, in kg.
    skill
        Skill or certificate the operator needs.
    static_safe
        Must be done in a static-protected area.
    guarded
        Must be done behind a high-voltage guard.
    independent_of
        Numbers of tasks whose operator may not do this one (a check of their work).
    while_moving
        May be done while the unit moves; None: not stated.
    crossing
        May cross the limit of the station; None: not stated.
    """

    station: int | None = None
    earliest_station: int | None = None
    latest_station: int | None = None
    zone: str = ""
    together: str = ""
    apart: tuple[str, ...] = ()
    equipment: tuple[str, ...] = ()
    side: Side | None = None
    attitude: str = ""
    working_height_mm: float | None = None
    space_mm: float | None = None
    lift_kg: float | None = None
    skill: str = ""
    static_safe: bool = False
    guarded: bool = False
    independent_of: tuple[str, ...] = ()
    while_moving: bool | None = None
    crossing: bool | None = None


class QualityKind(StrEnum):
    """What a task does for quality."""

    INSPECTION = "inspection"
    SAFETY_TEST = "safety-test"
    FUNCTION_TEST = "function-test"
    SOAK = "soak"
    REPAIR = "repair"


@dataclass(frozen=True, slots=True, kw_only=True)
class QualityStep:
    """Test, repair or soak data of a task; its hand time is the task's own time.

    Attributes
    ----------
    kind
        What the task does for quality.
    process_ms
        Time the unit is tested or soaked without an operator, in ms.
    first_pass_share
        Share of units passing the first time (0 to 1).
    repeat_pass_share
        Share of repaired units passing the retest (0 to 1).
    scrap_share
        Share of rejects that are scrapped (0 to 1).
    repair_ms
        Mean repair time of one reject, in ms.
    positions
        Places available for the process; None: to be computed.
    power_w
        Power drawn by one place, in watts.
    """

    kind: QualityKind
    process_ms: int | None = None
    first_pass_share: float | None = None
    repeat_pass_share: float | None = None
    scrap_share: float | None = None
    repair_ms: int | None = None
    positions: int | None = None
    power_w: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One piece of work that is not split between stations.

    Attributes
    ----------
    number
        The printed text ("010"); tells tasks apart.
    name
        What is done, verb first.
    line
        Name of the line the task belongs to.
    time_ms
        Standard time in ms; None: not yet timed (drafts may be incomplete).
    predecessors
        Numbers of the tasks that must be finished before.
    machine
        Whether the time is a machine's.
    time_sd_ms
        Standard deviation of the time in ms; None: not known.
    time_source
        Where the time comes from, with date.
    picture
        Name of a picture of the product for the whole task, or empty.
    """

    number: str
    name: str = ""
    line: str = MAIN_LINE
    time_ms: int | None = None
    predecessors: tuple[str, ...] = ()
    model_times: tuple[ModelTime, ...] = ()
    machine: bool = False
    time_sd_ms: int | None = None
    time_source: str = ""
    picture: str = ""
    steps: tuple[Step, ...] = ()
    parts: tuple[PartUse, ...] = ()
    tools: tuple[ToolUse, ...] = ()
    checks: tuple[Check, ...] = ()
    cautions: tuple[Caution, ...] = ()
    limits: TaskLimits = field(default_factory=TaskLimits)
    quality: QualityStep | None = None

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
