"""A stranger's workbook: its texts, styles and sheets."""

import posixpath
import zipfile
from dataclasses import replace

from stationflow.errors import SourceError
from stationflow.files.foreign.cell_styles import BUILT_IN
from stationflow.files.foreign.foreign_sheet import FileKind, ForeignFile, ForeignSheet
from stationflow.files.foreign.sheet_reading import Book, TextReader, read_sheet
from stationflow.files.foreign.workbook_parts import find_part, open_workbook, parse_part
from stationflow.model import Finding, warning

MOST_SHEETS = 100
MOST_STYLES = 70_000  # a workbook may have 65,490


def read_foreign_workbook(content: bytes, name: str) -> ForeignFile:
    """Read a workbook.

    Raises
    ------
    SourceError
        If it is damaged, protected, too large, or holds no sheet.
    """
    with open_workbook(content, name) as package:
        book = Book()
        listed, targets = _sheet_list(package, name, book)
        _read_texts(package, name, book)
        _read_styles(package, name, book)
        sheets: list[ForeignSheet] = []
        findings: list[Finding] = []
        for title, target, is_hidden in listed[:MOST_SHEETS]:
            part = find_part(package, targets.get(target, ""))
            if part is None or "worksheet" not in part.filename.lower():
                continue  # a sheet that is a chart or a dialog
            sheet, limits = read_sheet(package, part, name, title, book)
            sheets.append(replace(sheet, is_hidden=is_hidden))
            findings += [warning("file-too-large", f"sheet {title[:60]}", text) for text in limits]
    if len(listed) > MOST_SHEETS:
        message = f"It has {len(listed)} sheets; the first {MOST_SHEETS} were read."
        findings.append(warning("file-too-large", name, message))
    if not any(sheet.rows for sheet in sheets):
        raise SourceError(name, "the workbook is empty.", "Check that it was saved with its table.")
    return ForeignFile(
        name=name, kind=FileKind.WORKBOOK, sheets=tuple(sheets), findings=tuple(findings)
    )


def _sheet_list(
    package: zipfile.ZipFile, name: str, book: Book
) -> tuple[list[tuple[str, str, bool]], dict[str, str]]:
    """Return title, relation and hiddenness of the sheets, and the parts by relation."""
    listed: list[tuple[str, str, bool]] = []

    def start(tag: str, attributes: dict[str, str]) -> None:
        if tag == "sheet":
            relation = next((v for k, v in attributes.items() if k.endswith(":id")), "")
            hidden = attributes.get("state", "visible") != "visible"
            listed.append((_own_title(attributes.get("name", ""), listed), relation, hidden))
        elif tag == "workbookPr":
            book.from_1904 = attributes.get("date1904") in {"1", "true"}

    part = find_part(package, "xl/workbook.xml")
    if part is None:
        raise SourceError(name, "the workbook is damaged: it has no list of sheets.")
    parse_part(package, part, name, start, _nothing)
    targets: dict[str, str] = {}

    def relation(tag: str, attributes: dict[str, str]) -> None:
        if tag == "Relationship" and attributes.get("TargetMode") != "External":
            path = attributes.get("Target", "").replace("\\", "/")
            inside = path if path.startswith("/") else posixpath.join("xl", path)
            targets[attributes.get("Id", "")] = posixpath.normpath(inside).lstrip("/")

    if relations := find_part(package, "xl/_rels/workbook.xml.rels"):
        parse_part(package, relations, name, relation, _nothing)
    return listed, targets


def _own_title(title: str, listed: list[tuple[str, str, bool]]) -> str:
    """Return a sheet's title, told apart from those before it."""
    taken = {other for other, _, _ in listed}
    own = title or f"Sheet {len(listed) + 1}"
    return f"{own} ({len(listed) + 1})" if own in taken else own


def _read_texts(package: zipfile.ZipFile, name: str, book: Book) -> None:
    """Read the shared texts."""
    if part := find_part(package, "xl/sharedStrings.xml"):
        reader = TextReader(book)
        parse_part(package, part, name, reader.start, reader.end, reader.text)


def _read_styles(package: zipfile.ZipFile, name: str, book: Book) -> None:
    """Read the number format of every cell style."""
    formats = dict(BUILT_IN)
    inside = False

    def start(tag: str, attributes: dict[str, str]) -> None:
        nonlocal inside
        number = attributes.get("numFmtId", "")
        number_id = int(number) if number.isascii() and number.isdigit() and len(number) < 9 else 0
        if tag == "numFmt":
            formats[number_id] = attributes.get("formatCode", "")[:255]
        elif tag == "cellXfs":
            inside = True
        elif tag == "xf" and inside and len(book.formats) < MOST_STYLES:
            book.formats.append(formats.get(number_id, ""))

    def end(tag: str) -> None:
        nonlocal inside
        inside = inside and tag != "cellXfs"

    if part := find_part(package, "xl/styles.xml"):
        parse_part(package, part, name, start, end)


def _nothing(_: str) -> None:
    """Close an element that needs nothing done."""
