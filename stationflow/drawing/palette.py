"""Colours of the pictures, safe for colour-blind readers and for black print.

Colour is never the only code: every station carries its number in words too.
Files and prints are on white paper; a chart on a dark page takes `ON_DARK`.
"""

from dataclasses import dataclass

# P. Tol, "Colour schemes" (SRON/EPS/TN/09-002), the light scheme, from memory: made for fills
# under black text. Its olive is left out, as it is dark under small text.
STATION_FILLS = ("#77AADD", "#EE8866", "#EEDD88", "#99DDFF",
                 "#BBCC33", "#FFAABB", "#44BB99", "#DDDDDD")  # fmt: skip
# Two calm tints of its blue that differ in brightness; red and dark blue of Tol's other schemes.
SEGMENT_FILLS = ("#9DC3E6", "#D3E4F3")
OVER = "#CC3311"
INK = "#1A1A1A"
ARROW = "#666666"
PAPER = "#FFFFFF"
UNASSIGNED = "#FFFFFF"


@dataclass(frozen=True, slots=True, kw_only=True)
class Inks:
    """The colours of a chart on one ground."""

    ground: str  # what the chart lies on
    ink: str  # words on the ground
    limit: str  # the limit line
    over: str  # what is above it
    segments: tuple[str, str]  # fills of the tasks, in turn
    segment_ink: str  # numbers on them
    idle: str  # fill of idle time
    idle_narrow: str  # the same in narrow bars
    idle_edge: str  # its outline
    idle_ink: str  # its words


ON_PAPER = Inks(
    ground=PAPER,
    ink=INK,
    limit="#004488",
    over=OVER,
    segments=SEGMENT_FILLS,
    segment_ink=INK,
    idle=PAPER,
    idle_narrow="#EEEFF1",
    idle_edge="#6E7781",
    idle_ink="#4A525A",
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
