"""Sizes of paper."""

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
