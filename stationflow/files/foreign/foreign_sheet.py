"""A stranger's file as it stands: sheets of raw cells, before anything is judged."""

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from enum import StrEnum

from stationflow.model import Finding
from stationflow.model.schema.cells import FormulaError, plain_number


class FileKind(StrEnum):
    """What kind of file was given; its content decides, not its name."""

    WORKBOOK = "workbook"
    TEXT = "text table"
    PASTED = "pasted block"


@dataclass(frozen=True, slots=True)
class DateCell:
    """A date or clock time, as a spreadsheet program keeps it."""

    value: datetime | time | timedelta  # the last: a length of time beyond a day
    number_format: str = ""  # how the cell shows it: "d-mmm", "h:mm"

    def __str__(self) -> str:
        if isinstance(self.value, datetime) and self.value.time() == time():
            return self.value.date().isoformat()
        return str(self.value)


@dataclass(frozen=True, slots=True)
class ShownNumber:
    """A number that the sheet shows otherwise than it is: "0012" for 12, "95%" for 0.95."""

    value: float
    shown: str
    is_scaled: bool = False  # shown in thousands: "45" for 45000

    def __str__(self) -> str:
        return self.shown


@dataclass(frozen=True, slots=True)
class FormulaWithoutValue:
    """A formula whose result the file does not hold."""

    formula: str

    def __str__(self) -> str:
        return f"={self.formula}"


RawCell = (
    str | int | float | bool | DateCell | ShownNumber | FormulaError | FormulaWithoutValue | None
)


@dataclass(frozen=True, slots=True, kw_only=True)
class MergedRange:
    """Cells merged into one; rows from 1, columns from 0, both ends included."""

    first_row: int
    last_row: int
    first_column: int
    last_column: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ForeignSheet:
    """One sheet, its cells as they stand."""

    name: str  # empty: the only table of a text
    rows: tuple[tuple[RawCell, ...], ...]  # row 1 is `rows[0]`; they may differ in length
    hidden_rows: frozenset[int] = frozenset()  # from 1
    hidden_columns: frozenset[int] = frozenset()  # from 0
    struck: frozenset[tuple[int, int]] = frozenset()  # cells struck out: row from 1, column from 0
    comments: tuple[tuple[int, int, str], ...] = ()  # row from 1, column from 0, text
    merged: tuple[MergedRange, ...] = ()  # only the upper left cell holds what stands there
    is_hidden: bool = False

    @property
    def width(self) -> int:
        """How many columns the widest row has."""
        return max(map(len, self.rows), default=0)

    def cell(self, row: int, column: int) -> RawCell:
        """Return the cell in a row, from 1, and a column, from 0; None: nothing stands there."""
        if not 1 <= row <= len(self.rows) or not 0 <= column < len(self.rows[row - 1]):
            return None
        return self.rows[row - 1][column]

    def merged_over(self, column: int) -> list[MergedRange]:
        """Return the ranges of merged cells that reach over a column."""
        return [m for m in self.merged if m.first_column <= column <= m.last_column]

    def merged_above(self, column: int) -> dict[int, int]:
        """Return the rows of a column that are merged with a row above, and that row."""
        return {
            row: m.first_row
            for m in self.merged_over(column)
            for row in range(m.first_row + 1, min(m.last_row, len(self.rows)) + 1)
        }

    def address(self, row: int, column: int | None = None) -> str:
        """Return the address of a cell, or of a whole row: "Sheet1!C17", "Sheet1!17:17".

        A cell of a text table, which has no sheets, is "C17".
        """
        place = f"{row}:{row}" if column is None else f"{column_letters(column)}{row}"
        return f"{self.name}!{place}" if self.name else place


@dataclass(frozen=True, slots=True, kw_only=True)
class ForeignFile:
    """A file of a stranger."""

    name: str
    kind: FileKind
    sheets: tuple[ForeignSheet, ...]
    # Of a text table: how it was read, and what may be chosen instead, the likeliest first.
    encoding: str = ""
    delimiter: str = ""
    encodings: tuple[str, ...] = ()
    delimiters: tuple[str, ...] = ()
    sample: str = ""  # its first lines as read, to judge the encoding by eye
    findings: tuple[Finding, ...] = ()  # what could not be read, or was read with a guess

    def sheet(self, name: str) -> ForeignSheet | None:
        """Return the sheet of this name, or None."""
        return next((sheet for sheet in self.sheets if sheet.name == name), None)


def column_letters(column: int) -> str:
    """Return the letters of a column counted from 0.

    >>> [column_letters(n) for n in (0, 25, 26, 701, 702)]
    ['A', 'Z', 'AA', 'ZZ', 'AAA']
    """
    letters = ""
    number = column + 1
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def stood(raw: RawCell) -> str:
    """Return what stands in a cell as it is quoted in a report; long text is cut short."""
    if raw is None:
        return ""
    if isinstance(raw, bool):
        return "TRUE" if raw else "FALSE"
    text = plain_number(raw) if isinstance(raw, int | float) else str(raw)
    return text if len(text) <= 120 else f"{text[:117]}..."
