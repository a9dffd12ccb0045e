"""A stranger's workbook: its texts, styles and sheets."""

import posixpath
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from stationflow.errors import SourceError
from stationflow.files.foreign.cell_styles import BUILT_IN
from stationflow.files.foreign.foreign_sheet import FileKind, ForeignFile, ForeignSheet
from stationflow.files.foreign.sheet_reading import TRUE, Book, read_sheet, unescaped, whole
from stationflow.files.foreign.workbook_parts import Element, elements, find_part, open_workbook
from stationflow.model import Finding, warning
from stationflow.model.size_limits import (
    MOST_ELEMENTS,
    MOST_LOOKS,
    MOST_SHARED_ELEMENTS,
    MOST_SHARED_TEXTS,
    MOST_SHEETS,
    MOST_STYLES,
)


def read_foreign_workbook(
    content: bytes, name: str, is_wanted: Callable[[str], bool] = lambda title: True
) -> ForeignFile:
    """Read a workbook; of sheets whose titles are not wanted nothing but the title.

    Raises
    ------
    SourceError
        If it is damaged, protected, too large, or holds no sheet.
    """
    with open_workbook(content, name) as package:
        reader = _WorkbookReader(package, name)
        book = Book()
        listed = reader.sheet_list(book)
        reader.fill(book)
        sheets: list[ForeignSheet] = []
        findings: list[Finding] = []
        for title, target, is_hidden in listed[:MOST_SHEETS]:
            part = find_part(package, target)
            if part is None or "worksheet" not in part.filename.lower():
                continue  # a sheet that is a chart or a dialog
            if not is_wanted(title):
                sheets.append(ForeignSheet(name=title, rows=(), is_hidden=is_hidden))
                continue
            sheet, limits = read_sheet(elements(package, part, name), title, book, is_hidden)
            sheets.append(sheet)
            findings += [warning("file-too-large", f"sheet {title[:60]}", text) for text in limits]
    if len(listed) > MOST_SHEETS:
        message = f"It has {len(listed)} sheets; the first {MOST_SHEETS} were read."
        findings.append(warning("file-too-large", name, message))
    if not any(sheet.rows for sheet in sheets):
        raise SourceError(name, "the workbook is empty.", "Check that it was saved with its table.")
    return ForeignFile(
        name=name, kind=FileKind.WORKBOOK, sheets=tuple(sheets), findings=tuple(findings)
    )


def is_struck(tag: str, attributes: dict[str, str] | None) -> bool:
    """Return whether an element draws a line through a text."""
    return tag == "strike" and attributes is not None and attributes.get("val", "1") in TRUE


@dataclass(frozen=True, slots=True)
class _WorkbookReader:
    """Reads the parts that the sheets of a workbook share."""

    package: zipfile.ZipFile
    name: str

    def elements(self, path: str, most: int = MOST_ELEMENTS) -> Iterator[Element]:
        """Yield the elements of a part; none when there is no such part."""
        return elements(self.package, find_part(self.package, path), self.name, most)

    def fill(self, book: Book) -> None:
        """Read the shared texts, and the number format of every cell style."""
        pieces: list[str] = []
        for tag, attributes, text in self.elements("xl/sharedStrings.xml", MOST_SHARED_ELEMENTS):
            if len(book.texts) >= MOST_SHARED_TEXTS:
                problem = f"it has more than {MOST_SHARED_TEXTS} shared texts."
                hint = "Copy the table into a new workbook and save that."
                raise SourceError(self.name, problem, hint)
            if tag == "t" and attributes is None:
                pieces.append(text)
            elif is_struck(tag, attributes):
                book.struck_texts.add(len(book.texts))
            elif tag == "si" and attributes is None:
                said = unescaped("".join(pieces))
                book.text_left -= len(said)
                book.texts.append(said if book.text_left > 0 else "")
                pieces.clear()
        formats = dict(BUILT_IN)
        is_inside = False
        fonts, struck_fonts = 0, set()
        for tag, attributes, _ in self.elements("xl/styles.xml", MOST_LOOKS):
            number = whole((attributes or {}).get("numFmtId"))
            is_full = len(book.formats) >= MOST_STYLES
            if tag == "cellXfs":
                is_inside = attributes is not None
                if not is_inside:
                    break  # what follows only names the looks
            elif tag == "font" and attributes is not None:
                fonts += 1
            elif is_struck(tag, attributes) and not book.formats:
                struck_fonts.add(fonts - 1)
            elif tag == "numFmt" and attributes is not None:
                formats[number] = attributes.get("formatCode", "")[:255]
            elif tag == "xf" and attributes is not None and is_inside and not is_full:
                if whole(attributes.get("fontId")) in struck_fonts:
                    book.struck_styles.add(len(book.formats))
                book.formats.append(formats.get(number, ""))

    def sheet_list(self, book: Book) -> list[tuple[str, str, bool]]:
        """Return title, part and hiddenness of the sheets."""
        if find_part(self.package, "xl/workbook.xml") is None:
            raise SourceError(self.name, "the workbook is damaged: it has no list of sheets.")
        targets: dict[str, str] = {}
        for tag, attributes, _ in self.elements("xl/_rels/workbook.xml.rels"):
            if tag == "Relationship" and attributes and attributes.get("TargetMode") != "External":
                path = attributes.get("Target", "").replace("\\", "/")
                inside = path if path.startswith("/") else posixpath.join("xl", path)
                targets[attributes.get("Id", "")] = posixpath.normpath(inside).lstrip("/")
        listed: dict[str, tuple[str, str, bool]] = {}
        for tag, attributes, _ in self.elements("xl/workbook.xml"):
            if tag == "sheet" and attributes is not None:
                relation = next((v for k, v in attributes.items() if k.endswith(":id")), "")
                is_hidden = attributes.get("state", "visible") != "visible"
                title = attributes.get("name") or f"Sheet {len(listed) + 1}"
                title = f"{title} ({len(listed) + 1})" if title in listed else title
                listed[title] = (title, targets.get(relation, ""), is_hidden)
            elif tag == "workbookPr" and attributes:
                book.from_1904 = attributes.get("date1904") in {"1", "true"}
        return list(listed.values())
