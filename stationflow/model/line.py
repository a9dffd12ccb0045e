"""A line: the main line, or a feeder that joins another line."""

from dataclasses import dataclass
from enum import StrEnum

from stationflow.model.task import MAIN_LINE


class LineForm(StrEnum):
    """The form of a line."""

    STRAIGHT = "straight"
    U_LINE = "u-line"
    TWO_SIDED = "two-sided"


class Conveyor(StrEnum):
    """How units move along a line."""

    INDEXED = "indexed"  # all step together
    CONTINUOUS = "continuous"  # fixed on a line that moves all the time
    REMOVABLE = "removable"  # taken off a line that moves all the time
    HAND = "hand-pushed"  # passed on by hand: no common pace

    @property
    def is_paced(self) -> bool:
        """Whether all units move at once, so that none waits between two stations."""
        return self in (Conveyor.INDEXED, Conveyor.CONTINUOUS)


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
    length_m: float | None = None  # along the line; None: the pitch of the line
    places_after: int | None = None  # for units waiting behind it; None: as the line says
    # its own stops, in running minutes between and in minutes to end one; those of its equipment
    # and machines come on top
    mtbf_min: float | None = None
    mttr_min: float | None = None


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
    conveyor: Conveyor = Conveyor.INDEXED
    between_places: int = 0  # for units waiting between neighbouring stations, where none is paced
    hall_m: float | None = None  # room there is for the line, along it
    speed_limit_m_per_min: float | None = None  # of the conveyor
    carriers: int | None = None  # travelling jigs there are; None: not counted
    carrier_return_ms: int = 0  # way of an empty carrier back to the start
    transport_ms: int = 0  # from the end of the line to the join
    bought_in: bool = False  # a feeder without stations or tasks: its units are bought

    @property
    def is_main(self) -> bool:
        """Whether the line feeds no other."""
        return not self.feeds

    @property
    def label(self) -> str:
        """The line as it is written on pages and cards."""
        return self.title or self.name

    def places_after(self, number: int, *, is_last: bool) -> int:
        """Return the places behind a station where units wait: its own, or those of the line."""
        setting = next((s for s in self.stations if s.number == number), None)
        if setting is not None and setting.places_after is not None:
            return max(0, setting.places_after)
        return 0 if is_last or self.conveyor.is_paced else max(0, self.between_places)

    @property
    def waits_beside(self) -> bool:
        """Whether units wait beside the line, where they were taken off it, and not along it."""
        return self.conveyor == Conveyor.REMOVABLE


@dataclass(frozen=True, slots=True, kw_only=True)
class FurtherJoin:
    """A further place where the units of a feeder are consumed, beside its own join."""

    line: str  # the feeder
    feeds: str  # the line that takes them
    join: str  # the task of that line that consumes the unit
    quantity: float = 1.0  # in one unit of that line
    replacement_share: float = 0.0  # extra units to replace damaged ones (0.02: 2 %)
