"""What the parts of a card share while they are planned: the sheet, sizes, pieces.

All lengths are in mm, all text sizes in points, for a sheet at scale 1. A larger sheet is
planned smaller by its scale and set larger by it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from stationflow.cards.lettering import PT_MM
from stationflow.cards.paper import Paper

EDGE = 8.0
"""Margin of the sheet on all sides."""
HEADER = 22.0
HEADER_AGAIN = 11.0
"""Height of the header on the first page of a card, and on the pages that follow."""
MARK_BAND = 9.0
"""Height of the framed band that says that a card is out of date, with the room above it."""
FOOTER = 9.0
GAP = 2.5
"""Room below the header and above the footer."""
A4_LONG_MM = 297.0
LARGE_PRINT = 16.0
"""Smallest text of a large print in points, as organisations of the blind ask (from memory)."""
LARGE_LEAST = 9.0
"""Smallest text of a large print in points at scale 1."""
LARGE_EDGE = 5.0
MISSING_RATIO = 1.5
"""Width / height of the frame for a picture that is not there."""
QR = 22.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """The room on a page, and the pictures there are.

    Attributes
    ----------
    width, height
        Inside the margins, in mm at scale 1.
    ratios
        Width / height of every picture by name.
    edge
        Margin on all sides.
    least
        Smallest text in points at scale 1; 0: as small as is legible at arm's length.
    """

    width: float
    height: float
    scale: float
    ratios: Mapping[str, float]
    edge: float = EDGE
    least: float = 0.0

    @property
    def large(self) -> bool:
        """Whether it is a large print."""
        return self.least > 0

    @property
    def small(self) -> float:
        """Size of column heads and notes against the text of the tasks."""
        return 1.0 if self.large else 0.8

    def type(self, size: float) -> float:
        """Return a size of small print in points: in a large print nothing is small."""
        return max(size, self.least)

    def ratio(self, picture: str) -> float:
        """Return width / height of a picture, or of the frame in its place."""
        return self.ratios.get(picture, MISSING_RATIO)

    @property
    def wide(self) -> bool:
        """Whether the sheet lies on its long side."""
        return self.width > self.height


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A part of a card that stays on one page.

    Attributes
    ----------
    height
        In mm, with the room around it.
    parts
        The same in smaller pieces, for when it does not fit on a page; may be empty.
    """

    kind: str
    height: float
    data: dict[str, Any] = field(default_factory=dict)
    parts: tuple["Piece", ...] = ()


def sheet_for(
    paper: Paper, portrait: bool, ratios: Mapping[str, float], *, large_print: bool = False
) -> Sheet:
    """Return the room on a sheet of paper.

    A3 is read from further away: all sizes grow by two thirds of what the sheet grows. In a
    large print all sizes grow until the smallest is 16 points.
    """
    width, height = paper.size_mm(portrait=portrait)
    if large_print:
        scale = LARGE_PRINT / LARGE_LEAST
        return Sheet(
            width=width / scale - 2 * LARGE_EDGE,
            height=height / scale - 2 * LARGE_EDGE,
            scale=scale,
            ratios=ratios,
            edge=LARGE_EDGE,
            least=LARGE_LEAST,
        )
    scale = 1 + (max(width, height) / A4_LONG_MM - 1) * 2 / 3 if paper == Paper.A3 else 1.0
    return Sheet(
        width=width / scale - 2 * EDGE, height=height / scale - 2 * EDGE, scale=scale, ratios=ratios
    )


def em_of(length: float, size: float) -> float:
    """Return a length in mm as a number of em of text of a size in points."""
    return length / (size * PT_MM)
