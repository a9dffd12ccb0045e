"""How a task lifts a load by hand."""

from dataclasses import dataclass
from enum import StrEnum


class Coupling(StrEnum):
    """How well hands hold a load: handles or cut-outs; a firm grip below it; neither."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"


class LiftDuration(StrEnum):
    """How long somebody lifts before a rest from lifting that is long enough."""

    SHORT = "short"  # up to 1 h, then a rest as long
    MODERATE = "moderate"  # up to 2 h, then a rest of 0.3 times as long
    LONG = "long"  # up to 8 h


class LiftOutside(StrEnum):
    """What takes a lift out of what the lifting equation was made for."""

    ONE_HANDED = "one-handed"
    SEATED = "seated or kneeling"
    NO_ROOM = "in a space that restricts posture"
    UNSTABLE = "unstable load"
    MOVED = "carried, pushed or pulled"
    BARROW = "with a barrow or shovel"
    FAST = "faster than 0.75 m/s"
    SLIPPERY = "on a slippery floor"
    CLIMATE = "outside 19 to 26 °C or 35 to 50 % humidity"


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """How a load is lifted with both hands, as the lifting equation asks.

    Reach is from the middle between the ankles to the hands; heights are of the hands above the
    floor; the turn is of the body, out of the plane in which it looks straight ahead. The mass, and
    how often it is lifted in a unit, are limits of the task.
    """

    from_reach_mm: float | None = None
    from_height_mm: float | None = None
    from_turn_deg: float | None = None  # None: straight ahead
    to_reach_mm: float | None = None
    to_height_mm: float | None = None
    to_turn_deg: float | None = None
    coupling: Coupling | None = None  # None: counted as poor
    let_go: bool = False  # it is put down without care, so that where it ends is not counted
    duration: LiftDuration | None = None  # None: the working time of the longest shift says it
    outside: LiftOutside | None = None  # None: nothing, the equation holds
