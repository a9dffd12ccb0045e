"""CSV tables that no spreadsheet program can be tricked with.

What begins like a formula gets a leading apostrophe, which is taken off again on
reading (CWE-1236; OWASP ASVS 1.2.10). The same holds after a semicolon, tab or line
end inside a cell: a program that expects another delimiter begins a cell there.
"""

import codecs
import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence

from stationflow.model.schema.cells import plain_number

FORMULA_STARTS = "=+-@\t\r\n\0\uff1d\uff0b\uff0d\uff20"
# What a program may drop in front of a formula: blanks, and quotes that it takes for an empty pair
# where it expects another delimiter.
DROPPED = ' \u00a0"'
DELIMITERS = ",;\t"
# Where a cell may begin that a program takes for a formula, and the apostrophes there.
BEGINNING = re.compile(rf"(?:\A|(?<=[;\t\r\n]))('*)(?=[{DROPPED}]*[{re.escape(FORMULA_STARTS)}])")
NEEDS_QUOTES = frozenset('",;\t\r\n')


def write_csv(
    grid: Iterable[Sequence[str | int | float | None]],
    *,
    byte_order_mark: bool = False,
    errors: str = "strict",
) -> bytes:
    """Return rows of cells as a CSV table in UTF-8 with commas and plain line ends.

    Spreadsheet programs know UTF-8 by the byte order mark in front. `errors` is as for
    `str.encode`: half characters, which UTF-8 cannot hold.
    """
    written = _Written()
    lines = (",".join(map(written.__getitem__, cells)) + "\n" for cells in grid)
    return codecs.BOM_UTF8 * byte_order_mark + "".join(lines).encode("utf-8", errors)


def read_csv(data: bytes) -> Iterator[list[str]]:
    """Yield the rows of a CSV table in UTF-8; commas, semicolons or tabs part the cells.

    Raises `UnicodeDecodeError` if the text is not UTF-8. Raises `csv.Error` if quotes or cells are
    broken.
    """
    text = data.decode("utf-8-sig")
    for cells in csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=True):
        yield [unguarded(cell) for cell in cells]


def guarded(text: str) -> str:
    """Return text so that no spreadsheet program takes it, or a piece of it, for a formula.

    >>> guarded("=1+1"), guarded("Fit;=1+1"), guarded("10; 20")
    ("'=1+1", "Fit;'=1+1", '10; 20')
    """
    return BEGINNING.sub(r"'\1", text)


def unguarded(text: str) -> str:
    """Return the text that `guarded` was given."""
    return BEGINNING.sub(lambda found: found[1][1:], text) if "'" in text else text


class _Written(dict[str | int | float | None, str]):
    """Cells as they stand in the file; the millions of 0 and 1 of a matrix are few to write."""

    def __missing__(self, cell: str | int | float | None) -> str:
        text = self[cell] = _written(cell)
        return text


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
    heading = next(
        (line for line in io.StringIO(text, newline=None) if line.strip(DELIMITERS + ' "\n')), ""
    )
    return max(DELIMITERS, key=heading.count)
