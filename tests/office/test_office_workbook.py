"""Product workbooks that LibreOffice Calc opened and saved read back to the same product."""

import io
from dataclasses import replace
from pathlib import Path

import pytest
from openpyxl import load_workbook
from small_products import BOARD_LAMP, LAMP, MIXED, PICTURES

from stationflow.files.product.workbook import read_workbook
from stationflow.files.product.workbook_writing import write_workbook
from stationflow.model import Product, Step, Task
from stationflow.units import TimeUnit

pytestmark = pytest.mark.office

HOSTILE = replace(
    LAMP,
    code="007",
    name="=1+1",
    remarks="Line one\nLine two\n\n  indented, with an end",
    time_unit=TimeUnit.CENTIMINUTE,
    tasks=(
        Task(number="1-2", name="@SUM(A1)", time_ms=36, line="main"),
        Task(number="010", name="+49 30", time_ms=1_234_567_891, predecessors=("1-2",)),
        Task(number="1e3", name="-5 °C", predecessors=("010",),
             steps=(Step(text="'=x", key_point="漢字", reason="TRUE"),)),
        Task(number="3/4", name="12:30", time_ms=5000, predecessors=("1e3", "1-2")),
    ),
    parts=(),
    pictures=(),
)  # fmt: skip
"""Texts that spreadsheet programs like to take for formulas, dates, numbers and truths."""
PRODUCTS = [LAMP, BOARD_LAMP, MIXED, HOSTILE]


@pytest.fixture(scope="module")
def saved(convert, tmp_path_factory) -> dict[tuple[str, str], bytes]:
    """Return the workbooks of all products as LibreOffice saved them, by code and way."""
    folder = tmp_path_factory.mktemp("ours")
    files = []
    for product in PRODUCTS:
        file = folder / f"{product.code}.xlsx"
        pictures = {p.name: PICTURES[p.name] for p in product.pictures}
        file.write_bytes(write_workbook(product, pictures)[0])
        files.append(file)
    direct = convert("xlsx", *files)
    through = convert("xlsx", *convert("ods", *files))
    ways = {"xlsx": direct, "ods": through}
    return {
        (product.code, way): file.read_bytes()
        for way, converted in ways.items()
        for product, file in zip(PRODUCTS, converted, strict=True)
    }


def bare(product: Product) -> Product:
    """Return a product without its pictures, whose bytes the other program makes anew."""
    return replace(product, pictures=())


@pytest.mark.parametrize("way", ["xlsx", "ods"])
@pytest.mark.parametrize("product", PRODUCTS, ids=lambda p: p.code)
def test_a_saved_workbook_reads_back_to_the_same_product(saved, product: Product, way: str):
    assert bare(read_workbook(saved[product.code, way]).product) == bare(product)


@pytest.mark.parametrize("way", ["xlsx", "ods"])
def test_a_saved_workbook_has_nothing_to_complain_about(saved, way: str):
    assert read_workbook(saved["L-100", way]).findings == ()


@pytest.mark.parametrize("way", ["xlsx", "ods"])
def test_a_picture_keeps_its_row(saved, way: str):
    assert [name for name, _ in read_workbook(saved["L-100", way]).pictures] == ["base.png"]


@pytest.mark.parametrize("way", ["xlsx", "ods"])
def test_no_text_became_a_formula(saved, way: str):
    book = load_workbook(io.BytesIO(saved["007", way]))
    kinds = {cell.data_type for sheet in book for row in sheet.iter_rows() for cell in row}
    assert "f" not in kinds


# A flat OpenDocument sheet: formulas, a date, a share in percent. Written by hand after
# OpenDocument 1.3 part 3, sections 9 and 19.
FLAT = """<?xml version="1.0" encoding="UTF-8"?>
<office:document xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"
 xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"
 xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"
 xmlns:of="urn:oasis:names:tc:opendocument:xmlns:of:1.2"
 xmlns:number="urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0"
 xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0"
 office:version="1.2" office:mimetype="application/vnd.oasis.opendocument.spreadsheet">
<office:automatic-styles>
<number:date-style style:name="N1"><number:day/><number:text>.</number:text><number:month/>
<number:text>.</number:text><number:year number:style="long"/></number:date-style>
<style:style style:name="day" style:family="table-cell" style:data-style-name="N1"/>
<number:percentage-style style:name="N2"><number:number number:decimal-places="0"
 number:min-integer-digits="1"/><number:text>%</number:text></number:percentage-style>
<style:style style:name="share" style:family="table-cell" style:data-style-name="N2"/>
</office:automatic-styles>
<office:body><office:spreadsheet>BODY</office:spreadsheet></office:body></office:document>"""


def text(words: str) -> str:
    return (
        f'<table:table-cell office:value-type="string"><text:p>{words}</text:p></table:table-cell>'
    )


def number(value: float) -> str:
    return f'<table:table-cell office:value-type="float" office:value="{value}"/>'


def formula(words: str) -> str:
    return f'<table:table-cell table:formula="of:={words}"/>'


SHARE = (
    '<table:table-cell table:style-name="share" office:value-type="percentage" '
    'office:value="0.95"/>'
)
DAY = (
    '<table:table-cell table:style-name="day" office:value-type="date" '
    'office:date-value="2026-02-01"/>'
)
TITLE = (
    '<table:table-cell table:number-columns-spanned="3" office:value-type="string">'
    "<text:p>Tasks of the lamp</text:p></table:table-cell><table:covered-table-cell/>"
    "<table:covered-table-cell/>"
)


def sheet(name: str, *rows: str) -> str:
    body = "".join(f"<table:table-row>{row}</table:table-row>" for row in rows)
    return f'<table:table table:name="{name}">{body}</table:table>'


@pytest.fixture(scope="module")
def made_there(convert, tmp_path_factory) -> dict[str, bytes]:
    """Return workbooks that LibreOffice made from sheets without computed values."""
    folder = tmp_path_factory.mktemp("flat")
    tasks = (
        text("Number") + text("Time (s)") + text("Predecessors"),
        text("010") + formula("7+[.A4]") + text(""),
        text("020") + number(3) + DAY,
        number(0.5),
    )
    product = sheet("Product", text("Code"), text("P-1"))
    demand = sheet("Demand", text("Quantity") + text("Yield share"), number(480) + SHARE)
    dirty = sheet(
        "Sheet 1",
        TITLE,
        text(""),
        text("No") + text("Task") + text("Time"),
        number(10) + text("Fit base") + formula("3*2.5"),
        number(20) + DAY + SHARE,
        number(30) + text("Fit lid") + formula("1/0"),
    )
    bodies = {"product": product + sheet("Tasks", *tasks) + demand, "dirty": dirty}
    files: list[Path] = []
    for name, body in bodies.items():
        files.append(folder / f"{name}.fods")
        files[-1].write_text(FLAT.replace("BODY", body), "utf-8")
    return {file.stem: file.read_bytes() for file in convert("xlsx", *files)}


def test_a_formula_counts_with_the_value_the_other_program_computed(made_there):
    assert read_workbook(made_there["product"]).product.tasks[0].time_ms == 7500


def test_a_share_in_percent_is_read_as_a_share(made_there):
    assert read_workbook(made_there["product"]).product.demand.yield_share == 0.95


def test_a_date_among_task_numbers_is_named(made_there):
    found = read_workbook(made_there["product"]).findings
    assert ("value-not-read", "sheet Tasks, row 3, column Predecessors") in [
        (f.code, f.where) for f in found
    ]


def test_a_merged_title_stands_in_its_first_cell_of_a_foreign_sheet(made_there):
    from stationflow.files.foreign.sheets.foreign_file import read_foreign

    read = read_foreign(made_there["dirty"], "dirty.xlsx").sheets[0]
    assert (read.cell(1, 0), len(read.merged)) == ("Tasks of the lamp", 1)


def test_a_formula_of_a_foreign_sheet_counts_with_its_value(made_there):
    from stationflow.files.foreign.sheets.foreign_file import read_foreign

    assert read_foreign(made_there["dirty"], "dirty.xlsx").sheets[0].cell(4, 2) == 7.5


@pytest.mark.parametrize(
    ("row", "column", "shown"), [(5, 1, "2026-02-01"), (5, 2, "95%"), (6, 2, "#DIV/0!")]
)
def test_dates_shares_and_failed_formulas_of_a_foreign_sheet_are_told_apart(
    made_there, row: int, column: int, shown: str
):
    from stationflow.files.foreign.sheets.foreign_file import read_foreign

    assert str(read_foreign(made_there["dirty"], "d.xlsx").sheets[0].cell(row, column)) == shown
