"""The sheets of a stranger's workbook, read cell by cell in bounded memory.

The library that reads product workbooks does not tell, in one pass, cached results
from missing ones, number formats, merged cells and hidden rows; a stranger's sheet
needs all of them. The format is ECMA-376-1 (SpreadsheetML), clause 18.
"""

import re
import zipfile
from dataclasses import dataclass, field
from typing import Any

from stationflow.files.foreign.cell_styles import shown_cell
from stationflow.files.foreign.foreign_sheet import (
    ForeignSheet,
    FormulaWithoutValue,
    MergedRange,
    RawCell,
)
from stationflow.files.foreign.workbook_parts import EnoughReadError, parse_part
from stationflow.model.schema.cells import LONGEST_TEXT, FormulaError

MOST_ROWS = 100_000
MOST_COLUMNS = 256
MOST_CELLS = 2_000_000  # filled ones of one workbook
MOST_PLACES = 2_500_000  # rows and cells, empty ones included, that are looked at
MOST_TEXT = 50_000_000  # characters of one workbook
MOST_MERGED = 20_000

REFERENCE = re.compile(r"([A-Za-z]{1,3})([0-9]{1,7})", re.ASCII)
RANGE = re.compile(r"\$?([A-Z]{1,3})\$?([0-9]{1,7}):\$?([A-Z]{1,3})\$?([0-9]{1,7})", re.ASCII)
ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")


@dataclass(slots=True)
class Budget:
    """How much of one workbook may still be kept."""

    cells: int = MOST_CELLS
    places: int = MOST_PLACES
    text: int = MOST_TEXT


@dataclass(slots=True)
class Book:
    """What the cells of all sheets need."""

    texts: list[str] = field(default_factory=list)
    formats: list[str] = field(default_factory=list)
    from_1904: bool = False
    budget: Budget = field(default_factory=Budget)


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


class TextReader:
    """Collects the shared texts of a workbook; readings of foreign script are left out."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.parts: list[str] = []
        self.is_text = False
        self.phonetic = 0

    def start(self, tag: str, _: dict[str, str]) -> None:
        """Open an element."""
        if tag == "si":
            self.parts = []
        elif tag == "rPh":
            self.phonetic += 1
        self.is_text = tag == "t" and not self.phonetic

    def end(self, tag: str) -> None:
        """Close an element."""
        self.is_text = False
        if tag == "rPh":
            self.phonetic -= 1
        elif tag == "si":
            text = unescaped("".join(self.parts))
            self.book.budget.text -= len(text)
            self.book.texts.append(text if self.book.budget.text > 0 else "")

    def text(self, data: str) -> None:
        """Keep text."""
        if self.is_text:
            self.parts.append(data)


class SheetReader:
    """Collects the cells of one sheet."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.rows: list[tuple[RawCell, ...]] = []
        self.row: list[RawCell] = []
        self.row_number = 0
        self.hidden_rows: set[int] = set()
        self.hidden_columns: set[int] = set()
        self.merged: list[MergedRange] = []
        self.limits: dict[str, str] = {}
        self.column = -1
        self.kind = ""
        self.style = 0
        self.value: list[str] = []
        self.formula: list[str] | None = None
        self.into: list[str] | None = None
        self.phonetic = 0
        self.is_inside = False

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """Open an element."""
        if tag == "c":
            self._open_cell(attributes)
        elif tag == "v" or (tag == "t" and not self.phonetic):
            self.into = self.value
        elif tag == "f":
            self.formula = self.into = []
        elif tag == "row":
            self._open_row(attributes)
        elif tag == "rPh":
            self.phonetic += 1
        elif tag == "col" and attributes.get("hidden") in {"1", "true"}:
            first, last = _whole(attributes.get("min")), _whole(attributes.get("max"))
            self.hidden_columns.update(range(first - 1, min(last, MOST_COLUMNS)))
        elif tag == "mergeCell":
            self._merge(attributes.get("ref", ""))

    def end(self, tag: str) -> None:
        """Close an element."""
        if tag in {"v", "t", "f"}:
            self.into = None
        elif tag == "c":
            self._close_cell()
        elif tag == "row":
            self.close_row()
        elif tag == "rPh":
            self.phonetic -= 1

    def text(self, data: str) -> None:
        """Keep text."""
        if self.into is not None:
            self.into.append(data)

    def _open_row(self, attributes: dict[str, str]) -> None:
        """Begin a row; rows without number follow one another."""
        self._look()
        number = _whole(attributes.get("r")) or self.row_number + 1
        self.row_number = max(number, self.row_number + 1)
        self.row, self.column = [], -1
        if self.row_number > MOST_ROWS:
            self.limits["rows"] = f"Only the first {MOST_ROWS} rows were read."
        elif attributes.get("hidden") in {"1", "true"}:
            self.hidden_rows.add(self.row_number)

    def _open_cell(self, attributes: dict[str, str]) -> None:
        """Begin a cell; cells without address follow one another."""
        self._look()
        match = REFERENCE.fullmatch(attributes.get("r", ""))
        self.column = column_position(match[1]) if match else self.column + 1
        self.kind = attributes.get("t", "n")
        self.style = _whole(attributes.get("s"))
        self.value, self.formula, self.into = [], None, None

    def _look(self) -> None:
        """Count a row or cell; of endless empty ones reading stops somewhere."""
        self.book.budget.places -= 1
        if self.book.budget.places < 0:
            self.limits["cells"] = (
                f"It holds more than {MOST_PLACES} rows and cells, most of them empty; "
                f"reading stopped in row {self.row_number}."
            )
            raise EnoughReadError

    def _close_cell(self) -> None:
        """Keep what stands in a cell."""
        raw = self._raw()
        if raw is None or self.column < 0 or self.row_number > MOST_ROWS:
            return
        if self.column >= MOST_COLUMNS:
            self.limits["columns"] = f"Only the first {MOST_COLUMNS} columns were read."
            return
        self.book.budget.cells -= 1
        if self.book.budget.cells < 0 or self.book.budget.text < 0:
            self.limits["cells"] = (
                f"It holds more than {MOST_CELLS} filled cells or {MOST_TEXT} characters; "
                f"reading stopped in row {self.row_number}."
            )
            raise EnoughReadError
        self.row += [None] * (self.column - len(self.row))
        if self.column == len(self.row):
            self.row.append(raw)
        elif self.row[self.column] is None:
            self.row[self.column] = raw

    def close_row(self) -> None:
        """Keep a row that holds anything."""
        if self.row and len(self.rows) < self.row_number <= MOST_ROWS:
            self.rows += [()] * (self.row_number - 1 - len(self.rows))
            self.rows.append(tuple(self.row))
        self.row = []

    def _raw(self) -> RawCell:
        """Return the value of the cell just read."""
        text = "".join(self.value)
        if not text and self.kind != "inlineStr":
            return None if self.formula is None else self._without_value()
        match self.kind:
            case "s":
                place = _whole(text) if text.strip().isdecimal() else -1
                return self.book.texts[place] or None if 0 <= place < len(self.book.texts) else None
            case "str" | "inlineStr":
                self.book.budget.text -= len(text)
                return unescaped(text) or None
            case "b":
                return text.strip() == "1"
            case "e":
                return FormulaError(text[:40])
            case "d":
                return text[:40]
        return self._number(text)

    def _without_value(self) -> RawCell:
        """Return a formula without result; an empty text is a result."""
        if self.kind == "str":
            return None
        return FormulaWithoutValue("".join(self.formula or ())[:200])

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
            last_row=min(int(match[4]), MOST_ROWS),
            first_column=column_position(match[1]),
            last_column=min(column_position(match[3]), MOST_COLUMNS),
        )
        self.merged.append(merged)


def read_sheet(
    package: zipfile.ZipFile, part: zipfile.ZipInfo, file: str, title: str, book: Book
) -> tuple[ForeignSheet, tuple[str, ...]]:
    """Read one sheet; also return what was beyond the limits, in sentences.

    Raises
    ------
    SourceError
        If its part is damaged.
    """
    reader = SheetReader(book)
    parse_part(package, part, file, reader.start, reader.end, reader.text)
    if "cells" in reader.limits:
        reader.row_number = max(reader.row_number, len(reader.rows) + 1)
        reader.close_row()  # the row in which the limit was met
    sheet = ForeignSheet(
        name=title,
        rows=tuple(reader.rows),
        hidden_rows=frozenset(reader.hidden_rows),
        hidden_columns=frozenset(reader.hidden_columns),
        merged=tuple(reader.merged),
    )
    return sheet, tuple(reader.limits.values())


def _whole(text: Any) -> int:
    """Return a whole number written in an attribute; 0 if it is none."""
    word = str(text or "").strip()
    return int(word) if word.isascii() and word.isdigit() and len(word) < 10 else 0
