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
    """What is special about one station of a line.

    Attributes
    ----------
    number
        Station number, from 1.
    operators
        Operators working there at once.
    copies
        Parallel copies of the station.
    target_share
        Share of the station time that may be loaded (0 to 1); None: all of it.
    zone
        Zone the station lies in.
    equipment
        Names of equipment standing there.
    """

    number: int
    operators: int = 1
    copies: int = 1
    target_share: float | None = None
    zone: str = ""
    equipment: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A main line or a feeder.

    Attributes
    ----------
    name
        Short name, "main" or "board"; tells lines apart.
    title
        The line in full words.
    feeds
        Name of the line it feeds; empty: this is the main line.
    join
        Number of the task of the fed line that consumes the feeder's unit.
    quantity
        Units of this line in one unit of the fed line (quantity per set).
    yield_share
        Share of started units of this line that reach the join good (0 to 1).
    replacement_share
        Extra units the fed line takes to replace damaged ones, as a share (0.02: 2 %).
    copies
        How many identical copies of this line run side by side.
    repositioning_ms
        Time of each cycle lost to indexing or handling the unit, in ms.
    form
        Straight, U-line or two-sided.
    pitch_m
        Conveyor pitch in metres; None: no conveyor planned.
    buffer_places
        Places for waiting units between this line and the line it feeds.
    stations
        What is special about single stations.
    """

    name: str = MAIN_LINE
    title: str = ""
    feeds: str = ""
    join: str = ""
    quantity: float = 1.0
    yield_share: float = 1.0
    replacement_share: float = 0.0
    copies: int = 1
    repositioning_ms: int = 0
    form: LineForm = LineForm.STRAIGHT
    pitch_m: float | None = None
    buffer_places: int = 0
    stations: tuple[StationSetting, ...] = ()

    @property
    def is_main(self) -> bool:
        """Whether the line feeds no other."""
        return not self.feeds

    @property
    def label(self) -> str:
        """The line as it is written on pages and cards."""
        return self.title or self.name
