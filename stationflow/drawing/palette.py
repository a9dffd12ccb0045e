"""Colours of the pictures, safe for colour-blind readers and for black print.

Colour is never the only code: every station carries its number in words too.
Files and prints are on white paper; a chart on a dark page takes `ON_DARK`.
"""

from dataclasses import dataclass

# P. Tol, "Colour schemes" (SRON/EPS/TN/09-002), the light scheme, from memory: made for fills
# under black text. Its olive is left out, as it is dark under small text.
STATION_FILLS = (
    "#77AADD",
    "#EE8866",
    "#EEDD88",
    "#99DDFF",
    "#BBCC33",
    "#FFAABB",
    "#44BB99",
    "#DDDDDD",
)
# Two calm tints of its blue that differ in brightness; red and dark blue of Tol's other schemes.
SEGMENT_FILLS = ("#9DC3E6", "#D3E4F3")
OVER = "#CC3311"
INK = "#1A1A1A"
ARROW = "#666666"
PAPER = "#FFFFFF"
UNASSIGNED = "#FFFFFF"
IDLE = "#FFFFFF"
IDLE_NARROW = "#EEEFF1"
IDLE_EDGE = "#6E7781"
IDLE_INK = "#4A525A"
LIMIT = "#004488"


@dataclass(frozen=True, slots=True, kw_only=True)
class Inks:
    """The colours of a chart on one ground."""

    ground: str  # what the chart lies on
    ink: str  # words on the ground
    # limit, over: the limit line, and what is above it
    limit: str
    over: str
    # fills of the tasks, in turn; their numbers are written in `segment_ink`
    segments: tuple[str, str]
    segment_ink: str
    # idle, idle_narrow, idle_edge, idle_ink: fill, fill of narrow bars, outline and words of idle
    # time
    idle: str
    idle_narrow: str
    idle_edge: str
    idle_ink: str


ON_PAPER = Inks(
    ground=PAPER,
    ink=INK,
    limit=LIMIT,
    over=OVER,
    segments=SEGMENT_FILLS,
    segment_ink=INK,
    idle=IDLE,
    idle_narrow=IDLE_NARROW,
    idle_edge=IDLE_EDGE,
    idle_ink=IDLE_INK,
)
ON_DARK = Inks(
    ground="#12191D",
    ink="#E6EDF0",
    limit="#7CC8E6",
    over="#FF7A66",
    segments=SEGMENT_FILLS,
    segment_ink=INK,
    idle="#12191D",
    idle_narrow="#263238",
    idle_edge="#71838D",
    idle_ink="#A9B8C0",
)


def station_fill(number: int) -> str:
    """Return the fill of a station, cycling from station 1.

    >>> station_fill(1) == station_fill(9)
    True
    """
    return STATION_FILLS[(number - 1) % len(STATION_FILLS)]
