"""What LibreOffice Calc makes of exported tables: texts, numbers and charts stay what they are."""

import csv
import io
import zipfile
from pathlib import Path

import pytest
from openpyxl import load_workbook

from stationflow.files.exports.sheets_out import (
    LoadColumns,
    SheetColumn,
    SheetTable,
    table_csv,
    tables_xlsx,
)

pytestmark = pytest.mark.office

TEXTS = (
    "=1+1",
    "+1+1",
    "-1+1",
    "@SUM(A1)",
    " =1+1",
    "\u00a0=1+1",
    "\uff1d1+1",
    "\t=1+1",
    "a;=1+1",
    "a\n=1+1",
    'a";=1+1;"',
    "=HYPERLINK(\"https://x.test\";\"x\")",
    "{=1+1}",
    "010",
    "1-2",
    "漢字 é",
)  # fmt: skip
NUMBERS = (-5.5, 0, 7, 1e-3, 123456.789)
# Separator, quote, character set (76: UTF-8), first row; field format 2 is text, 1 is standard.
COMMAS = "CSV:44,34,76,1"
SEMICOLONS = "CSV:59,34,76,1"


def table() -> SheetTable:
    return SheetTable(
        name="x",
        title="Sheet X",
        columns=(SheetColumn(title="Text"), SheetColumn(title="Load", unit="s")),
        rows=tuple((text, n) for text, n in zip(TEXTS, NUMBERS * 4, strict=False)),
    )


STATIONS = SheetTable(
    name="stations", title="Stations",
    columns=tuple(SheetColumn(title=t) for t in ("Station", "Load", "Idle", "Limit")),
    rows=((1, 5.0, 1.0, 6.0), (2, 6.0, 0.0, 6.0)),
    chart=LoadColumns(station=0, load=1, idle=2, limit=3),
)  # fmt: skip


@pytest.fixture(scope="module")
def saved(convert, tmp_path_factory) -> dict[str, bytes]:
    """Return exported tables as LibreOffice saved them: as workbooks, and as CSV."""
    folder = tmp_path_factory.mktemp("tables")
    given: dict[str, bytes] = {
        "ours.csv": table_csv(table()),
        "bare.csv": b"Text\n=1+1\n",
        "table.xlsx": tables_xlsx([table()]),
        "stations.xlsx": tables_xlsx([STATIONS]),
    }
    for name, content in given.items():
        (folder / name).write_bytes(content)
    csvs = [folder / "ours.csv", folder / "bare.csv"]
    books = [folder / "table.xlsx", folder / "stations.xlsx"]
    files: dict[str, Path] = dict(
        zip(("commas", "bare"), convert("xlsx", *csvs, read_as=COMMAS), strict=True)
    )
    files["semicolons"] = convert("xlsx", csvs[0], read_as=SEMICOLONS)[0]
    files |= zip(("table", "stations"), convert("xlsx", *books), strict=True)
    files["csv"] = convert("csv:Text - txt - csv (StarCalc):44,34,76,1", books[0])[0]
    return {name: file.read_bytes() for name, file in files.items()}


def kinds(data: bytes) -> set[str]:
    """Return the kinds of all cells: "s" text, "n" number or empty, "f" formula."""
    sheet = load_workbook(io.BytesIO(data)).worksheets[0]
    return {cell.data_type for row in sheet.iter_rows() for cell in row}


def test_the_check_is_sharp_since_a_bare_table_does_give_a_formula(saved):
    assert "f" in kinds(saved["bare"])


@pytest.mark.parametrize("way", ["commas", "semicolons", "table"])
def test_no_text_becomes_a_formula(saved, way: str):
    assert "f" not in kinds(saved[way])


def test_every_text_that_looks_like_a_formula_is_seen_in_the_csv_table_as_text(saved):
    sheet = load_workbook(io.BytesIO(saved["commas"])).worksheets[0]
    shown = [cell.data_type for cell in sheet["A"][1:13]]
    assert set(shown) == {"s"}


def test_numbers_of_a_csv_table_are_numbers(saved):
    sheet = load_workbook(io.BytesIO(saved["commas"])).worksheets[0]
    assert [cell.value for cell in sheet["B"][1:6]] == list(NUMBERS)


def test_characters_of_all_scripts_arrive_by_the_mark_of_utf_8(saved):
    sheet = load_workbook(io.BytesIO(saved["commas"])).worksheets[0]
    assert (sheet["A1"].value, sheet["A17"].value) == ("Text", "漢字 é")


def test_every_text_of_a_workbook_is_the_same_after_saving(saved):
    sheet = load_workbook(io.BytesIO(saved["table"])).worksheets[0]
    assert [cell.value for cell in sheet["A"][1:]] == list(TEXTS)


def test_numbers_of_a_workbook_are_numbers_after_saving(saved):
    sheet = load_workbook(io.BytesIO(saved["table"])).worksheets[0]
    assert [cell.value for cell in sheet["B"][1:6]] == list(NUMBERS)


def test_a_workbook_saved_as_csv_has_the_texts(saved):
    rows = list(csv.reader(io.StringIO(saved["csv"].decode("utf-8-sig"), newline="")))
    assert [row[0] for row in rows[1:]] == list(TEXTS)


def test_a_native_load_chart_survives(saved):
    with zipfile.ZipFile(io.BytesIO(saved["stations"])) as book:
        charts = [n for n in book.namelist() if n.startswith("xl/charts/chart")]
        drawn = book.read(charts[0]).decode()
    assert all(f"${c}$2:${c}$3" in drawn for c in "BCD")


def test_a_native_load_chart_still_has_columns_and_a_line(saved):
    with zipfile.ZipFile(io.BytesIO(saved["stations"])) as book:
        drawn = book.read("xl/charts/chart1.xml").decode()
    assert ("c:barChart" in drawn, "c:lineChart" in drawn) == (True, True)
