"""Sheets of strangers as tasks. The dirt is common practice (no source), worked out by hand."""

import pytest
from dirty_sheets import dirty_workbook

from stationflow.files.foreign.column_mapping import TableKind
from stationflow.files.foreign.columns.headings import guess_mapping, likeliest_sheet
from stationflow.files.foreign.foreign_sheet import ForeignSheet, MergedRange
from stationflow.files.foreign.import_report import Outcome, SheetImport
from stationflow.files.foreign.rows.sheet_rows import read_rows
from stationflow.files.foreign.sheets.foreign_file import read_foreign
from stationflow.files.foreign.sheets.text_file import read_pasted
from stationflow.model import (
    Caution,
    Hazard,
    Line,
    ModelTime,
    Part,
    PartUse,
    Product,
    Step,
    Task,
    ToolUse,
)
from stationflow.model.schema.cells import FormulaError

HEAD = ("Number", "Task name", "Time [s]", "Predecessors")


def tasks_of(
    *rows: tuple[object, ...], head: tuple[object, ...] = HEAD, **others: object
) -> SheetImport:
    answers = others.pop("answers", {})
    product = others.pop("product", None)
    left_out = others.pop("left_out", ())
    sheet = ForeignSheet(name="S", rows=(head, *rows), **others)
    return read_rows(sheet, guess_mapping(sheet), answers, product, ticked_off=left_out)


def codes(imported: SheetImport) -> list[tuple[str, str]]:
    return [(entry.address, entry.code) for entry in imported.report]


DIRTY = dirty_workbook()


@pytest.fixture(scope="module")
def dirty() -> SheetImport:
    sheet = likeliest_sheet(read_foreign(DIRTY.content, DIRTY.name))
    return read_rows(sheet, guess_mapping(sheet), DIRTY.answers)


def test_a_workbook_with_twenty_kinds_of_dirt_becomes_its_80_true_tasks(dirty: SheetImport):
    assert dirty.records == DIRTY.truth


def test_the_stations_of_today_are_kept_beside(dirty: SheetImport):
    stations: dict[str, list[str]] = {}
    for row in dirty.rows:
        stations.setdefault(row.station, []).append(row.record.number)
    assert tuple((name, tuple(numbers)) for name, numbers in stations.items()) == DIRTY.stations


def test_every_question_of_the_dirty_workbook_has_an_answer(dirty: SheetImport):
    assert (dirty.unanswered, {o.id for o in dirty.offers}) == ((), set(DIRTY.answers))


def test_the_same_sheet_pasted_gives_the_same_clean_tasks():
    text = "\t".join(HEAD) + "\n10\tFit base\t7.5\t\n20\tFit lid\t3\t10\n"
    sheet = read_pasted(text).sheets[0]
    assert read_rows(sheet, guess_mapping(sheet)).records == (
        Task(number="10", name="Fit base", time_ms=7500),
        Task(number="20", name="Fit lid", time_ms=3000, predecessors=("10",)),
    )


def test_a_clean_sheet_has_an_empty_report():
    assert tasks_of((10, "Fit", 7.5, None), (20, "Turn", 3, 10)).report == ()


@pytest.mark.parametrize(
    "row",
    [
        (None, "Total", 10.5, None), ("Summe", None, 10.5, None), (None, "Zwischensumme", 99, None),
        (None, None, 10.5, None),
        (None, "\u2211", FormulaError("#REF!"), None), (None, "Итого", 1, None),
    ],
)  # fmt: skip
def test_a_total_is_left_out_by_name(row: tuple[object, ...]):
    imported = tasks_of((10, "Fit", 7.5, None), (20, "Turn", 3, 10), row)
    assert (len(imported.records), codes(imported)) == (2, [("S!4:4", "total-row")])


def test_a_task_called_total_with_a_number_of_its_own_is_a_task():
    assert len(tasks_of((10, "Fit", 7.5, None), (20, "Total check", 3, None)).records) == 2


def test_headings_repeated_on_the_next_page_are_left_out():
    imported = tasks_of((10, "Fit", 7.5, None), HEAD, (20, "Turn", 3, 10))
    assert (len(imported.records), codes(imported)) == (2, [("S!3:3", "headings-again")])


def test_the_heading_of_a_group_is_left_out_by_name():
    imported = tasks_of((None, "Pre-assembly"), (10, "Fit", 7.5, None))
    assert codes(imported) == [("S!2:2", "group-heading")]


def test_blank_rows_are_nothing():
    assert tasks_of((), (None, "\u00a0"), (10, "Fit", 7.5, None)).report == ()


def test_a_filled_row_without_number_is_asked_about():
    imported = tasks_of((10, "Fit", 7.5, None), (None, "Turn", 3, None))
    assert (len(imported.records), imported.unanswered) == (1, ("rows-without-number",))


def test_a_filled_row_without_number_gets_one_when_that_is_said():
    imported = tasks_of((10, "Fit", 7.5, None), (None, "Turn", 3, None),
                        answers={"rows-without-number": "number"})  # fmt: skip
    assert [t.number for t in imported.records] == ["10", "10-1"]


def test_a_sheet_without_a_column_of_numbers_is_numbered():
    imported = tasks_of(("Fit the base", 7.5), ("Turn it", 3), head=("Task name", "Time [s]"))
    assert [t.number for t in imported.records] == ["10", "20"]


@pytest.mark.parametrize("second", ["A10", "a10", " A 10", "A10\u00a0"])
def test_numbers_alike_but_for_case_and_blanks_are_asked_about(second: str):
    imported = tasks_of(("A10", "Fit", 7.5, None), (second, "Turn", 3, None))
    assert (len(imported.records), imported.unanswered) == (1, ("duplicate:A10",))


@pytest.mark.parametrize(
    ("said", "numbers"),
    [
        ("keep-first", ["10"]),
        ("renumber", ["10", "10-2"]),
        ("leave-out", []),
        ("same-task", ["10"]),
    ],
)
def test_what_is_said_of_a_duplicate_number_is_done(said: str, numbers: list[str]):
    imported = tasks_of(
        (10, "Fit", 7.5, None), (10, "Turn", 3, None), answers={"duplicate:10": said}
    )
    assert [t.number for t in imported.records] == numbers


def test_a_zero_lost_behind_the_point_is_offered():
    """1.10 typed as a number becomes 1.1."""
    imported = tasks_of((1.1, "a", 1, None), (1.9, "b", 1, None), (1.1, "c", 1, None),
                        answers={"duplicate:1.1": "lost-zero"})  # fmt: skip
    assert [t.number for t in imported.records] == ["1.1", "1.9", "1.10"]


def test_very_many_duplicates_are_one_question():
    rows = [(n // 2, "Fit", 1, None) for n in range(100)]
    assert tasks_of(*rows).unanswered == ("duplicates",)


def typo(before: str, said: str | None = None) -> SheetImport:
    """Return two tasks, the second after a number that may be no task."""
    answers = {f"typo:D:{before}": said} if said else {}
    return tasks_of((10, "Fit", 7.5, None), (20, "Turn", 3, before), answers=answers)


def test_a_predecessor_that_is_no_task_is_asked_about_with_its_cell():
    offer = typo("1O").offers[0]
    assert (offer.sentence, offer.cells) == (
        "There is no task '1O', which one cell names. Which task is meant?",
        ("S!D3",),
    )


@pytest.mark.parametrize("token", ["1O", "l0", "100", "01"])
def test_the_likely_task_is_offered_first_with_its_name(token: str):
    assert typo(token).offers[0].choices[0].label == "Task 10, Fit"


def test_an_arrow_to_no_task_is_left_out_until_the_question_is_answered():
    imported = typo("1O")
    assert (imported.records[1].predecessors, imported.unanswered) == ((), ("typo:D:1O",))


@pytest.mark.parametrize(
    ("said", "before"), [("10", ("10",)), ("leave-out", ()), ("as-it-stands", ("1O",))]
)
def test_what_is_said_of_an_arrow_to_no_task_is_done(said: str, before: tuple[str, ...]):
    imported = typo("1O", said)
    assert (imported.records[1].predecessors, imported.unanswered) == (before, ())


def test_a_task_number_may_be_typed_for_one_that_is_no_task():
    assert typo("7777", "10").records[1].predecessors == ("10",)


def test_what_is_typed_must_be_a_task():
    assert typo("7777", "8888").unanswered == ("typo:D:7777",)


def test_very_many_numbers_that_are_no_tasks_are_one_question():
    rows = [(10 * n, "Fit", 1, f"X{n}") for n in range(1, 40)]
    assert tasks_of(*rows).unanswered == ("typos",)


def test_a_task_of_the_product_may_be_a_predecessor():
    product = Product(code="P", tasks=(Task(number="99"),))
    assert tasks_of((10, "Fit", 7.5, 99), product=product).records[0].predecessors == ("99",)


def test_a_task_that_names_itself_is_told():
    assert codes(tasks_of((10, "Fit", 7.5, 10))) == [("S!D2", "own-task")]


def test_a_circle_is_named_task_by_task():
    imported = tasks_of((10, "a", 1, 30), (20, "b", 1, 10), (30, "c", 1, 20))
    assert "10 > 20 > 30 > 10" in imported.report[0].message


def test_followers_become_predecessors():
    imported = tasks_of((10, "a", 1, 20), (20, "b", 1, None),
                        head=("Number", "Task name", "Time [s]", "Successors"))  # fmt: skip
    assert imported.records[1].predecessors == ("10",)


def test_times_without_unit_are_asked_about_with_an_example():
    imported = tasks_of((10, "Fit", 0.45, None), head=("Number", "Task name", "Time", "Pred"))
    labels = {c.value: c.label for c in imported.offers[0].choices}
    assert (imported.records[0].time_ms, labels["min"]) == (None, "min: 0.45 is 27 s")


def test_times_are_read_in_the_unit_that_is_said():
    imported = tasks_of((10, "Fit", 0.45, None), head=("Number", "Task name", "Time", "Pred"),
                        answers={"time-unit:C": "min"})  # fmt: skip
    assert imported.records[0].time_ms == 27_000


def test_times_that_all_carry_their_unit_are_not_asked_about():
    imported = tasks_of((10, "Fit", "45 s", None), head=("Number", "Task name", "Time", "Pred"))
    assert (imported.offers, imported.records[0].time_ms) == ((), 45_000)


HUNDREDTHS = [(10, "a", 50, 30), (20, "b", 100, 60), (30, "c", 25, 15)]
TWO_TIMES = ("Number", "Task name", "Time [s]", "ref")


def test_hundredths_of_a_minute_read_as_seconds_are_offered_with_evidence():
    """50 hundredths of a minute are 30 s: the other column holds 0.6 times the numbers."""
    offer = tasks_of(*HUNDREDTHS, head=TWO_TIMES).offers[0]
    assert (offer.default, "0.6 times the numbers in 3 of 3 rows" in offer.evidence) == (None, True)


def test_hundredths_of_a_minute_are_never_applied_silently():
    assert tasks_of(*HUNDREDTHS, head=TWO_TIMES).records[0].time_ms is None


def test_hundredths_of_a_minute_are_applied_when_that_is_said():
    imported = tasks_of(*HUNDREDTHS, head=TWO_TIMES, answers={"time-unit:C": "cmin"})
    assert imported.records[0].time_ms == 30_000


def test_a_total_that_differs_by_0_6_is_evidence():
    rows = [
        (10, "a", 50, None),
        (20, "b", 100, None),
        (30, "c", 25, None),
        (None, "Total", 105, None),
    ]
    assert "The total in S!C5 is 105" in tasks_of(*rows).offers[0].evidence


@pytest.mark.parametrize("word", ["times in min/100", "HM", "cmin", "TMU", "DMH"])
def test_a_word_for_hundredths_in_the_title_is_evidence(word: str):
    sheet = ForeignSheet(name="S", rows=((f"Study, {word}",), HEAD, (10, "a", 50, None)))
    offer = read_rows(sheet, guess_mapping(sheet)).offers[0]
    assert f"S!A1 says 'Study, {word}'" in offer.evidence


def test_both_units_given_side_by_side_are_no_question():
    imported = tasks_of(*HUNDREDTHS, head=("Number", "Task name", "Time [HM]", "Time [s]"))
    assert (imported.offers, imported.records[0].time_ms) == ((), 30_000)


def test_an_unreadable_time_leaves_the_task_without_time():
    imported = tasks_of((10, "Fit", FormulaError("#DIV/0!"), None))
    assert (imported.records[0].time_ms, codes(imported)) == (None, [("S!C2", "formula-error")])


def test_a_time_merged_over_two_tasks_is_refused():
    merged = (MergedRange(first_row=2, last_row=3, first_column=2, last_column=2),)
    imported = tasks_of((10, "a", 60, None), (20, "b", None, None), merged=merged)
    assert codes(imported) == [("S!C2", "merged-time"), ("S!C3", "merged-time")]


def test_rows_ticked_off_are_left_out():
    imported = tasks_of((10, "a", 1, None), (20, "b", 1, None), left_out={3})
    assert [t.number for t in imported.records] == ["10"]


@pytest.mark.parametrize(("said", "count"), [("read", 2), ("leave-out", 1)])
def test_hidden_rows_are_read_or_left_out_as_is_said(said: str, count: int):
    imported = tasks_of((10, "a", 1, None), (20, "b", 1, None),
                        hidden_rows=frozenset({3}), answers={"hidden-rows": said})  # fmt: skip
    assert len(imported.records) == count


def test_times_for_single_models_are_read():
    imported = tasks_of(
        (10, "a", 5, 7), head=("Number", "Name", "Time model A [s]", "Time model B [s]")
    )
    assert imported.records[0].model_times == (
        ModelTime(model="A", time_ms=5000),
        ModelTime(model="B", time_ms=7000),
    )


FULL = ("Number", "Task name", "Step", "Key point", "Reason", "Parts", "Qty", "Tools", "Safety")


def test_rows_below_a_task_add_steps_parts_and_tools():
    imported = tasks_of(
        (10, "Fit", "Lift", "two hands", "heavy", "P-1", 2, "Jig", "ESD"),
        (None, None, "Turn", None, None, "P-2", 4, "Iron: 350 °C", None),
        head=FULL,
    )
    assert imported.records == (
        Task(
            number="10",
            name="Fit",
            steps=(Step(text="Lift", key_point="two hands", reason="heavy"), Step(text="Turn")),
            parts=(PartUse(part="P-1", quantity=2), PartUse(part="P-2", quantity=4)),
            tools=(ToolUse(tool="Jig"), ToolUse(tool="Iron", setting="350 °C")),
            cautions=(Caution(hazard=Hazard.STATIC),),
        ),
    )


def test_lines_in_a_cell_are_steps():
    imported = tasks_of((10, "Fit", "1. Lift\n2. Turn"), head=("Number", "Task name", "Steps"))
    assert imported.records[0].steps == (Step(text="Lift"), Step(text="Turn"))


def test_an_unknown_hazard_is_left_out_by_name():
    imported = tasks_of((10, "Fit", "dragons"), head=("Number", "Task name", "Hazard"))
    assert imported.report[0].severity == Outcome.LEFT_OUT


def test_a_line_of_the_product_is_found_by_its_title():
    product = Product(
        code="P", lines=(Line(), Line(name="board", title="Board line", feeds="main"))
    )
    imported = tasks_of(
        (10, "a", "board LINE"), head=("Number", "Task name", "Line"), product=product
    )
    assert imported.records[0].line == "board"


@pytest.mark.parametrize("word", ["Hauptlinie", "Main line", "ligne principale"])
def test_the_main_line_is_known_by_its_word(word: str):
    assert tasks_of((10, "a", word), head=("Number", "Task name", "Line")).records[0].line == "main"


PART_HEAD = ("Part no", "Part name", "Qty", "UoM", "Container", "Qty per container", "Weight")


def parts_of(*rows: tuple[object, ...], answers: dict[str, str] | None = None):
    sheet = ForeignSheet(name="S", rows=(PART_HEAD, *rows))
    return read_rows(sheet, guess_mapping(sheet, kind=TableKind.PARTS), answers)


def test_a_parts_list_is_read():
    imported = parts_of(
        ("P-1", "Bolt", "4", "pcs", "B2", 500, "2,5"), answers={"weight-unit:G": "g"}
    )
    assert imported.records == (
        Part(
            number="P-1",
            name="Bolt",
            quantity=4,
            container="B2",
            container_quantity=500,
            weight_g=2.5,
        ),
    )


def test_weights_without_unit_are_asked_about():
    assert parts_of(("P-1", "Bolt", 4, "", "", None, 2.5)).unanswered == ("weight-unit:G",)


def test_weights_in_kilograms_are_kept_in_grams():
    imported = parts_of(("P-1", "Bolt", 4, "", "", None, 2.5), answers={"weight-unit:G": "kg"})
    assert imported.records[0].weight_g == 2500.0


def test_a_part_number_that_became_a_date_is_asked_about():
    from datetime import datetime

    from stationflow.files.foreign.foreign_sheet import DateCell

    raw = DateCell(datetime(2026, 1, 2), "d-mmm")  # noqa: DTZ001
    imported = parts_of((raw, "Bolt", 4), answers={"date-numbers:A": "day"})
    assert imported.records[0].number == "2-1"


@pytest.mark.parametrize(
    "row",
    [
        ("Pre-assembly", None, None, None), ("Station 3", None, None, None),
        ("2. Cover and lid", None, None, None), ("Section B", "Cover", None, None),
        ("* measured with a stop watch", None, None, None),
        ("Note:", "Fan and lamp are alike", None, None),
    ],
)  # fmt: skip
def test_the_title_of_a_section_or_a_note_in_the_column_of_numbers_is_no_task(row):
    imported = tasks_of(row, (10, "Fit", 7.5, None), (20, "Turn", 3, 10))
    assert (len(imported.records), codes(imported)) == (2, [("S!2:2", "title-or-note")])


@pytest.mark.parametrize("number", ["10A", "A-30", "Packing"])
def test_a_number_that_others_name_or_that_looks_like_one_is_a_task_without_a_time(number):
    imported = tasks_of((number, "Pack", None, None), (20, "Turn", 3, number), ("B-7", "a", 1, 20))
    assert [t.number for t in imported.records] == [number, "20", "B-7"]


def test_words_may_be_numbers_of_tasks():
    imported = tasks_of(("cut", "Cut it", 3, None), ("drill", "Drill it", None, None))
    assert [t.number for t in imported.records] == ["cut", "drill"]


def test_a_note_below_an_empty_row_is_no_step_of_the_last_task():
    imported = tasks_of(
        (10, "Fit", "Lift"), (), (None, None, "Steps as agreed"), head=("No", "Task name", "Step")
    )
    assert (imported.records[0].steps, codes(imported)) == (
        (Step(text="Lift"),),
        [("S!4:4", "title-or-note")],
    )


def test_a_cell_of_a_text_table_is_named_without_a_sheet():
    sheet = read_foreign(b"No;Task name;Time [s]\n10;Fit;soon\n", "a.csv").sheets[0]
    assert read_rows(sheet, guess_mapping(sheet)).report[0].address == "C2"


def test_a_remark_lands_on_the_task_and_not_in_where_its_time_comes_from():
    imported = tasks_of((10, "Fit", "right hand first", "MTM"),
                        head=("No", "Task name", "Remarks", "Source"))  # fmt: skip
    task = imported.records[0]
    assert (task.remark, task.time_source) == ("right hand first", "MTM")
