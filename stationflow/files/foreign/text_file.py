"""A text table of a stranger: encoding, delimiter, quotes."""

import csv
import io
from collections import Counter
from itertools import islice
from typing import Literal

from stationflow.errors import SourceError
from stationflow.files.csv_text import unguarded
from stationflow.files.foreign.encodings import ENCODINGS, decoded, guess_encoding
from stationflow.files.foreign.foreign_sheet import FileKind, ForeignFile, ForeignSheet
from stationflow.files.foreign.sheet_reading import MOST_CELLS, MOST_COLUMNS, MOST_ROWS, MOST_TEXT
from stationflow.model import Finding, note, warning

DELIMITERS = (";", ",", "\t", "|")
SAMPLE_LINES = 6
JUDGED_LINES = 50
MOST_LINES_IN_CELL = 200

Quoting = Literal[0, 1, 2, 3]  # as the csv module names them


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
    order = dict.fromkeys((_plain(guess), *ENCODINGS))
    return _table(
        text, name, FileKind.TEXT, delimiter, findings, encoding=used, encodings=tuple(order)
    )


def read_pasted_text(text: str, delimiter: str | None) -> ForeignFile:
    """Read a block pasted from a spreadsheet program, where tabs part the cells, or typed.

    Raises
    ------
    SourceError
        If nothing stands in it.
    """
    return _table(text.removeprefix("\ufeff"), "pasted block", FileKind.PASTED, delimiter, [])


def _plain(encoding: str) -> str:
    """Return the name under which an encoding may be chosen."""
    return {"utf-8-sig": "utf-8", "utf-16-le": "utf-16", "utf-16-be": "utf-16"}.get(
        encoding, encoding
    )


def _is_no_text(text: str) -> bool:
    """Return whether control characters show that this is no text."""
    head = text[:10_000]
    controls = sum(c < " " and c not in "\t\r\n\f\v" for c in head)
    return controls > 0.02 * len(head)


def _table(
    text: str,
    name: str,
    kind: FileKind,
    delimiter: str | None,
    findings: list[Finding],
    *,
    encoding: str = "",
    encodings: tuple[str, ...] = (),
) -> ForeignFile:
    """Return a text as a file of one sheet."""
    if not text.strip():
        raise SourceError(name, "nothing stands in it.", "Check that the right table was given.")
    text, said = _without_separator_line(text)
    order = _delimiters(text, prefer_tab=kind == FileKind.PASTED)
    chosen = delimiter or said or order[0]
    if len(chosen) != 1 or chosen in '"\r\n':
        raise SourceError(name, f"{chosen[:10]!r} cannot part cells.", "Choose ; , tab or |.")
    rows = _rows(text, chosen, name, findings)
    if said:
        rows = [(), *rows]  # row numbers stay those of the file
    sheet_name = "Pasted" if kind == FileKind.PASTED else "Table"
    return ForeignFile(
        name=name,
        kind=kind,
        sheets=(ForeignSheet(name=sheet_name, rows=tuple(rows)),),
        encoding=_plain(encoding),
        delimiter=chosen,
        encodings=encodings,
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
    scores: dict[str, float] = {}
    for delimiter in DELIMITERS:
        widths = [len(row) for row in _parsed("".join(lines[:JUDGED_LINES]), delimiter) if row]
        counted = Counter(width for width in widths if width > 1)
        if not counted:
            scores[delimiter] = 0.0
            continue
        width, often = counted.most_common(1)[0]
        steady = often / len(widths)
        scores[delimiter] = steady * (1 + min(width, 20) / 20)
    if prefer_tab and scores["\t"]:
        scores["\t"] += 10
    return sorted(DELIMITERS, key=lambda d: -scores[d])


def _parsed(text: str, delimiter: str, quoting: Quoting = csv.QUOTE_MINIMAL) -> list[list[str]]:
    """Return the cells of a text; an empty list when the quotes are broken."""
    try:
        return list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, quoting=quoting))
    except csv.Error:
        return []


def _rows(
    text: str, delimiter: str, name: str, findings: list[Finding]
) -> list[tuple[str | None, ...]]:
    """Return the rows of cells within the limits."""
    rows: list[tuple[str | None, ...]] = []
    problem = _fill(rows, text, delimiter, name, findings, csv.QUOTE_MINIMAL)
    if problem:
        rows.clear()
        message = f'{problem} All quotation marks (") were read as plain characters.'
        findings.append(warning("file-broken", name, message))
        _fill(rows, text, delimiter, name, findings, csv.QUOTE_NONE)
    return rows


def _fill(
    rows: list[tuple[str | None, ...]],
    text: str,
    delimiter: str,
    name: str,
    findings: list[Finding],
    quoting: Quoting,
) -> str:
    """Read the rows; return what is wrong with the quotation marks, or nothing."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, quoting=quoting)
    cells_left, text_left = MOST_CELLS, MOST_TEXT
    try:
        for row in reader:
            if quoting != csv.QUOTE_NONE:
                for cell in row:
                    if cell.count("\n") > MOST_LINES_IN_CELL:
                        return f"Near line {reader.line_num} a quotation mark is never closed."
            cells_left -= len(row)
            text_left -= sum(map(len, row))
            if len(rows) >= MOST_ROWS or cells_left < 0 or text_left < 0:
                message = f"Only the first {len(rows)} rows were read; there are more."
                findings.append(warning("file-too-large", name, message))
                break
            if len(row) > MOST_COLUMNS:
                _tell_columns(name, findings)
            rows.append(tuple(unguarded(cell) or None for cell in row[:MOST_COLUMNS]))
    except csv.Error:
        if quoting == csv.QUOTE_NONE:
            message = f"Line {reader.line_num} is too long; reading stopped there."
            findings.append(warning("file-too-large", name, message))
            return ""
        return f"Near line {reader.line_num} a quotation mark is never closed."
    return ""


def _tell_columns(name: str, findings: list[Finding]) -> None:
    """Say once that there are too many columns."""
    message = f"Only the first {MOST_COLUMNS} columns were read; there are more."
    finding = warning("file-too-large", name, message)
    if finding not in findings:
        findings.append(finding)
