"""Single cells of strangers, by kind of dirt (common practice, no source; worked out by hand)."""

from datetime import datetime, time, timedelta
from decimal import Decimal

import pytest

from stationflow.files.foreign.columns.foreign_cells import (
    decimal_sign,
    read_key,
    read_number,
    read_text,
    read_yes_no,
    typed_forms,
)
from stationflow.files.foreign.columns.foreign_times import read_time
from stationflow.files.foreign.columns.number_lists import NumberBook, read_list
from stationflow.files.foreign.foreign_sheet import DateCell, FormulaWithoutValue, ShownNumber
from stationflow.files.foreign.import_report import Outcome
from stationflow.model.schema.cells import FormulaError


def day(*numbers: int) -> datetime:
    """Return a date of no time zone, as cells have it."""
    return datetime(*numbers)  # noqa: DTZ001


SECONDS = {"time-unit": "s", "colon": "m:ss"}
MINUTES = {"time-unit": "min"}


@pytest.mark.parametrize(
    ("raw", "ms"),
    [
        ("0,45", 450), ("45s", 45_000), ("45 sec", 45_000), ("45 s.", 45_000), ("1:15", 75_000),
        ("2'30", 150_000), ("2'30\"", 150_000), ("2\u203230\u2033", 150_000),
        ("1:02:03", 3_723_000),
        ("0.5 min", 30_000), ("2 min 30 s", 150_000), ("1h 0min 5s", 3_605_000), ("12 TMU", 432),
        (" 7.5\u00a0", 7_500), ("1e1", 10_000), ("1 234", 1_234_000), ("1.234,5", 1_234_500),
        ("1,234.5", 1_234_500), ("ca. 12", 12_000), ("~12", 12_000), ("30\"", 30_000), (7, 7_000),
        ("1'234", 1_234_000), ("12 \u79d2", 12_000), ("0,1 HM", 60), ("1:15,5", 75_500),
    ],
)  # fmt: skip
def test_a_time_is_read(raw: object, ms: int):
    assert read_time(raw, SECONDS).value == ms


def test_what_is_not_taken_letter_by_letter_is_told():
    assert read_time("0,45", SECONDS).code == "decimal-comma"


def test_a_plain_time_is_taken_as_it_stands():
    assert read_time(7.5, SECONDS).severity is None


def test_a_unit_in_the_cell_goes_before_the_unit_of_the_column():
    assert read_time("45 s", MINUTES).value == 45_000


@pytest.mark.parametrize("raw", ["abc", "12-15", "45 kg", "1:75", True, "7 5 x", "9" * 61])
def test_what_is_no_time_is_an_error(raw: object):
    assert read_time(raw, SECONDS).severity == Outcome.ERROR


@pytest.mark.parametrize("raw", [-4, "-4", "\u22124", "-4 s"])
def test_a_negative_time_is_refused(raw: object):
    assert read_time(raw, SECONDS).code == "negative-time"


def test_a_time_of_zero_is_taken_and_named():
    assert (read_time(0, SECONDS).value, read_time(0, SECONDS).code) == (0, "zero-time")


def test_more_than_an_hour_is_taken_and_named():
    assert read_time(3601, SECONDS).code == "time-absurd"


def test_a_time_without_unit_is_asked_about():
    assert read_time(7.5, {}).code == "time-unit"


def test_a_comma_before_three_digits_has_two_meanings():
    assert read_time("1,234", SECONDS).code == "thousands-or-decimals"


def test_a_time_is_kept_to_the_millisecond_and_that_is_told():
    assert read_time(0.00001, MINUTES).code == "time-rounded"


def test_a_clock_cell_with_seconds_is_a_length_of_time():
    assert read_time(DateCell(time(0, 1, 15), "mm:ss"), SECONDS).value == 75_000


def test_a_clock_cell_of_hours_and_minutes_is_asked_about():
    assert read_time(DateCell(time(1, 15), "h:mm"), SECONDS).code == "clock"


@pytest.mark.parametrize(("said", "ms"), [("m:ss", 75_000), ("h:mm", 4_500_000)])
def test_a_clock_cell_is_read_as_was_said(said: str, ms: int):
    rules = {**SECONDS, "clock": said}
    assert read_time(DateCell(time(1, 15), "h:mm"), rules).value == ms


def test_a_clock_cell_beyond_a_day_is_read():
    rules = {**SECONDS, "clock": "m:ss"}
    assert read_time(DateCell(timedelta(hours=30, minutes=5), "[h]:mm"), rules).value == 1_805_000


@pytest.mark.parametrize(("said", "ms"), [("day", 1_500), ("month", 5_100)])
def test_a_time_that_became_a_date_is_turned_back(said: str, ms: int):
    """1 May: typed as 1.5 with the day first, or as 5.1 with the month first."""
    rules = {**SECONDS, "date-times": said}
    assert read_time(DateCell(day(2026, 5, 1), "d. mmm"), rules).value == ms


@pytest.mark.parametrize("raw", [FormulaError("#DIV/0!"), "#DIV/0!", "#N/A", "#WERT!"])
def test_a_failed_formula_is_named(raw: object):
    assert read_time(raw, SECONDS).code == "formula-error"


def test_a_formula_without_result_is_named():
    assert read_time(FormulaWithoutValue("A1"), SECONDS).code == "formula-without-value"


@pytest.mark.parametrize(
    ("cells", "sign"),
    [(["0,5"], ","), (["1.5"], "."), (["1,234"], ""), (["0,5", "1.5"], ""), (["1.234,5"], ",")],
)
def test_the_decimal_sign_of_a_column_is_told_by_its_cells(cells: list[str], sign: str):
    assert decimal_sign(cells) == sign


def test_a_point_before_three_digits_parts_thousands_where_commas_part_decimals():
    assert read_number("1.234", ",").value == Decimal(1234)


@pytest.mark.parametrize(
    ("raw", "key"),
    [
        (10.0, "10"), (1.5, "1.5"), ("10.0", "10"), ("0012", "0012"), ("A 10\u00a0", "A 10"),
        (ShownNumber(12.0, "0012"), "0012"), ("'0012", "0012"), ("A  10", "A 10"), (7, "7"),
    ],
)  # fmt: skip
def test_a_number_that_tells_tasks_apart_is_read(raw: object, key: str):
    assert read_key(raw).value == key


def test_a_number_that_became_a_date_is_asked_about():
    assert read_key(DateCell(day(2026, 1, 2), "d-mmm")).severity == Outcome.OFFERED


@pytest.mark.parametrize(
    ("cell", "forms"),
    [
        (DateCell(day(2026, 1, 2), "d-mmm"), ("1-2", "2-1")),
        (DateCell(day(2025, 3, 1), "mmm-yy"), ("3-25",)),
        (DateCell(day(2026, 2, 2), "d-mmm"), ("2-2",)),
        (DateCell(time(1, 2), "h:mm"), ()),
    ],
)
def test_what_was_typed_for_a_date_is_worked_out(cell: DateCell, forms: tuple[str, ...]):
    assert typed_forms(cell) == forms


@pytest.mark.parametrize(
    ("raw", "text", "code"),
    [
        ("Fit base", "Fit base", ""),
        ("Fit base ", "Fit base", "blanks-at-the-ends"),
        ("Fit\u00a0base", "Fit base", "unusual-blanks"),
        ("Fit\x07 base", "Fit base", "control-characters"),
        ("=1+1", "=1+1", ""),
        ("a\nb", "a\nb", ""),
    ],
)
def test_text_is_read(raw: str, text: str, code: str):
    assert (read_text(raw).value, read_text(raw).code) == (text, code)


def test_a_text_too_long_for_a_workbook_is_refused():
    assert read_text("x" * 32_768).severity == Outcome.ERROR


@pytest.mark.parametrize(
    ("raw", "value"),
    [("ja", True), ("x", True), ("Oui", True), ("nie", False), (1.0, True), (False, False)],
)
def test_yes_and_no_are_read_in_several_languages(raw: object, value: bool):
    assert read_yes_no(raw).value == value


BOOK = NumberBook.of(["10", "20", "30", "40", "A-1", "A B", "0012", "1", "2"])


@pytest.mark.parametrize(
    ("raw", "numbers"),
    [
        ("10;20", ["10", "20"]), ("10, 20", ["10", "20"]), ("10/20", ["10", "20"]),
        ("10 20", ["10", "20"]), ("10 and 20", ["10", "20"]), ("10-30", ["10", "20", "30"]),
        ("10\u201330", ["10", "20", "30"]), ("10 - 30", ["10", "20", "30"]),
        ("10 bis 30", ["10", "20", "30"]),
        ("A\u20131", ["A-1"]), ("a-1", ["A-1"]), ("A B", ["A B"]), ("A B; 10", ["A B", "10"]),
        ("op. 10, 20", ["10", "20"]), ("Task 10", ["10"]), ("10FS+2", ["10"]), (10.0, ["10"]),
        (10.2, ["10", "20"]), (1.2, ["1", "2"]), ("10,10", ["10"]),
        ("none", []), ("-", []), ("0", []),
        ("10\n20", ["10", "20"]), ("30-10", ["10", "20", "30"]),
        (ShownNumber(12.0, "0012"), ["0012"]),
    ],
)  # fmt: skip
def test_a_list_of_task_numbers_is_read(raw: object, numbers: list[str]):
    assert read_list(raw, BOOK, {}).numbers == numbers


def test_what_is_assumed_of_a_number_is_told():
    assert "two tasks 1 and 2" in read_list(1.2, BOOK, {}).notes[0].message


def test_lost_zeros_are_offered_not_applied():
    reading = read_list("12", BOOK, {})
    assert (reading.numbers, [kind for kind, _ in reading.asks]) == ([], ["zeros"])


def test_lost_zeros_are_put_back_when_that_is_said():
    assert read_list(12.0, BOOK, {"zeros": "match"}).numbers == ["0012"]


def test_numbers_joined_by_a_spreadsheet_program_are_offered():
    """A program that parts thousands by commas makes 1,020 of 10,20."""
    assert [kind for kind, _ in read_list(1020.0, BOOK, {}).asks] == ["joined"]


@pytest.mark.parametrize(
    ("said", "numbers"), [("", []), ("list", ["10", "30"]), ("range", ["10", "20", "30"])]
)
def test_a_list_that_became_a_date_is_read_as_was_said(said: str, numbers: list[str]):
    cell = DateCell(day(2026, 10, 30), "d-mmm")
    assert read_list(cell, BOOK, {"dates": said}).numbers == numbers


def test_an_unknown_number_is_named():
    assert "no task '99'" in read_list("10;99", BOOK, {}).notes[0].message


def test_a_range_beyond_all_measure_is_refused():
    book = NumberBook.of(str(n) for n in range(2000))
    assert read_list("1-1999", book, {}).numbers == []
