"""Writing a product workbook that an engineer can fill in without reading a manual."""

import io
import re
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from stationflow.files.codec import PLAN
from stationflow.files.product.product_rows import Values, rows_of
from stationflow.model import Finding, Plan, Product, error
from stationflow.model.schema.cells import written_value
from stationflow.model.schema.columns import Kind, Table
from stationflow.model.schema.tables import TABLE, TABLES
from stationflow.model.size_limits import LONGEST_TEXT

if TYPE_CHECKING:
    from xlsxwriter import Workbook
    from xlsxwriter.worksheet import Worksheet

GUIDE_SHEET = "Guide"
PLANS_SHEET = "Plans"
OPTIONS = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
HEADING = {"bold": True, "bg_color": "#E6ECF2", "bottom": 1, "text_wrap": True, "valign": "top"}
# Text format keeps a spreadsheet program from making dates of "1-2".
TEXT = {"num_format": "@", "valign": "top", "text_wrap": True}
PIECE = 30_000  # characters of a plan in one cell
FORM_ROWS = 2_000  # rows below the heading that get drop-downs and formats
PICTURE_ROW = 90  # height of a row with a picture, in points
PICTURE_PIXELS = 110
SOME_DAY = datetime(2000, 1, 1, tzinfo=UTC)  # the same product gives the same bytes on any day
# What a workbook cannot hold: control characters, half characters, and the escape of its XML.
NOT_STORED = re.compile(r"[\x00-\x08\x0b-\x1f\ud800-\udfff\ufffe\uffff]|x005F_")
WIDTHS = {Kind.TEXT: 32, Kind.KEYS: 18, Kind.NAMES: 22, Kind.PICTURE: 18}
GUIDE = (
    "This workbook holds one product. Each sheet is a table; the first row names the columns.",
    "Fill in Tasks first: number, name, time and predecessors. All else can follow later.",
    "A time's unit stands in its heading. You may change it to (min), (cmin), (h) or (tmu).",
    "Predecessors are task numbers parted by semicolons: 10; 20.",
    "Rows of Steps, Parts used, Tools, Checks and so on name the task they belong to.",
    "Shares are written 0.95 or 95 %. Leave a cell empty if you do not know.",
    "Put pictures (PNG or JPEG) on the sheet Pictures, each in the row of its name.",
    "Do not rename sheets or columns: what is not known is not read, and named as a finding.",
)


def write_workbook(
    product: Product, pictures: Mapping[str, bytes], plans: Sequence[Plan] = ()
) -> tuple[bytes, tuple[Finding, ...]]:
    """Return a product as the bytes of an `.xlsx` file, times in seconds, and what it cannot hold.

    Of the pictures, bytes by name, only those the product lists are written. Texts of over
    32,767 characters, or with control characters, stand in the workbook shortened.
    """
    from xlsxwriter import Workbook

    findings: list[Finding] = []
    out = io.BytesIO()
    with Workbook(out, OPTIONS) as book:
        book.set_properties({"title": product.name[:200], "created": SOME_DAY})
        formats = _formats(book)
        _write_guide(book, formats)
        rows = rows_of(product)
        for table in TABLES:
            sheet = book.add_worksheet(table.title)
            _write_headings(sheet, table, formats)
            for number, row in enumerate(rows[table.name], start=1):
                _write_row(sheet, table, number, row, findings)
        sheet = book.get_worksheet_by_name(TABLE["pictures"].title)
        _write_pictures(sheet, product, pictures)
        _write_plans(book, plans)
    return out.getvalue(), tuple(findings)


def _formats(book: "Workbook") -> dict[str, Any]:
    return {
        "title": book.add_format({"bold": True, "font_size": 16}),
        "heading": book.add_format(HEADING),
        "needed": book.add_format({**HEADING, "bg_color": "#CFE0F0", "bottom": 2}),
        "text": book.add_format(TEXT),
        "number": book.add_format({"valign": "top"}),
    }


def _write_guide(book: "Workbook", formats: Mapping[str, Any]) -> None:
    """Write the first sheet, which says how to fill in the others."""
    sheet = book.add_worksheet(GUIDE_SHEET)
    sheet.hide_gridlines(2)
    sheet.set_column(0, 0, 22)
    sheet.set_column(1, 1, 100)
    sheet.write_string(0, 0, "How to fill in this workbook", formats["title"])
    for row, sentence in enumerate(GUIDE, start=2):
        sheet.write_string(row, 0, sentence)
    start = len(GUIDE) + 3
    sheet.write_string(start, 0, "Sheet", formats["heading"])
    sheet.write_string(start, 1, "What it holds", formats["heading"])
    for row, table in enumerate(TABLES, start=start + 1):
        sheet.write_string(row, 0, table.title)
        sheet.write_string(row, 1, table.about)


def _write_headings(sheet: "Worksheet", table: Table, formats: Mapping[str, Any]) -> None:
    """Write headings with what to enter, column formats and drop-downs."""
    sheet.freeze_panes(1, 0)
    for place, column in enumerate(table.columns):
        is_number = column.kind in {Kind.NUMBER, Kind.WHOLE, Kind.SHARE, Kind.TIME}
        width = WIDTHS.get(column.kind, max(10, len(column.title) + 2))
        sheet.set_column(place, place, width, formats["number" if is_number else "text"])
        heading = formats["needed" if column.is_required else "heading"]
        sheet.write_string(0, place, column.title, heading)
        if column.about:
            sheet.write_comment(0, place, column.about)
        choices = ["yes", "no"] if column.kind == Kind.YES_NO else list(column.choices)
        if choices and column.kind in {Kind.YES_NO, Kind.CHOICE}:
            rule = {"validate": "list", "source": choices, "error_type": "warning"}
            sheet.data_validation(1, place, FORM_ROWS, place, rule)


def _write_row(
    sheet: "Worksheet", table: Table, number: int, row: Values, findings: list[Finding]
) -> None:
    for place, column in enumerate(table.columns):
        value = written_value(column, row[column.field])
        if isinstance(value, str):
            stored, problem = storable(value)
            if problem:
                where = f"sheet {table.title}, row {number + 1}, column {column.title}"
                findings.append(error("text-not-stored", where, problem))
            sheet.write_string(number, place, stored)
        elif value is not None:
            if float(f"{value:.16G}") == value:
                sheet.write_number(number, place, value)
            else:  # the file format keeps 16 digits; text keeps them all
                sheet.write_string(number, place, repr(value))


def storable(text: str) -> tuple[str, str]:
    """Return what a workbook can hold of a text, and what is lost; empty: nothing."""
    stored = NOT_STORED.sub("", text.replace("\r\n", "\n"))[:LONGEST_TEXT]
    if stored == text:
        return stored, ""
    if len(text) > LONGEST_TEXT:
        return stored, f"The text has {len(text)} characters; a workbook holds {LONGEST_TEXT}."
    return stored, "The text holds control characters, which a workbook cannot; they were left out."


def _write_pictures(sheet: "Worksheet", product: Product, pictures: Mapping[str, bytes]) -> None:
    """Put each picture beside its name; the file keeps its bytes as they are."""
    sheet.set_column(1, 1, 24)
    sheet.write_string(0, 1, "")
    for row, picture in enumerate(product.pictures, start=1):
        data = pictures.get(picture.name)
        if data is None:
            continue
        sheet.set_row(row, PICTURE_ROW)
        scale = PICTURE_PIXELS / max(_size(data))
        look = {"x_scale": scale, "y_scale": scale, "x_offset": 4, "y_offset": 4}
        about = {"object_position": 1, "description": picture.name}
        image = {"image_data": io.BytesIO(data), **look, **about}
        sheet.insert_image(row, 1, picture.name, image)


def _size(data: bytes) -> tuple[int, int]:
    """Return width and height of a picture in pixels."""
    from PIL import Image

    with Image.open(io.BytesIO(data), formats=("PNG", "JPEG")) as picture:
        return picture.size


def _write_plans(book: "Workbook", plans: Sequence[Plan]) -> None:
    """Write the plans in pieces to a hidden sheet."""
    sheet = book.add_worksheet(PLANS_SHEET)
    sheet.hide()
    sheet.write_string(0, 0, "Plan")
    sheet.write_string(0, 1, "Content")
    row = 1
    for number, plan in enumerate(plans, start=1):
        # The reading library drops "x005F_"; as JSON this says the same without it.
        text = PLAN.to_json(plan).replace("x005F_", "x\\u003005F_")
        for start in range(0, len(text), PIECE):
            sheet.write_number(row, 0, number)
            sheet.write_string(row, 1, text[start : start + PIECE])
            row += 1
