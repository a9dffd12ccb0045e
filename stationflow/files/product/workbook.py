"""A product workbook: the same tables as sheets, pictures and plans included."""

import io
import warnings
import zipfile
import zlib
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from stationflow.errors import SourceError
from stationflow.files.product.folder_access import source_bytes
from stationflow.files.product.product_folder import (
    ProductFile,
    product_file,
    read_pictures,
    read_plan,
)
from stationflow.files.product.table_reading import (
    MOST_COLUMNS,
    MOST_ROWS,
    Found,
    Row,
    heading_key,
    read_table,
)
from stationflow.files.product.workbook_pictures import pictures_by_row
from stationflow.files.product.workbook_writing import GUIDE_SHEET, PLANS_SHEET
from stationflow.model import Plan, warning
from stationflow.model.schema.cells import FormulaError
from stationflow.model.schema.tables import TABLE, TABLES

LARGEST_WORKBOOK = 200_000_000  # bytes of the file
LARGEST_UNPACKED = 500_000_000  # bytes of all its parts but pictures
LARGEST_SHEET = 100_000_000  # bytes of one part that is not a picture
MOST_PARTS = 10_000
# Parts by which a zip is known as a workbook, and how a compound file begins: an .xls, or a
# workbook with a password ([MS-CFB], 2.2).
CONTENTS = ("xl/workbook.xml", "xl/workbook.bin", "xl/_rels/workbook.xml.rels")
OLD_FORMAT = b"\xd0\xcf\x11\xe0"
MOST_BLANK_ROWS = 1_000  # one after the other; what is below does not belong to the table

Grid = list[tuple[object, ...]]


def read_workbook(source: Path | str | bytes) -> ProductFile:
    """Read a product workbook.

    `source` is the path of an `.xlsx` file, or its bytes.

    Raises `SourceError` if it is no workbook, or too large when unpacked.
    """
    name = "workbook" if isinstance(source, bytes) else str(source)
    data = source if isinstance(source, bytes) else source_bytes(Path(source), LARGEST_WORKBOOK)
    check_size(data, name)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of styles and charts, which no table needs
            sheets = dict(_sheets(data))
        images = pictures_by_row(data, TABLE["pictures"].title)
    except Exception as cause:  # a broken workbook raises almost anything in the library
        raise SourceError(
            name,
            "it is not a workbook that can be read: a part of it is missing or broken.",
            "Open it in a spreadsheet program and save it again as .xlsx.",
        ) from cause
    found = Found()
    rows = _rows(sheets, found)
    pictures = read_pictures(_named(images, sheets), found)
    code = "product" if isinstance(source, bytes) else Path(source).stem
    where = f"sheet {TABLE['product'].title}"
    plans = _plans(sheets.get(PLANS_SHEET, []), found)
    return product_file(rows, code, pictures, plans, where, found)


def check_size(data: bytes, name: str) -> None:
    """Refuse a workbook that would fill the memory, before anything is unpacked.

    Raises `SourceError` if it is no workbook, or too large packed or unpacked.
    """
    if len(data) > LARGEST_WORKBOOK:
        raise SourceError(name, f"it is larger than {LARGEST_WORKBOOK // 1_000_000} MB.")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            parts = packed.infolist()
            start = packed.read("mimetype")[:200] if "mimetype" in packed.namelist() else b""
    except (
        zipfile.BadZipFile,
        ValueError,
        NotImplementedError,  # an unknown compression, or a later zip version
        OSError,
        RuntimeError,  # a password
        zlib.error,
    ) as cause:
        raise SourceError(name, *_what_it_is(data)) from cause
    sizes = [p.file_size for p in parts]
    others = [p.file_size for p in parts if not p.filename.startswith("xl/media/")]
    too_large = sum(sizes) > LARGEST_UNPACKED or max(others, default=0) > LARGEST_SHEET
    if too_large or len(parts) > MOST_PARTS:
        raise SourceError(name, "the workbook is too large when unpacked.", "Shrink it.")
    if not any(p.filename in CONTENTS for p in parts):
        raise SourceError(name, *_what_the_zip_is(start))


NO_WORKBOOK = "it is not a workbook (.xlsx)"
SAVE_AS = "Open it in a spreadsheet program and save it as .xlsx"


def _what_it_is(data: bytes) -> tuple[str, str]:
    """Return what a file is that is no zip, and what to do."""
    if not data:
        return f"{NO_WORKBOOK}: it is empty.", "Save it again as .xlsx in a spreadsheet program."
    if data.startswith(OLD_FORMAT):
        problem = f"{NO_WORKBOOK}: it is of the old format (.xls), or locked."
        return problem, f"{SAVE_AS} without a password."
    return f"{NO_WORKBOOK}.", "Save it as .xlsx in a spreadsheet program."


def _what_the_zip_is(mimetype: bytes) -> tuple[str, str]:
    """Return what a zip is that is no workbook, and what to do."""
    if b"opendocument" in mimetype:
        return f"{NO_WORKBOOK}: it is an OpenDocument file.", f"{SAVE_AS}."
    problem = f"{NO_WORKBOOK}: it is a zip archive with something else in it."
    return problem, "Give the workbook itself, saved as .xlsx in a spreadsheet program."


def _sheets(data: bytes) -> Iterator[tuple[str, Grid]]:
    from openpyxl import load_workbook

    known = {heading_key(title) for title in (PLANS_SHEET, *(table.title for table in TABLES))}
    book = load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
    try:
        for sheet in book.worksheets:
            sheet.reset_dimensions()  # what the file says about its size need not be true
            yield sheet.title, _grid(sheet) if heading_key(sheet.title) in known else []
    finally:
        book.close()


def _grid(sheet: Any) -> Grid:
    """Return the cells of a sheet, down to where nothing follows."""
    grid: Grid = []
    blanks = 0
    for row in sheet.iter_rows(max_col=MOST_COLUMNS + 1):
        cells = [FormulaError(str(c.value)) if c.data_type == "e" else c.value for c in row]
        while cells and cells[-1] is None:
            cells.pop()
        blanks = 0 if cells else blanks + 1
        if blanks > MOST_BLANK_ROWS or len(grid) > MOST_ROWS:
            break
        grid.append(tuple(cells))
    return grid


def _rows(sheets: dict[str, Grid], found: Found) -> dict[str, list[Row]]:
    by_title = {heading_key(table.title): table for table in TABLES}
    rows: dict[str, list[Row]] = {}
    for title, grid in sheets.items():
        table = by_title.get(heading_key(title))
        if table and table.name not in rows:
            rows[table.name] = read_table(table, grid, f"sheet {title}", found)
        elif title not in (GUIDE_SHEET, PLANS_SHEET):
            known = ", ".join(table.title for table in TABLES)
            message = f"It is not one of the sheets of a product ({known}); it was not read."
            found.add(warning("unknown-table", f"sheet {title}", message))
    return rows


def _named(images: list[tuple[int, bytes]], sheets: dict[str, Grid]) -> Iterator[tuple[str, bytes]]:
    """Yield the pictures with the names that stand in their rows."""
    grid = sheets.get(TABLE["pictures"].title, [])
    for row, data in images:
        name = grid[row][0] if row < len(grid) and grid[row] else None
        yield str(name or f"picture in row {row + 1}"), data


def _plans(grid: Grid, found: Found) -> tuple[Plan, ...]:
    """Return the plans, put together from their pieces."""
    pieces: dict[str, list[str]] = defaultdict(list)
    for row in grid[1:]:
        if len(row) >= 2 and row[0] is not None and isinstance(row[1], str):
            pieces[str(row[0])].append(row[1])
    read = (
        read_plan("".join(texts), f"sheet {PLANS_SHEET}, plan {number[:20]}", found)
        for number, texts in pieces.items()
    )
    return tuple(plan for plan in read if plan)
