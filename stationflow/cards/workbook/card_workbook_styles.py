"""How cells of the cards' workbook look, and how text is put into them."""

import json
from functools import cache
from pathlib import Path
from typing import Any

from stationflow.cards.marks import TO_LEFT
from stationflow.cards.paper import Paper
from stationflow.cards.words import is_written_to_left
from stationflow.drawing.text_size import FONT_FAMILY

PAPER_CODES = {Paper.LETTER: 1, Paper.A3: 8, Paper.A4: 9}
"""Numbers of papers in a workbook: ECMA-376 part 1, 18.3.1.63 (from memory)."""
LONGEST = 32_767
"""Most characters a cell of a workbook holds."""
LOOKS_LIKE_FORMULA = ("=", "+", "-", "@", "\t", "\r")
SIZE, LARGE_SIZE = 11.0, 16.0
"""Sizes of text in points."""

LOOKS: dict[str, dict[str, Any]] = {
    "plain": {},
    "title": {"bold": True, "size": 1.6},
    "badge": {"bold": True, "size": 2.4, "border": 2, "align": "center", "valign": "vcenter"},
    "mark": {"bold": True, "border": 2, "align": "center"},
    "band": {"bold": True, "size": 1.3, "border": 5, "align": "center"},
    "head": {"bold": True, "bottom": 2, "text_wrap": True},
    "section": {"bold": True, "top": 2, "size": 1.1},
    "task": {"bold": True, "top": 1, "text_wrap": True, "size": 1.1},
    "time": {"bold": True, "top": 1, "size": 1.1, "num_format": "time"},
    "total": {"bold": True, "top": 2, "size": 1.1, "num_format": "time"},
    "wrapped": {"text_wrap": True},
    "bold": {"bold": True, "text_wrap": True},
    "check": {"bold": True, "text_wrap": True, "border": 1},
    "check_plain": {"text_wrap": True, "border": 1},
    "italic": {"italic": True, "text_wrap": True},
    "remark": {"left": 5, "text_wrap": True},
    "number": {"num_format": "0.0##"},
    "quantity": {"bold": True, "num_format": "General", "align": "right"},
    "link": {"underline": True},
}


@cache
def palette() -> dict[str, str]:
    """Return the colours of the cards by name."""
    path = Path(__file__).parents[1] / "template" / "palette.json"
    colours: dict[str, str] = json.loads(path.read_text("utf-8"))
    return colours


def as_number(printed: str) -> float:
    """Return a printed time as the number a cell holds."""
    return float(printed.replace(",", "."))


class Styles:
    """The formats of one workbook, made when first used."""

    def __init__(self, book: Any, *, large: bool, to_left: bool) -> None:
        self.book = book
        self.size = LARGE_SIZE if large else SIZE
        self.scale = self.size / SIZE
        self.to_left = to_left
        self.made: dict[tuple[str, bool, bool, int], Any] = {}

    def format(
        self, look: str, *, quoted: bool = False, from_right: bool = False, decimals: int = 0
    ) -> Any:
        """Return a format; `quoted`: the cell says itself that it is text and no formula."""
        key = (look, quoted, from_right, decimals)
        if key not in self.made:
            wanted = {"valign": "top", **LOOKS[look]}
            size = self.size * wanted.pop("size", 1.0)
            if wanted.get("num_format") == "time":
                wanted["num_format"] = f"0.{'0' * decimals}" if decimals else "0"
            self.made[key] = self.book.add_format(
                {
                    "font_name": FONT_FAMILY,
                    "font_size": size,
                    "font_color": self.colour("ink"),
                    "quote_prefix": quoted,
                    "reading_order": 2 if from_right else 0,
                    **wanted,
                }
            )
        return self.made[key]

    def colour(self, name: str) -> str:
        """Return a colour of the cards."""
        return palette()[name]

    def write(self, sheet: Any, row: int, column: int, text: str, look: str) -> None:
        """Write text as text; the end of what no cell can hold is told by dots."""
        shown = text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"
        from_right = bool(TO_LEFT.search(shown)) and is_written_to_left(shown)
        quoted = shown.startswith(LOOKS_LIKE_FORMULA)
        chosen = self.format(look, quoted=quoted, from_right=from_right)
        if shown:
            sheet.write_string(row, column, shown, chosen)
        else:
            sheet.write_blank(row, column, None, chosen)
