"""A product workbook: the same tables as sheets, pictures and plans included."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from pathlib import Path

from stationflow.errors import SourceError
from stationflow.files.foreign.foreign_sheet import DateCell, FormulaWithoutValue, ShownNumber
from stationflow.files.foreign.sheets.workbook_file import read_foreign_workbook
from stationflow.files.foreign.sheets.workbook_parts import PACKED, refuse_other_kinds
from stationflow.files.product.folder_access import source_bytes
from stationflow.files.product.product_folder import (
    ProductFile,
    product_file,
    read_pictures,
    read_plan,
)
from stationflow.files.product.table_reading import Found, Row, heading_key, read_table
from stationflow.files.product.workbook_pictures import pictures_by_row
from stationflow.files.product.workbook_writing import GUIDE_SHEET, PLANS_SHEET
from stationflow.model import Plan, Severity, warning
from stationflow.model.schema.cells import FormulaError
from stationflow.model.schema.tables import TABLE, TABLES
from stationflow.model.size_limits import LARGEST_WORKBOOK, MOST_PLANS

Grid = list[tuple[object, ...]]
BY_TITLE = {heading_key(table.title): table for table in TABLES}


def read_workbook(source: Path | str | bytes) -> ProductFile:
    """Read a product workbook.

    `source` is the path of an `.xlsx` file, or its bytes.

    Raises `SourceError` if it is no workbook, or too large when unpacked.
    """
    name = "workbook" if isinstance(source, bytes) else str(source)
    data = source if isinstance(source, bytes) else source_bytes(Path(source), LARGEST_WORKBOOK)
    refuse_other_kinds(data, name)
    if not data.startswith(PACKED):
        problem = "it is not a workbook (.xlsx)."
        raise SourceError(name, problem, "Save it as .xlsx in a spreadsheet program.")
    known = {heading_key(title) for title in (PLANS_SHEET, *(table.title for table in TABLES))}
    read = read_foreign_workbook(data, name, lambda title: heading_key(title) in known)
    sheets = {
        sheet.name: [tuple(map(plain_cell, row)) for row in sheet.rows] for sheet in read.sheets
    }
    try:
        images = pictures_by_row(data, TABLE["pictures"].title)
        found = Found()
        for finding in read.findings:
            table = BY_TITLE.get(heading_key(finding.where.removeprefix("sheet ")))
            if table:
                found.miss(replace(finding, severity=Severity.ERROR), table)
            else:
                found.add(finding)
        rows = _rows(sheets, found)
        pictures = read_pictures(_named(images, sheets), found)
    except Exception as cause:  # the part with the pictures is read by a library that raises a lot
        raise SourceError(
            name,
            "it is not a workbook that can be read: a part of it is missing or broken.",
            "Open it in a spreadsheet program and save it again as .xlsx.",
        ) from cause
    code = "product" if isinstance(source, bytes) else Path(source).stem
    where = f"sheet {TABLE['product'].title}"
    plans = _plans(sheets.get(PLANS_SHEET, []), found)
    return product_file(rows, code, pictures, plans, where, found)


def plain_cell(cell: object) -> object:
    """Return a cell as the tables take it."""
    if isinstance(cell, DateCell | ShownNumber):
        return cell.value
    return FormulaError(str(cell)) if isinstance(cell, FormulaWithoutValue) else cell


def _rows(sheets: dict[str, Grid], found: Found) -> dict[str, list[Row]]:
    rows: dict[str, list[Row]] = {}
    for title, grid in sheets.items():
        table = BY_TITLE.get(heading_key(title))
        if table and table.name not in rows:
            rows[table.name] = read_table(table, grid, f"sheet {title}", found)
        elif title not in (GUIDE_SHEET, PLANS_SHEET):
            known = ", ".join(table.title for table in TABLES)
            message = f"It is not one of the sheets of a product ({known}); it was not read."
            found.add(warning("unknown-table", f"sheet {title}", message))
    return rows


def _named(
    images: Iterator[tuple[int, bytes]], sheets: dict[str, Grid]
) -> Iterator[tuple[str, bytes]]:
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
        for number, texts in islice(pieces.items(), MOST_PLANS)
    )
    return tuple(plan for plan in read if plan)
