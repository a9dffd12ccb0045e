"""A text table of a stranger: encoding, delimiter, quotes."""

import csv
import io
from collections import Counter
from dataclasses import replace
from itertools import islice
from typing import Literal

from stationflow.errors import SourceError
from stationflow.files.csv_text import unguarded
from stationflow.files.foreign.foreign_sheet import FileKind, ForeignFile, ForeignSheet
from stationflow.files.foreign.sheets.encodings import ENCODINGS, decoded, guess_encoding
from stationflow.model import Finding, note, warning
from stationflow.model.size_limits import (
    MOST_CELLS,
    MOST_SHEET_COLUMNS,
    MOST_SHEET_ROWS,
    MOST_SHEET_TEXT,
)

DELIMITERS = (";", ",", "\t", "|")
SAMPLE_LINES = 6
JUDGED_LINES = 50
MOST_LINES_IN_CELL = 200

PLAIN_NAMES = {"utf-8-sig": "utf-8", "utf-16-le": "utf-16", "utf-16-be": "utf-16"}
"""Names under which encodings may be chosen."""

Quoting = Literal[0, 1, 2, 3]  # as the csv module names them
Row = tuple[str | None, ...]


def read_text_file(
    content: bytes, name: str, encoding: str | None, delimiter: str | None
) -> ForeignFile:
    """Read a text table.

    Raises
    ------
    SourceError
        If it is no text, or the encoding asked for is not known.
    """
    guess, is_certain = guess_encoding(content)
    used = encoding or guess
    try:
        text, strange = decoded(content, used)
    except (LookupError, UnicodeError) as cause:
        problem = f"there is no encoding {used[:40]!r}."
        raise SourceError(name, problem, f"Choose one of {', '.join(ENCODINGS)}.") from cause
    if _is_no_text(text):
        problem = "it is neither a workbook nor a text table."
        raise SourceError(name, problem, "Give a spreadsheet saved as .xlsx or .csv.")
    findings: list[Finding] = []
    if strange:
        message = f"{strange} characters cannot be read as {used}."
        findings.append(warning("file-broken", name, message, "Choose another encoding."))
    elif encoding is None and not is_certain:
        message = f"The encoding is taken for {used}; look at the sample."
        hint = "Choose another encoding if letters with accents look wrong."
        findings.append(note("file-broken", name, message, hint))
    file = _table(text, name, FileKind.TEXT, delimiter)
    return replace(
        file,
        encoding=PLAIN_NAMES.get(used, used),
        encodings=tuple(dict.fromkeys((PLAIN_NAMES.get(guess, guess), *ENCODINGS))),
        findings=(*findings, *file.findings),
    )


def read_pasted(text: str, *, delimiter: str | None = None) -> ForeignFile:
    r"""Read a block pasted from a spreadsheet program, where tabs part the cells, or typed.

    Raises
    ------
    SourceError
        If nothing stands in it.

    Examples
    --------
    >>> read_pasted("10\tFit base\n20\tFit lid").sheets[0].rows
    (('10', 'Fit base'), ('20', 'Fit lid'))
    """
    return _table(text.removeprefix("\ufeff"), "pasted block", FileKind.PASTED, delimiter)


def _is_no_text(text: str) -> bool:
    """Return whether control characters show that this is no text."""
    head = text[:10_000]
    controls = sum(c < " " and c not in "\t\r\n\f\v" for c in head)
    return controls > 0.02 * len(head)


def _table(text: str, name: str, kind: FileKind, delimiter: str | None) -> ForeignFile:
    """Return a text as a file of one sheet."""
    if not text.strip():
        raise SourceError(name, "nothing stands in it.", "Check that the right table was given.")
    text, said = _without_separator_line(text)
    order = _delimiters(text, prefer_tab=kind == FileKind.PASTED)
    chosen = delimiter or said or order[0]
    if len(chosen) != 1 or chosen in '"\r\n':
        raise SourceError(name, f"{chosen[:10]!r} cannot part cells.", "Choose ; , tab or |.")
    rows, findings = _rows(text, chosen, name)
    if said:
        rows = [(), *rows]  # row numbers stay those of the file
    return ForeignFile(
        name=name,
        kind=kind,
        sheets=(ForeignSheet(name="", rows=tuple(rows)),),
        delimiter=chosen,
        delimiters=tuple(dict.fromkeys((*order, *DELIMITERS))),
        sample="\n".join(line[:200] for line in text[:20_000].splitlines()[:SAMPLE_LINES]),
        findings=tuple(findings),
    )


def _without_separator_line(text: str) -> tuple[str, str | None]:
    """Take off the first line "sep=;", by which spreadsheet programs name the delimiter."""
    first, _, rest = text.partition("\n")
    line = first.strip().strip('"')
    if line.lower().startswith("sep=") and len(line) == 5:
        return rest, line[4]
    if line.lower() == "sep=" and "\t" in first:
        return rest, "\t"
    return text, None


def _delimiters(text: str, *, prefer_tab: bool) -> list[str]:
    """Return the delimiters, the likeliest first: cells per line, and how steady their number."""
    lines = [line for line in islice(io.StringIO(text[:100_000]), JUDGED_LINES * 2) if line.strip()]
    scores = dict.fromkeys(DELIMITERS, 0.0)
    for delimiter in DELIMITERS:
        widths = [len(row) for row in _parsed("".join(lines[:JUDGED_LINES]), delimiter) if row]
        counted = Counter(width for width in widths if width > 1)
        for width, often in counted.most_common(1):
            scores[delimiter] = often / len(widths) * (1 + min(width, 20) / 20)
    if prefer_tab and scores["\t"]:
        scores["\t"] += 10
    return sorted(DELIMITERS, key=lambda d: -scores[d])


def _parsed(text: str, delimiter: str) -> list[list[str]]:
    """Return the cells of a text; an empty list when the quotes are broken."""
    try:
        return list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    except csv.Error:
        return []


def _rows(text: str, delimiter: str, name: str) -> tuple[list[Row], list[Finding]]:
    """Return the rows of cells within the limits, and what was beyond them."""
    rows: list[Row] = []
    try:
        limits = _fill(rows, text, delimiter, csv.QUOTE_MINIMAL)
        return rows, [warning("file-too-large", name, limit) for limit in limits]
    except csv.Error as problem:
        message = f'{problem} All quotation marks (") were read as plain characters.'
    rows.clear()
    limits = _fill(rows, text, delimiter, csv.QUOTE_NONE)
    too_large = [warning("file-too-large", name, limit) for limit in limits]
    return rows, [warning("file-broken", name, message), *too_large]


def _fill(rows: list[Row], text: str, delimiter: str, quoting: Quoting) -> list[str]:
    """Read the rows; return what was beyond the limits, or raise for broken quotation marks."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, quoting=quoting)
    is_plain = quoting == csv.QUOTE_NONE
    limits: dict[str, None] = {}
    cells_left, text_left = MOST_CELLS, MOST_SHEET_TEXT
    try:
        for row in reader:
            if not is_plain and any(cell.count("\n") > MOST_LINES_IN_CELL for cell in row):
                raise csv.Error
            cells_left -= len(row)
            text_left -= sum(map(len, row))
            if len(rows) >= MOST_SHEET_ROWS or cells_left < 0 or text_left < 0:
                limits[f"Only the first {len(rows)} rows were read; there are more."] = None
                break
            if len(row) > MOST_SHEET_COLUMNS:
                said = f"Only the first {MOST_SHEET_COLUMNS} columns were read; there are more."
                limits[said] = None
            rows.append(tuple(unguarded(cell) or None for cell in row[:MOST_SHEET_COLUMNS]))
    except csv.Error as problem:
        if not is_plain:
            message = f"Near line {reader.line_num} a quotation mark is never closed."
            raise csv.Error(message) from problem
        limits[f"Line {reader.line_num} is too long; reading stopped there."] = None
    return list(limits)
