"""CSV tables that no spreadsheet program can be tricked with.

A cell that begins like a formula gets a leading apostrophe, which is taken off
again on reading (CWE-1236; OWASP ASVS 1.2.10).
"""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence

from stationflow.files.cells import plain_number

FORMULA_STARTS = (
    "=",
    "+",
    "-",
    "@",
    "\t",
    "\r",
    "\n",
    "\0",
    "\uff1d",
    "\uff0b",
    "\uff0d",
    "\uff20",
)
DELIMITERS = ",;\t"
NEEDS_QUOTES = frozenset('",;\t\r\n')


def write_csv(grid: Iterable[Sequence[str | int | float | None]]) -> bytes:
    """Return rows of cells as a CSV table in UTF-8 with commas and plain line ends."""
    lines = (",".join(_written(cell) for cell in cells) + "\n" for cells in grid)
    return "".join(lines).encode("utf-8")


def read_csv(data: bytes) -> Iterator[list[str]]:
    """Yield the rows of a CSV table in UTF-8; commas, semicolons or tabs part the cells.

    Raises
    ------
    UnicodeDecodeError
        If the text is not UTF-8.
    csv.Error
        If quotes or cells are broken.
    """
    text = data.decode("utf-8-sig")
    for cells in csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=True):
        yield [unguarded(cell) for cell in cells]


def guarded(text: str) -> str:
    """Return text so that no spreadsheet program takes it for a formula."""
    return f"'{text}" if text.lstrip("'").startswith(FORMULA_STARTS) else text


def unguarded(text: str) -> str:
    """Return the text that `guarded` was given."""
    is_guarded = text.startswith("'") and text.lstrip("'").startswith(FORMULA_STARTS)
    return text[1:] if is_guarded else text


def _written(cell: str | int | float | None) -> str:
    """Return a cell as it stands in the file."""
    if cell is None:
        return ""
    text = guarded(cell) if isinstance(cell, str) else plain_number(cell)
    if NEEDS_QUOTES.isdisjoint(text) and text == text.strip():
        return text
    return '"' + text.replace('"', '""') + '"'


def _delimiter(text: str) -> str:
    """Return the delimiter that stands most often in the row of headings."""
    heading = next((line for line in text.splitlines() if line.strip(DELIMITERS + ' "')), "")
    return max(DELIMITERS, key=heading.count)
