"""The sheets of a stranger's workbook, read cell by cell in bounded memory.

The library that reads product workbooks does not tell, in one pass, cached results
from missing ones, number formats, merged cells and hidden rows; a stranger's sheet
needs all of them. The format is ECMA-376-1 (SpreadsheetML), clause 18.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from stationflow.files.foreign.foreign_sheet import (
    ForeignSheet,
    FormulaWithoutValue,
    MergedRange,
    RawCell,
)
from stationflow.files.foreign.sheets.cell_styles import shown_cell
from stationflow.files.foreign.sheets.workbook_parts import Element
from stationflow.model.schema.cells import FormulaError
from stationflow.model.size_limits import (
    LONGEST_TEXT,
    MOST_CELLS,
    MOST_MERGED,
    MOST_PLACES,
    MOST_SHEET_COLUMNS,
    MOST_SHEET_ROWS,
    MOST_SHEET_TEXT,
)

REFERENCE = re.compile(r"([A-Za-z]{1,3})([0-9]{1,7})", re.ASCII)
RANGE = re.compile(r"\$?([A-Z]{1,3})\$?([0-9]{1,7}):\$?([A-Z]{1,3})\$?([0-9]{1,7})", re.ASCII)
ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")
TRUE = frozenset({"1", "true"})


@dataclass(slots=True)
class Book:
    """What the cells of all sheets need, and how much may still be kept of them."""

    texts: list[str] = field(default_factory=list)
    formats: list[str] = field(default_factory=list)
    struck_styles: set[int] = field(default_factory=set)
    struck_texts: set[int] = field(default_factory=set)  # with a word that is struck out
    from_1904: bool = False
    cells_left: int = MOST_CELLS
    places_left: int = MOST_PLACES
    text_left: int = MOST_SHEET_TEXT


class EnoughReadError(Exception):
    """Raised when no more of a sheet can be kept."""


def column_position(letters: str) -> int:
    """Return the position, from 0, of a column given by its letters.

    >>> column_position("AA")
    26
    """
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - ord("A") + 1
    return number - 1


def unescaped(text: str) -> str:
    """Return a text without the format's escapes: "_x000D_" is a carriage return."""
    return ESCAPED.sub(lambda m: chr(int(m[1], 16)), text) if "_x" in text else text


def read_sheet(
    parts: Iterable[Element], title: str, book: Book, is_hidden: bool = False
) -> tuple[ForeignSheet, tuple[str, ...]]:
    """Read one sheet; also return what was beyond the limits, in sentences."""
    reader = SheetReader(book)
    try:
        for tag, attributes, text in parts:
            reader.take(tag, attributes, text)
    except EnoughReadError:
        reader.row_number = max(reader.row_number, len(reader.rows) + 1)
        reader.close_row()  # the row in which the limit was met
    sheet = ForeignSheet(
        name=title,
        rows=tuple(reader.rows),
        hidden_rows=frozenset(reader.hidden_rows),
        hidden_columns=frozenset(reader.hidden_columns),
        struck=frozenset(reader.struck),
        merged=tuple(reader.merged),
        is_hidden=is_hidden,
    )
    return sheet, tuple(reader.limits.values())


class SheetReader:
    """Collects the cells of one sheet."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.rows: list[tuple[RawCell, ...]] = []
        self.row: list[RawCell] = []
        self.row_number = 0
        self.hidden_rows: set[int] = set()
        self.hidden_columns: set[int] = set()
        self.struck: set[tuple[int, int]] = set()
        self.merged: list[MergedRange] = []
        self.limits: dict[str, str] = {}
        self.column = -1
        self.kind = ""
        self.style = 0
        self.value = ""
        self.formula: str | None = None

    def take(self, tag: str, attributes: dict[str, str] | None, text: str) -> None:
        """Take an element that begins or, without attributes, ends."""
        if attributes is None:
            if tag == "c":
                self._close_cell()
            elif tag in {"v", "t"}:
                self.value += text
            elif tag == "f":
                self.formula = text
            elif tag == "row":
                self.close_row()
        elif tag == "c":
            self._open_cell(attributes)
        elif tag == "row":
            self._open_row(attributes)
        elif tag == "col" and attributes.get("hidden") in TRUE:
            first, last = whole(attributes.get("min")), whole(attributes.get("max"))
            self.hidden_columns.update(range(first - 1, min(last, MOST_SHEET_COLUMNS)))
        elif tag == "mergeCell":
            self._merge(attributes.get("ref", ""))

    def _open_row(self, attributes: dict[str, str]) -> None:
        """Begin a row; rows without number follow one another."""
        self._look()
        number = whole(attributes.get("r")) or self.row_number + 1
        self.row_number = max(number, self.row_number + 1)
        self.row, self.column = [], -1
        if self.row_number > MOST_SHEET_ROWS:
            self.limits["rows"] = f"Only the first {MOST_SHEET_ROWS} rows were read."
        elif attributes.get("hidden") in TRUE:
            self.hidden_rows.add(self.row_number)

    def _open_cell(self, attributes: dict[str, str]) -> None:
        """Begin a cell; cells without address follow one another."""
        self._look()
        match = REFERENCE.fullmatch(attributes.get("r", ""))
        self.column = column_position(match[1]) if match else self.column + 1
        self.kind = attributes.get("t", "n")
        self.style = whole(attributes.get("s"))
        self.value, self.formula = "", None

    def _look(self) -> None:
        """Count a row or cell; of endless empty ones reading stops somewhere."""
        self.book.places_left -= 1
        if self.book.places_left < 0:
            self._stop(f"more than {MOST_PLACES} rows and cells, most of them empty")

    def _stop(self, what: str) -> None:
        """Read no more of the workbook."""
        self.limits["cells"] = f"It holds {what}; reading stopped in row {self.row_number}."
        raise EnoughReadError

    def _close_cell(self) -> None:
        """Keep what stands in a cell."""
        raw = self._raw()
        if raw is None or self.column < 0 or self.row_number > MOST_SHEET_ROWS:
            return
        if self.column >= MOST_SHEET_COLUMNS:
            self.limits["columns"] = f"Only the first {MOST_SHEET_COLUMNS} columns were read."
            return
        self.book.cells_left -= 1
        if self.book.cells_left < 0 or self.book.text_left < 0:
            self._stop(f"more than {MOST_CELLS} filled cells or {MOST_SHEET_TEXT} characters")
        shared = whole(self.value) if self.kind == "s" else -1
        if self.style in self.book.struck_styles or shared in self.book.struck_texts:
            self.struck.add((self.row_number, self.column))
        self.row += [None] * (self.column - len(self.row))
        if self.column == len(self.row):
            self.row.append(raw)
        elif self.row[self.column] is None:
            self.row[self.column] = raw

    def close_row(self) -> None:
        """Keep a row that holds anything."""
        if self.row and len(self.rows) < self.row_number <= MOST_SHEET_ROWS:
            self.rows += [()] * (self.row_number - 1 - len(self.rows))
            self.rows.append(tuple(self.row))
        self.row = []

    def _raw(self) -> RawCell:
        """Return the value of the cell just read."""
        text = self.value
        if not text and self.kind != "inlineStr":
            # An empty text is a result of a formula.
            is_missing = self.formula is not None and self.kind != "str"
            return FormulaWithoutValue((self.formula or "")[:200]) if is_missing else None
        match self.kind:
            case "s":
                place = whole(text) if text.strip().isdecimal() else -1
                return self.book.texts[place] or None if 0 <= place < len(self.book.texts) else None
            case "str" | "inlineStr":
                self.book.text_left -= len(text)
                return unescaped(text) or None
            case "b":
                return text.strip() == "1"
            case "e":
                return FormulaError(text[:40])
            case "d":
                return text[:40]
        return self._number(text)

    def _number(self, text: str) -> RawCell:
        """Return a number, or the text when it is none."""
        try:
            number = float(text)
        except ValueError:
            return text[:LONGEST_TEXT]
        if number != number or abs(number) == float("inf"):
            return text[:LONGEST_TEXT]
        formats = self.book.formats
        shown_as = formats[self.style] if self.style < len(formats) else ""
        return shown_cell(number, shown_as, from_1904=self.book.from_1904)

    def _merge(self, reference: str) -> None:
        """Keep a range of merged cells."""
        match = RANGE.fullmatch(reference)
        if match is None:
            return
        if len(self.merged) >= MOST_MERGED:
            self.limits["merged"] = f"Only the first {MOST_MERGED} merged ranges were read."
            return
        merged = MergedRange(
            first_row=int(match[2]),
            last_row=min(int(match[4]), MOST_SHEET_ROWS),
            first_column=column_position(match[1]),
            last_column=min(column_position(match[3]), MOST_SHEET_COLUMNS),
        )
        self.merged.append(merged)


def whole(text: str | None) -> int:
    """Return a whole number written in an attribute; 0 if it is none."""
    word = (text or "").strip()
    return int(word) if word.isascii() and word.isdigit() and len(word) < 10 else 0
