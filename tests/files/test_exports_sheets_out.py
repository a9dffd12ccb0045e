"""Tables that go out: no cell is a formula, and what is read back is what went out."""

import csv
import io
import re

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from stationflow.files.csv_text import read_csv
from stationflow.files.exports.sheets_out import (
    LoadColumns,
    SheetColumn,
    SheetTable,
    lost_in,
    table_csv,
    tables_xlsx,
)

# The first characters that OWASP's page "CSV Injection" names, full-width forms included.
STARTS = ("=", "+", "-", "@", "\t", "\r", "\uff1d", "\uff0b", "\uff0d", "\uff20")
NUMBER = re.compile(r"-?[0-9.]+(e[+-][0-9]+)?")

hostile = st.lists(
    st.sampled_from(
        [*STARTS, "\n", ";", ",", '"', "'", " ", "\u00a0", "1", "a", "SUM(A1)", "cmd|'/C x'!A1",
         "https://x.test", "{=1}", "漢", "é"]
    ),
    max_size=7,
).map("".join)  # fmt: skip
cells = st.one_of(
    hostile, hostile, st.none(), st.integers(-1000, 1000), st.floats(-1e9, 1e9, allow_nan=False)
)


def table(rows: list[list[object]], titles: tuple[str, ...] = ()) -> SheetTable:
    width = max((len(row) for row in rows), default=1)
    titles = titles or tuple(f"C{n}" for n in range(width))
    full = tuple(tuple([*row, *[None] * (width - len(row))]) for row in rows)
    columns = tuple(SheetColumn(title=title) for title in titles)
    return SheetTable(name="x", title="Sheet X", columns=columns, rows=full)


texts = st.lists(st.lists(hostile, min_size=2, max_size=2), min_size=1, max_size=4)
rows_of_cells = st.lists(st.lists(cells, min_size=2, max_size=2), min_size=1, max_size=4)


def begins_a_formula(cell: str) -> bool:
    bare = cell.lstrip(" \u00a0")
    return bare.startswith(STARTS) and not NUMBER.fullmatch(bare)


@settings(deadline=None, max_examples=50)
@given(rows_of_cells)
def test_no_cell_of_a_csv_table_begins_a_formula(rows: list[list[object]]):
    text = table_csv(table(rows)).decode("utf-8-sig")
    read = csv.reader(io.StringIO(text, newline=""))
    assert not [cell for row in read for cell in row if begins_a_formula(cell)]


@settings(deadline=None, max_examples=50)
@example([["", '\r"=1']], ";")
@example([['a;"=1', ""]], ";")
@given(texts, st.sampled_from([";", "\t"]))
def test_no_piece_begins_a_formula_for_a_program_with_another_delimiter(
    rows: list[list[object]], delimiter: str
):
    text = table_csv(table(rows)).decode("utf-8-sig")
    read = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    assert not [cell for row in read for cell in row if begins_a_formula(cell)]


@settings(deadline=None, max_examples=50)
@given(texts)
def test_texts_are_read_back_from_csv(rows: list[list[str]]):
    assert list(read_csv(table_csv(table(rows))))[1:] == rows


@settings(deadline=None, max_examples=50)
@given(rows_of_cells)
def test_no_cell_of_a_workbook_is_a_formula(rows: list[list[object]]):
    sheet = load_workbook(io.BytesIO(tables_xlsx([table(rows)]))).worksheets[0]
    assert "f" not in {cell.data_type for row in sheet.iter_rows() for cell in row}


@settings(deadline=None, max_examples=50)
@given(rows_of_cells)
def test_cells_are_read_back_from_a_workbook(rows: list[list[object]]):
    sheet = load_workbook(io.BytesIO(tables_xlsx([table(rows)]))).worksheets[0]
    read = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=2, max_col=2)]
    # A workbook keeps 16 digits and neither carriage returns nor empty texts.
    kept = [
        [c.replace("\r\n", "\n").replace("\r", "") or None if isinstance(c, str) else c for c in r]
        for r in rows
    ]
    while kept and kept[-1] == [None, None]:
        kept.pop()
    assert read[: len(kept)] == [
        [c if isinstance(c, str) or c is None else pytest.approx(c) for c in r] for r in kept
    ]


def test_a_csv_table_begins_with_the_mark_of_utf_8():
    assert table_csv(table([["é"]])).startswith(b"\xef\xbb\xbf")


def test_a_heading_that_begins_like_a_formula_is_text_too():
    text = table_csv(table([["x"]], titles=("=1+1",))).decode("utf-8-sig")
    assert text.startswith("'=1+1")


def test_a_negative_number_stays_a_number_in_csv():
    assert table_csv(table([[-5.5]])).endswith(b"\n-5.5\n")


def test_numbers_are_numbers_in_a_workbook():
    sheet = load_workbook(io.BytesIO(tables_xlsx([table([[-5.5]])]))).worksheets[0]
    assert (sheet["A2"].value, sheet["A2"].data_type) == (-5.5, "n")


def test_what_is_no_number_stands_as_text_in_a_workbook():
    sheet = load_workbook(io.BytesIO(tables_xlsx([table([[float("nan")]])]))).worksheets[0]
    assert sheet["A2"].value == "nan"


def test_headings_stay_in_view():
    sheet = load_workbook(io.BytesIO(tables_xlsx([table([["a"]])]))).worksheets[0]
    assert sheet.freeze_panes == "B2"


def test_a_heading_carries_its_unit():
    assert SheetColumn(title="Load", unit="s").heading == "Load (s)"


def test_the_same_tables_give_the_same_bytes():
    assert tables_xlsx([table([["a", 1]])]) == tables_xlsx([table([["a", 1]])])


def test_a_text_that_a_workbook_cannot_hold_whole_is_named_with_its_cell():
    found = lost_in([table([["fine"], ["x" * 32_768]])])
    assert [f.where for f in found] == ["sheet Sheet X, row 3, column C0"]


def test_half_characters_do_not_stop_a_csv_table():
    assert b"?" in table_csv(table([["\ud800"]]))


def test_text_in_a_printed_header_is_no_code_of_the_header():
    made = SheetTable(
        name="x", title="X", columns=(SheetColumn(title="A"),), rows=(("a",),), about="A&B &P"
    )
    sheet = load_workbook(io.BytesIO(tables_xlsx([made]))).worksheets[0]
    assert sheet.oddHeader.left.text == "A&&B &&P"


def test_a_workbook_needs_a_table():
    with pytest.raises(ValueError, match="at least one table"):
        tables_xlsx([])


def test_a_load_chart_reads_the_cells_of_its_table():
    made = SheetTable(
        name="s", title="Stations",
        columns=tuple(SheetColumn(title=t) for t in ("Station", "Load", "Idle", "Limit")),
        rows=((1, 5.0, 1.0, 6.0), (2, 6.0, 0.0, 6.0)),
        chart=LoadColumns(station=0, load=1, idle=2, limit=3),
    )  # fmt: skip
    chart = load_workbook(io.BytesIO(tables_xlsx([made])))["Load chart"]._charts[0]
    assert chart.series[0].val.numRef.f == "Stations!$B$2:$B$3"


def test_zeros_of_a_column_of_marks_stay_empty_in_a_workbook():
    marks = SheetColumn(title="20", is_mark=True)
    made = SheetTable(name="m", title="M", columns=(marks,), rows=((0,), (1,)))
    sheet = load_workbook(io.BytesIO(tables_xlsx([made]))).worksheets[0]
    assert [cell.value for cell in sheet["A"]] == ["20", None, 1]
