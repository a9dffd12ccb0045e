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
# Two fills of the light scheme that also differ in brightness; red and blue of Tol's others.
SEGMENT_FILLS = ("#77AADD", "#EEDD88")
OVER = "#CC3311"
INK = "#1A1A1A"
ARROW = "#666666"
PAPER = "#FFFFFF"
UNASSIGNED = "#FFFFFF"
IDLE = "#F2F2F2"
LIMIT = "#004488"


def station_fill(number: int) -> str:
    """Return the fill of a station, cycling from station 1.

    >>> station_fill(1) == station_fill(9)
    True
    """
    return STATION_FILLS[(number - 1) % len(STATION_FILLS)]
