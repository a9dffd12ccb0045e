"""The pictures on a sheet of a workbook, byte for byte as they were put in.

A picture lies on a *drawing* of its sheet, anchored to a row; its bytes are a
part of the workbook. Structure: ECMA-376 Part 1, sections 18.3 and 20.5.
"""

import io
import zipfile
from collections.abc import Iterator
from xml.etree import ElementTree

from stationflow.model.size_limits import LARGEST_PICTURE

RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
DRAWING = "{http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing}"
MAIN = "{http://schemas.openxmlformats.org/drawingml/2006/main}"
LARGEST_XML = 5_000_000  # bytes of one part


def pictures_by_row(data: bytes, sheet: str) -> Iterator[tuple[int, bytes]]:
    """Yield row (from 0) and bytes of each picture on a sheet, from top to bottom.

    Raises `KeyError` and `ElementTree.ParseError` and `zipfile.BadZipFile` if parts of the workbook
    are missing or broken.
    """
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        part = _sheet_part(book, sheet)
        found: list[tuple[int, str]] = []
        for drawing in _related(book, part).values() if part else ():
            if "/drawings/" in f"/{drawing}" and drawing.endswith(".xml"):
                found += _on_drawing(book, drawing)
        for row, target in sorted(found, key=lambda picture: picture[0]):
            with book.open(target) as file:
                yield row, file.read(LARGEST_PICTURE + 1)


def _sheet_part(book: zipfile.ZipFile, sheet: str) -> str:
    targets = _related(book, "xl/workbook.xml")
    for element in _xml(book, "xl/workbook.xml").iter():
        if element.tag.endswith("}sheet") and element.get("name") == sheet:
            return targets.get(element.get(f"{RELATION}id", ""), "")
    return ""


def _on_drawing(book: zipfile.ZipFile, drawing: str) -> list[tuple[int, str]]:
    """Return row and part of each picture on a drawing."""
    targets = _related(book, drawing)
    found = []
    for anchor in _xml(book, drawing):
        row = anchor.findtext(f"{DRAWING}from/{DRAWING}row", "")
        image = anchor.find(f".//{MAIN}blip")
        target = targets.get(image.get(f"{RELATION}embed", ""), "") if image is not None else ""
        if row.isdecimal() and len(row) < 9 and target:
            found.append((int(row), target))
    return found


def _related(book: zipfile.ZipFile, part: str) -> dict[str, str]:
    """Return the parts that one part points to, by their identifiers."""
    from openpyxl.packaging.relationship import get_dependents, get_rels_path

    relations = get_rels_path(part)
    if relations not in book.namelist():
        return {}
    found = get_dependents(book, relations)
    return {each.Id: each.Target for each in found if each.TargetMode != "External"}


def _xml(book: zipfile.ZipFile, part: str) -> ElementTree.Element:
    with book.open(part) as file:
        text = file.read(LARGEST_XML)
    return ElementTree.fromstring(text)
