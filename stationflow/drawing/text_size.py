"""How wide a text is in the font of the pictures, and how to make it fit."""

from bisect import bisect_right
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.ImageFont import FreeTypeFont

FONT_FAMILY = "Noto Sans"
ELLIPSIS = "\N{HORIZONTAL ELLIPSIS}"
MEASURED_POINTS = 100


def font_folder() -> Path:
    """Return the folder of the font that comes with Stationflow."""
    import fontpkg_noto_sans

    return Path(fontpkg_noto_sans.ROOT) / "files"


def font_file() -> Path:
    """Return the file of its upright style."""
    return next(p for p in sorted(font_folder().glob("*.ttf")) if "Italic" not in p.name)


@cache
def _font() -> "FreeTypeFont":
    """Return the bundled upright font at the size it is measured in."""
    from PIL import ImageFont

    return ImageFont.truetype(str(font_file()), MEASURED_POINTS)


@cache
def text_width(text: str, points: float) -> float:
    """Return the width of one line of text in points, set at a size in points."""
    return float(_font().getlength(text)) / MEASURED_POINTS * points


def shortened(text: str, width: float, points: float) -> str:
    """Return the text cut to a width in points, with an ellipsis where it was cut."""
    if text_width(text, points) <= width:
        return text
    most = bisect_right(
        range(1, len(text) + 1),
        width,
        key=lambda count: text_width(text[:count].rstrip() + ELLIPSIS, points),
    )
    return text[:most].rstrip() + ELLIPSIS


def wrapped(text: str, width: float, points: float, lines: int) -> list[str]:
    """Return the text on at most `lines` lines of a width in points, cut at the end if need be."""
    rows: list[str] = []
    words = text.split()
    while words and len(rows) < lines - 1:
        row = words.pop(0)
        while words and text_width(f"{row} {words[0]}", points) <= width:
            row += f" {words.pop(0)}"
        rows.append(shortened(row, width, points))
    if words:
        rows.append(shortened(" ".join(words), width, points))
    return rows
