"""Calendar and demand: what sets the pace."""

from dataclasses import dataclass
from enum import StrEnum

DAY_MINUTES = 24 * 60


class Period(StrEnum):
    """The period a demand is stated for."""

    HOUR = "hour"
    SHIFT = "shift"
    DAY = "day"
    WEEK = "week"


class Weekday(StrEnum):
    """A day of the week."""

    MONDAY = "mon"
    TUESDAY = "tue"
    WEDNESDAY = "wed"
    THURSDAY = "thu"
    FRIDAY = "fri"
    SATURDAY = "sat"
    SUNDAY = "sun"


WORKWEEK = (
    Weekday.MONDAY,
    Weekday.TUESDAY,
    Weekday.WEDNESDAY,
    Weekday.THURSDAY,
    Weekday.FRIDAY,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Break:
    """Time within a shift in which the line stands on purpose.

    Breaks, meetings, clean-down and planned service are all of this kind.
    """

    name: str
    minutes: float

    def __post_init__(self) -> None:
        """Refuse a length that cannot be."""
        if not self.minutes >= 0:
            raise ValueError(f"minutes must not be negative, got {self.minutes}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """A shift by the clock on the wall."""

    name: str  # "early", "late" ...; tells shifts apart
    # start, end: clock times "06:00" and "14:30". An end at or before the start lies on the next
    # day.
    start: str
    end: str
    breaks: tuple[Break, ...] = ()

    def __post_init__(self) -> None:
        """Refuse clock times that are none."""
        clock_minutes(self.start)
        clock_minutes(self.end)

    @property
    def length_min(self) -> int:
        """Length in minutes, breaks included."""
        return (clock_minutes(self.end) - clock_minutes(self.start) - 1) % DAY_MINUTES + 1

    @property
    def break_min(self) -> float:
        """Breaks and planned stops in minutes."""
        return sum(b.minutes for b in self.breaks)


def clock_minutes(clock: str) -> int:
    """Return minutes after midnight of a clock time "06:30".

    ValueError if the text is not a time from 00:00 to 23:59.
    """
    hours, colon, minutes = clock.partition(":")
    if colon and hours.isdecimal() and minutes.isdecimal() and len(minutes) == 2:
        hour, minute = int(hours), int(minutes)
        if hour < 24 and minute < 60:
            return hour * 60 + minute
    raise ValueError(f"a clock time is written 06:30, got {clock!r}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Calendar:
    """Which days are worked, in which shifts."""

    days: tuple[Weekday, ...] = WORKWEEK
    shifts: tuple[Shift, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """How many good units are wanted, and what the line loses on the way."""

    quantity: float | None = None  # good units wanted in a `period`; None: not yet known
    period: Period = Period.WEEK
    yield_share: float = 1.0  # share of started units that become good (0 to 1)
    # share of the working time the line really runs (0 to 1), unplanned stops taken off
    availability: float = 1.0

    def __post_init__(self) -> None:
        """Refuse a quantity that cannot be."""
        if self.quantity is not None and not self.quantity >= 0:
            raise ValueError(f"quantity must not be negative, got {self.quantity}")


@dataclass(frozen=True, slots=True, kw_only=True)
class ReachOptions:
    """What may be done when demand outgrows the line, and what it costs."""

    # overtime hours a week that law and agreement allow at most; None: not entered
    overtime_limit_h: float | None = None
    # cost of one overtime hour of the whole line, in the plant's currency
    overtime_cost: float | None = None
    shift_cost: float | None = None  # cost of one further shift on all working days, per week
    line_cost: float | None = None  # cost of one further copy of the line, per week


@dataclass(frozen=True, slots=True, kw_only=True)
class Model:
    """A variant in the mix."""

    name: str  # short name; tells models apart
    title: str = ""
    share: float = 1.0  # share of the units built (0 to 1); the shares add up to 1

    def __post_init__(self) -> None:
        """Refuse a share that cannot be."""
        if not self.share >= 0:
            raise ValueError(f"share must not be negative, got {self.share}")
