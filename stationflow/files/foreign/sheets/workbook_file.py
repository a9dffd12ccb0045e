"""A stranger's workbook: its texts, styles and sheets."""

import posixpath
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from stationflow.errors import SourceError
from stationflow.files.foreign.foreign_sheet import FileKind, ForeignFile, ForeignSheet
from stationflow.files.foreign.sheets.cell_styles import BUILT_IN
from stationflow.files.foreign.sheets.sheet_reading import (
    REFERENCE,
    TRUE,
    Book,
    column_position,
    read_sheet,
    unescaped,
    whole,
)
from stationflow.files.foreign.sheets.workbook_parts import (
    Element,
    elements,
    find_part,
    open_workbook,
)
from stationflow.model import Finding, warning
from stationflow.model.size_limits import (
    MOST_ELEMENTS,
    MOST_LOOKS,
    MOST_SHARED_ELEMENTS,
    MOST_SHARED_TEXTS,
    MOST_SHEETS,
    MOST_STYLES,
)

MOST_COMMENTS = 400  # on the cells of a sheet


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
            sheets.append(replace(sheet, comments=reader.comments(target)))
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

    def related(self, path: str) -> Iterator[tuple[str, str, str]]:
        """Yield id, kind and path of the parts that a part names."""
        folder, file = posixpath.split(path)
        for tag, attributes, _ in self.elements(f"{folder}/_rels/{file}.rels"):
            if tag == "Relationship" and attributes and attributes.get("TargetMode") != "External":
                target = attributes.get("Target", "").replace("\\", "/")
                inside = target if target.startswith("/") else posixpath.join(folder, target)
                kind = attributes.get("Type", "").rpartition("/")[2]
                yield attributes.get("Id", ""), kind, posixpath.normpath(inside).lstrip("/")

    def comments(self, sheet: str) -> tuple[tuple[int, int, str], ...]:
        """Return the comments on the cells of a sheet: row from 1, column from 0, text."""
        found: list[tuple[int, int, str]] = []
        for path in [path for _, kind, path in self.related(sheet) if kind == "comments"]:
            pieces: list[str] = []
            place = None
            for tag, attributes, text in self.elements(path, MOST_LOOKS):
                if tag == "comment" and attributes is not None:
                    place = REFERENCE.fullmatch(attributes.get("ref", ""))
                    pieces.clear()
                elif tag == "t" and attributes is None:
                    pieces.append(text)
                elif tag == "comment" and place and len(found) < MOST_COMMENTS:
                    said = " ".join(unescaped("".join(pieces)).split())
                    found.append((int(place[2]), column_position(place[1]), said))
        return tuple(found)

    def sheet_list(self, book: Book) -> list[tuple[str, str, bool]]:
        """Return title, part and hiddenness of the sheets."""
        if find_part(self.package, "xl/workbook.xml") is None:
            raise SourceError(self.name, "the workbook is damaged: it has no list of sheets.")
        targets = {name: path for name, _, path in self.related("xl/workbook.xml")}
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
