"""Bytes become a stranger's file: sheets of raw cells."""

from dataclasses import replace

from stationflow.files.foreign.foreign_sheet import ForeignFile
from stationflow.files.foreign.heading_words import OWN_WORDS, OWN_WORDS_PROBLEM
from stationflow.files.foreign.sheets.text_file import read_text_file
from stationflow.files.foreign.sheets.workbook_file import read_foreign_workbook
from stationflow.files.foreign.sheets.workbook_parts import PACKED, refuse_other_kinds
from stationflow.model import warning


def read_foreign(
    content: bytes, file_name: str, *, encoding: str | None = None, delimiter: str | None = None
) -> ForeignFile:
    r"""Read a stranger's file; its content decides what it is, not its name.

    The name is for messages. Encoding and delimiter are those of a text table; None: guessed.

    Raises
    ------
    SourceError
        If it is empty, damaged, protected, too large, or of a kind that is not read.

    Examples
    --------
    >>> file = read_foreign(b"No;Task;Time\n10;Fit base;7,5\n", "tasks.csv")
    >>> file.delimiter, file.encoding, file.sheets[0].rows[1]
    (';', 'utf-8', ('10', 'Fit base', '7,5'))
    """
    file = _read(content, file_name[:120] or "file", encoding, delimiter)
    if not OWN_WORDS_PROBLEM:
        return file
    hint = f"Correct the file that {OWN_WORDS} names."
    problem = warning("file-broken", "heading words", OWN_WORDS_PROBLEM, hint)
    return replace(file, findings=(problem, *file.findings))


def _read(content: bytes, name: str, encoding: str | None, delimiter: str | None) -> ForeignFile:
    refuse_other_kinds(content, name)
    if content.startswith(PACKED):
        return read_foreign_workbook(content, name)
    return read_text_file(content, name, encoding, delimiter)
