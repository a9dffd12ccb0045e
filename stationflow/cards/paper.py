"""Sizes of paper, and the time that stands in a print."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from enum import StrEnum

SIZES_MM = {
    "a4": (210.0, 297.0),
    "a3": (297.0, 420.0),
    "letter": (215.9, 279.4),
}
"""Width and height of upright sheets in mm: A sizes by ISO 216, Letter by ANSI Y14.1."""


class Paper(StrEnum):
    """The paper station cards are printed on."""

    A4 = "a4"
    A3 = "a3"
    LETTER = "letter"

    @property
    def label(self) -> str:
        """The paper as people write it: "A4", "Letter"."""
        return "Letter" if self == Paper.LETTER else self.value.upper()

    def size_mm(self, *, portrait: bool = False) -> tuple[float, float]:
        """Return width and height of the sheet as it is printed, in mm.

        >>> Paper.A4.size_mm()
        (297.0, 210.0)
        """
        width, height = SIZES_MM[self]
        return (width, height) if portrait else (height, width)


A4_LONG_MM = 297.0
TEXT_SIZES = (14.0, 13.0, 12.0, 11.5, 11.0, 10.5, 10.0, 9.5, 9.0)
"""Sizes of the tasks' text in points, from large to small."""
SMALL_SIZES = (8.5, 8.0, 7.5)
"""Further sizes on a larger sheet, which is set larger."""
LARGE_PRINT = 16.0
"""Smallest text of a large print in points, as organisations of the blind ask (from memory)."""
LARGE_LEAST = 9.0
"""Smallest text of a large print in points at scale 1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """How a sheet is set: width and height in mm, margin in mm and sizes in points at scale 1.

    `least`: the smallest text at scale 1; 0: as small as is legible at arm's length.
    """

    width: float
    height: float
    scale: float = 1.0
    edge: float = 8.0
    least: float = 0.0
    sizes: tuple[float, ...] = TEXT_SIZES


def sheet_for(paper: Paper, portrait: bool, large_print: bool) -> Sheet:
    """Return how a sheet of paper is set.

    A3 is read from further away: all sizes grow by two thirds of what the sheet grows. In a
    large print all sizes grow until the smallest is 16 points.
    """
    width, height = paper.size_mm(portrait=portrait)
    if large_print:
        scale = LARGE_PRINT / LARGE_LEAST
        return Sheet(width=width, height=height, scale=scale, edge=5.0, least=LARGE_LEAST)
    if paper == Paper.A3:
        scale = 1 + (max(width, height) / A4_LONG_MM - 1) * 2 / 3
        return Sheet(width=width, height=height, scale=scale, sizes=(*TEXT_SIZES, *SMALL_SIZES))
    return Sheet(width=width, height=height)


def time_of_print(day: date | None) -> datetime:
    """Return the time written into a file: midnight of its day; None: of 1970-01-01.

    The same content and day give the same bytes.
    """
    return datetime.combine(day or date(1970, 1, 1), time(), UTC)
