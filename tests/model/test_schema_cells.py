"""Single cells, and the schema. Expected values are worked out by hand."""

from dataclasses import fields, is_dataclass
from datetime import time
from typing import get_args, get_type_hints

import pytest

from stationflow.model import Product, Side, Weekday
from stationflow.model.references import THING_AT
from stationflow.model.schema.cells import join_list, read_cell, split_list
from stationflow.model.schema.columns import Column, Kind
from stationflow.model.schema.tables import TABLE, TABLES

NUMBER = Column(name="quantity", kind=Kind.NUMBER)
WHOLE = Column(name="copies", kind=Kind.WHOLE, lowest=1)
SHARE = Column(name="share", kind=Kind.SHARE)
FLAG = Column(name="machine", kind=Kind.YES_NO)
CLOCK = Column(name="start", kind=Kind.CLOCK)
SIDE = Column(name="side", kind=Kind.CHOICE, words=Side)
DAYS = Column(name="days", kind=Kind.DAYS, words=Weekday)


@pytest.mark.parametrize(
    ("raw", "value"),
    [
        ("7,5", 7.5), ("7.5", 7.5), (".5", 0.5), ("5.", 5.0), ("1e3", 1000.0), ("0,125", 0.125),
        ("1.234,5", 1234.5), ("1,234.5", 1234.5), ("1234,567", 1234.567), (7, 7.0), (" 7 ", 7.0),
        ("", None), (None, None), ("\u00a0", None),
    ],
)  # fmt: skip
def test_a_number_is_read(raw: object, value: float | None):
    assert read_cell(NUMBER, raw).value == value


@pytest.mark.parametrize(
    "raw", ["1,234", "1 234", "12 kg", "0x10", "", "-1", True, float("nan"), float("inf"), "1e16"]
)
def test_what_is_no_number_is_left_empty(raw: object):
    assert read_cell(NUMBER, raw).value is None


@pytest.mark.parametrize(
    ("raw", "rule"), [("1 234", "without spaces"), ("9" * 61, "at most 60 characters")]
)
def test_why_a_number_is_not_read_is_said(raw: str, rule: str):
    assert rule in read_cell(NUMBER, raw).problem


def test_a_comma_with_two_meanings_is_explained():
    assert "may part thousands or decimals" in read_cell(NUMBER, "1,234").problem


@pytest.mark.parametrize(
    ("column", "raw", "value"),
    [
        (WHOLE, "3.0", 3),
        (SHARE, "95 %", 0.95),
        (SHARE, "0,95", 0.95),
        (SHARE, 95, 95.0),  # kept, so that the check of shares can name it
        (FLAG, "YES", True),
        (FLAG, False, False),
        (CLOCK, time(6, 30), "06:30"),
        (CLOCK, "06:30", "06:30"),
        (SIDE, " Left ", Side.LEFT),
        (DAYS, "mon, Tue", (Weekday.MONDAY, Weekday.TUESDAY)),
        (DAYS, "none", ()),
    ],
)
def test_a_cell_is_read_by_its_kind(column: Column, raw: object, value: object):
    assert read_cell(column, raw).value == value


@pytest.mark.parametrize(
    ("column", "raw"),
    [
        (WHOLE, "2.5"), (WHOLE, 0), (FLAG, "perhaps"), (CLOCK, "24:00"), (CLOCK, "6.30"),
        (SIDE, "top"), (DAYS, "Montag"), (NUMBER, {"a": 1}), (NUMBER, [1]),
    ],
)  # fmt: skip
def test_a_cell_that_breaks_the_rule_has_a_problem(column: Column, raw: object):
    assert read_cell(column, raw).problem


@pytest.mark.parametrize("items", [("10",), ("10", "20"), ("A 1",), ("A 1", "B/2"), ("a, b",), ()])
def test_a_list_comes_back_from_its_text(items: tuple[str, ...]):
    assert split_list(join_list(items), r"[,/\s]+") == items


def test_a_list_with_two_kinds_of_separators_is_parted_at_both():
    known = frozenset({"10", "20", "30"})
    assert split_list("10, 20; 30", r"[,/\s]+", known) == ("10", "20", "30")


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_every_column_is_a_field_of_its_data_class(table):
    known = {field.name for field in fields(table.record)} | {table.parent}
    assert {column.field for column in table.columns} <= known


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_every_plain_field_of_a_data_class_has_a_column(table):
    nested = {t.name for t in TABLES} | {t.path.rpartition(".")[2] for t in TABLES}
    told_by_reading = {"checksum", "unread"}
    known = {field.name for field in fields(table.record)} - nested - told_by_reading
    assert known - {column.field for column in table.columns} == set()


def test_a_sheet_name_fits_into_a_workbook():
    # 31 characters: the limit of the file format (common practice, no source).
    assert max(len(table.title) for table in TABLES) <= 31


def test_the_title_of_a_column_carries_its_unit():
    column = TABLE["quality"].column("power_w")
    assert column is not None
    assert column.title == "Power (W)"


def _record_at(path: str) -> type:
    """Return the data class at the end of a path from the product."""
    record: type = Product
    for step in filter(None, path.split(".")):
        kind = get_type_hints(record)[step]
        record = next(each for each in (kind, *get_args(kind)) if is_dataclass(each))  # type: ignore[assignment]
    return record


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_the_path_of_a_table_leads_to_its_data_class(table):
    assert _record_at(table.path) is table.record


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_the_keys_of_a_table_are_required_columns_of_it(table):
    required = {column.field for column in table.columns if column.is_required}
    assert set(table.keys) <= required | {"name"}  # a break may be without a name


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_a_list_of_records_has_a_word_in_sentences(table):
    assert table.is_single or table.said


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_no_two_columns_of_an_editable_table_share_a_label(table):
    labels = [column.grid.label for column in table.columns if column.grid]
    assert len(set(labels)) == len(labels)


def test_every_limit_of_a_task_can_be_entered_on_the_page():
    assert [column.name for column in TABLE["limits"].columns[1:] if column.form is None] == []


def test_what_is_chosen_from_names_that_are_there_is_a_reference():
    chosen = {
        f"{table.path}.{column.field}"
        for table in TABLES
        for column in table.columns
        if column.name != table.parent
        for shown in (column.grid, column.form)
        if shown and shown.is_chosen
    }
    assert chosen <= THING_AT.keys()
