"""Colours of the pictures, safe for colour-blind readers and for black print.

Colour is never the only code: every station carries its number in words too.
"""

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


def station_fill(number: int) -> str:
    """Return the fill of a station, cycling from station 1.

    >>> station_fill(1) == station_fill(9)
    True
    """
    return STATION_FILLS[(number - 1) % len(STATION_FILLS)]
