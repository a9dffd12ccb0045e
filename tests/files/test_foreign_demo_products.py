"""Demo products, exported and taken in again as strangers' sheets, ask nothing and are the same."""

from pathlib import Path

import pytest

import stationflow as sf
from stationflow.actions.showing.exporting import What, product_tables
from stationflow.files.exports.sheets_out import table_csv, tables_xlsx
from stationflow.files.foreign.columns.headings import guess_mapping
from stationflow.files.foreign.import_report import SheetImport
from stationflow.files.foreign.rows.sheet_rows import read_rows
from stationflow.files.foreign.sheets.foreign_file import read_foreign
from stationflow.files.product.workbook_writing import write_workbook
from stationflow.model import Part, Product, Task

DEMOS = Path(__file__).parents[2] / "demo_products"
NAMES = ("air_purifier", "control_cabinet", "desk_fan", "stand_mixer")
WAYS = ("workbook", "csv", "xlsx")
SHEETS = {What.TASKS: "Tasks", What.PARTS: "Parts"}


@pytest.fixture(scope="module", params=NAMES)
def product(request) -> Product:
    return sf.read_product(DEMOS / request.param)[0]


def taken_in(product: Product, what: What, way: str) -> SheetImport:
    """Return what the foreign reader makes of an exported table."""
    if way == "workbook":
        content = write_workbook(product, {})[0]
    else:
        table = product_tables(product, what)
        content = table_csv(table) if way == "csv" else tables_xlsx([table])
    file = read_foreign(content, "sheet")
    sheet = file.sheet(SHEETS[what]) or file.sheets[0]
    return read_rows(sheet, guess_mapping(sheet), {})


def said(record: Task | Part) -> tuple[object, ...]:
    """Return what a table of tasks or parts says of a record."""
    if isinstance(record, Part):
        return (record.number, record.name, record.quantity, record.unit_label)
    return (
        record.number, record.name, record.line, record.time_ms, record.predecessors,
        record.machine, record.remark,
    )  # fmt: skip


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("what", list(SHEETS))
def test_an_exported_demo_product_is_asked_nothing(product: Product, what: What, way: str):
    assert [offer.sentence for offer in taken_in(product, what, way).offers] == []


@pytest.mark.parametrize("way", WAYS)
def test_the_tasks_of_an_exported_demo_product_are_the_same(product: Product, way: str):
    records = taken_in(product, What.TASKS, way).records
    assert [said(record) for record in records] == [said(task) for task in product.tasks]


@pytest.mark.parametrize("way", WAYS)
def test_the_parts_of_an_exported_demo_product_are_the_same(product: Product, way: str):
    records = taken_in(product, What.PARTS, way).records
    assert [said(record) for record in records] == [said(part) for part in product.parts]
