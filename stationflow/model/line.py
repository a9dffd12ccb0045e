"""A line: the main line, or a feeder that joins another line."""

from dataclasses import dataclass
from enum import StrEnum

from stationflow.model.task import MAIN_LINE


class LineForm(StrEnum):
    """The form of a line."""

    STRAIGHT = "straight"
    U_LINE = "u-line"
    TWO_SIDED = "two-sided"


@dataclass(frozen=True, slots=True, kw_only=True)
class StationSetting:
    """What is special about one station of a line."""

    number: int  # station number, from 1
    operators: int = 1
    copies: int = 1  # parallel copies of the station
    # share of the station time that may be loaded (0 to 1); None: all of it
    target_share: float | None = None
    zone: str = ""
    # equipment that stands there, that may be brought there, and that may not
    equipment: tuple[str, ...] = ()
    equipment_possible: tuple[str, ...] = ()
    equipment_barred: tuple[str, ...] = ()
    skills: tuple[str, ...] = ()  # skills and certificates of its operator
    width_mm: float | None = None  # room for parts at the line; None: the pitch of the line
    static_safe: bool = False  # a static-protected area
    guarded: bool = False  # has a high-voltage guard


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A main line or a feeder."""

    name: str = MAIN_LINE  # short name, "main" or "board"; tells lines apart
    title: str = ""
    feeds: str = ""  # the line it feeds; empty: this is the main line
    join: str = ""  # the task of the fed line that consumes the unit
    quantity: float = 1.0  # in one unit of the fed line (quantity per set)
    yield_share: float = 1.0  # share of started units that reach the join good (0 to 1)
    replacement_share: float = 0.0  # extra units to replace damaged ones (0.02: 2 %)
    copies: int = 1
    repositioning_ms: int = 0  # lost in each cycle to indexing or handling the unit
    form: LineForm = LineForm.STRAIGHT
    pitch_m: float | None = None  # of the conveyor; None: none planned
    buffer_places: int = 0  # for units waiting before the line it feeds
    turn_ms: int = 0  # to turn a unit over, where tasks of two attitudes share a station
    # how far the working heights of a station may be apart; None: tables are set for each task
    height_range_mm: float | None = None
    # limits of what one operator lifts by hand; None: none was set
    lift_kg: float | None = None  # in one lift
    lifts_per_min: float | None = None
    lifted_kg_per_min: float | None = None
    stations: tuple[StationSetting, ...] = ()

    @property
    def is_main(self) -> bool:
        """Whether the line feeds no other."""
        return not self.feeds

    @property
    def label(self) -> str:
        """The line as it is written on pages and cards."""
        return self.title or self.name
