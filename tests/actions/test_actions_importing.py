"""A spreadsheet from somebody else comes into the store in one save, or not at all."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from small_products import ANA, LAMP, put_in

from stationflow.actions.importing import bringing_in
from stationflow.actions.importing.import_sample import SAMPLE, sample_workbook
from stationflow.actions.products.products_out import export_workbook
from stationflow.errors import DraftChangedError, ProductExistsError, StoreError
from stationflow.files.foreign.column_mapping import TableKind, Target
from stationflow.files.foreign.columns.headings import guess_mapping, likeliest_sheet
from stationflow.files.foreign.into_product import MergeMode
from stationflow.files.foreign.sheets.foreign_file import read_foreign
from stationflow.files.foreign.sheets.text_file import read_pasted
from stationflow.model import MAIN_LINE, Author, Ending, Model, ModelTime, Product, Task
from stationflow.units import TimeUnit

BOB = {"by": Author("bob", datetime(2026, 3, 2, 9, 0, tzinfo=UTC))}
SHEET = "No;Task;Time (s);After;Station\n10;Place base;31;;1\n60;Pack lamp;12;50;2\n"
NEW = Product(code="new")
TWO_STATIONS = (
    "No;Task;Time (s);After;Station\n"
    "10;Fit base;20;;A2\n20;Fit lid;15;10;A2\n30;Test;25;20;A10\n40;Pack;5;30;A10\n"
)


def read(text: str):
    """Return the sheet of a pasted block and the mapping found for it."""
    sheet = read_pasted(text).sheets[0]
    return sheet, guess_mapping(sheet)


def looked_at(product: Product, text: str = SHEET, choices=None, **more):
    sheet, mapping = read(text)
    return sheet, bringing_in.preview(product, sheet, mapping, choices or {}, **more)


def bring(store, draft, text: str = SHEET, **more):
    sheet, seen = looked_at(draft.product, text)
    return bringing_in.bring_in(store, seen, sheet, "a.csv", base=draft.checksum, **BOB, **more)


def bring_new(store, text: str = SHEET, code: str = "N-1", **more):
    sheet, seen = looked_at(NEW, text)
    return bringing_in.bring_in_as_new(
        store, seen, sheet, "a.csv", code=code, name="New lamp", **BOB, **more
    )


def test_a_task_that_is_there_is_updated(store):
    product = bring(store, put_in(store, LAMP)).draft.product
    assert (product.tasks[0].name, product.tasks[0].time_ms) == ("Place base", 31_000)


def test_an_updated_task_keeps_what_the_sheet_says_nothing_about(store):
    product = bring(store, put_in(store, LAMP)).draft.product
    assert product.tasks[0].steps == LAMP.tasks[0].steps


def test_a_new_task_is_added(store):
    product = bring(store, put_in(store, LAMP)).draft.product
    assert product.tasks[-1] == Task(
        number="60", name="Pack lamp", time_ms=12_000, predecessors=("50",)
    )


def test_one_undo_takes_the_whole_import_back(store):
    bring(store, put_in(store, LAMP))
    assert store.undo("L-100", **BOB).product == LAMP


def test_an_import_is_one_more_version(store):
    assert bring(store, put_in(store, LAMP)).draft.version == 2


def test_an_import_into_a_product_saved_meanwhile_is_refused(store):
    draft = put_in(store, LAMP)
    store.save(replace(LAMP, name="Other"), base=draft.checksum, **ANA)
    with pytest.raises(DraftChangedError):
        bring(store, draft)


def test_a_refused_import_leaves_the_product_as_it_was_saved(store):
    draft = put_in(store, LAMP)
    other = replace(LAMP, name="Other")
    store.save(other, base=draft.checksum, **ANA)
    with pytest.raises(DraftChangedError):
        bring(store, draft)
    assert store.draft("L-100").product == other


def test_a_preview_stores_nothing(store):
    draft = put_in(store, LAMP)
    looked_at(draft.product)
    assert store.draft("L-100").checksum == draft.checksum


def test_a_new_product_is_made_of_a_sheet(store):
    product = bring_new(store).draft.product
    assert (product.code, product.name, [t.number for t in product.tasks]) == (
        "N-1", "New lamp", ["10", "60"],
    )  # fmt: skip


def test_one_undo_leaves_a_new_product_empty(store):
    bring_new(store)
    assert store.undo("N-1", **BOB).product.tasks == ()


def test_a_new_product_with_a_code_that_is_taken_is_refused(store):
    put_in(store, LAMP)
    with pytest.raises(ProductExistsError):
        bring_new(store, code="L-100")


def test_a_new_product_without_a_code_is_refused(store):
    with pytest.raises(StoreError, match="1 to 60 printable characters"):
        bring_new(store, code=" ")


def test_a_sheet_of_which_no_row_comes_in_is_refused(store):
    sheet, seen = looked_at(NEW, left_out=(2, 3))
    with pytest.raises(StoreError, match="No row of the sheet would come in"):
        bringing_in.bring_in_as_new(store, seen, sheet, "a.csv", code="N-1", name="", **BOB)


def test_rows_that_are_left_out_do_not_come_in(store):
    _, seen = looked_at(NEW, left_out=(3,))
    assert [task.number for task in seen.merge.product.tasks] == ["10"]


def test_only_new_tasks_come_in_when_that_is_asked(store):
    _, seen = looked_at(LAMP, mode=MergeMode.ADD)
    assert seen.merge.product.tasks[: len(LAMP.tasks)] == LAMP.tasks


def test_a_parts_list_comes_in(store):
    text = "Part number;Part name;Quantity;Container\nP-1;Base plate;1;K4\nP-7;Screw M4;4;K5\n"
    product = bring(store, put_in(store, LAMP), text).draft.product
    assert [(part.number, part.quantity) for part in product.parts] == [("P-1", 1), ("P-7", 4)]


def test_how_columns_were_read_is_remembered_by_the_headings(store):
    sheet, mapping = read(SHEET)
    chosen = mapping.with_column(4, target=Target.LEFT_OUT)
    seen = bringing_in.preview(NEW, sheet, chosen, {})
    bringing_in.bring_in_as_new(store, seen, sheet, "first.csv", code="N-1", name="", **BOB)
    found = bringing_in.columns_of(store, read(SHEET.replace("60;", "70;"))[0])
    assert found.mapping.columns[4].target == Target.LEFT_OUT


def test_a_remembered_mapping_says_from_which_file(store):
    bring_new(store)
    found = bringing_in.columns_of(store, read(SHEET)[0])
    assert (found.remembered.file_name, found.remembered.by) == ("a.csv", "bob")


def test_a_sheet_with_other_headings_is_guessed(store):
    bring_new(store)
    assert bringing_in.columns_of(store, read(SHEET.replace("Task", "Work"))[0]).remembered is None


def test_a_forgotten_mapping_is_guessed_again(store):
    bring_new(store)
    sheet, mapping = read(SHEET)
    bringing_in.forget_columns(store, sheet, mapping, **ANA)
    assert bringing_in.columns_of(store, sheet).remembered is None


def test_a_mapping_for_tasks_is_not_used_when_parts_are_chosen(store):
    bring_new(store)
    found = bringing_in.columns_of(store, read(SHEET)[0], kind=TableKind.PARTS)
    assert found.mapping.kind == TableKind.PARTS


def test_a_unit_that_was_answered_is_remembered(store):
    text = SHEET.replace("Time (s)", "Time")
    sheet, seen = looked_at(NEW, text, {"time-unit:C": "min"})
    bringing_in.bring_in_as_new(store, seen, sheet, "a.csv", code="N-1", name="", **BOB)
    found = bringing_in.columns_of(store, sheet)
    assert found.mapping.columns[2].unit == TimeUnit.MINUTE


def test_a_remembered_unit_is_asked_for_no_more(store):
    text = SHEET.replace("Time (s)", "Time").replace(";50;", ";10;")
    sheet, seen = looked_at(NEW, text, {"time-unit:C": "min"})
    bringing_in.bring_in_as_new(store, seen, sheet, "a.csv", code="N-1", name="", **BOB)
    mapping = bringing_in.columns_of(store, sheet).mapping
    assert bringing_in.preview(NEW, sheet, mapping, {}).imported.unanswered == ()


def test_stations_of_today_are_kept_as_a_plan(store):
    plan = bring_new(store, TWO_STATIONS, keep_today=True).plans[0]
    assert [station.tasks for station in plan.result.stations] == [("10", "20"), ("30", "40")]


def test_the_plan_of_today_has_the_loads_of_the_sheet(store):
    # By hand: 20 + 15 = 35 s and 25 + 5 = 30 s.
    plan = bring_new(store, TWO_STATIONS, keep_today=True).plans[0]
    assert plan.result.loads == (35, 30)


def test_the_plan_of_today_is_called_so(store):
    bring_new(store, TWO_STATIONS, keep_today=True)
    stored = store.plans("N-1", MAIN_LINE)[0]
    assert (stored.name, stored.result.method) == ("as it stands today", "given")


def test_the_plan_of_today_says_how_the_sheet_called_its_stations(store):
    plan = bring_new(store, TWO_STATIONS, keep_today=True).plans[0]
    remark = plan.remark
    assert remark == "Stations of the sheet: 1 was A2, 2 was A10."


def test_without_being_asked_no_plan_is_kept(store):
    bring_new(store, TWO_STATIONS)
    assert store.plans("N-1", MAIN_LINE) == []


def test_stations_of_today_go_by_the_number_in_their_name(store):
    text = "No;Task;Time (s);After;Station\n10;One;5;;ST10\n20;Two;5;;ST2\n"
    plan = bring_new(store, text, keep_today=True).plans[0]
    assert [station.tasks for station in plan.result.stations] == [("20",), ("10",)]


def test_stations_named_in_words_go_in_the_order_met(store):
    text = "No;Task;Time (s);After;Station\n10;One;5;;front\n20;Two;5;;end\n"
    plan = bring_new(store, text, keep_today=True).plans[0]
    assert [station.tasks for station in plan.result.stations] == [("10",), ("20",)]


def test_a_plan_of_today_that_breaks_the_order_says_so(store):
    text = TWO_STATIONS.replace("30;Test;25;20;A10", "30;Test;25;20;A1")
    plan = bring_new(store, text, keep_today=True).plans[0]
    assert [finding.code for finding in plan.result.findings] == ["predecessor-later"]


def test_a_plan_of_today_that_breaks_a_rule_is_not_put_in_force(store):
    text = TWO_STATIONS.replace("30;Test;25;20;A10", "30;Test;25;20;A1")
    assert not bring_new(store, text, keep_today=True).plans[0].in_force


def test_a_plan_of_today_that_holds_is_put_in_force_when_there_is_none(store):
    assert bring_new(store, TWO_STATIONS, keep_today=True).plans[0].in_force


def test_one_undo_takes_the_plan_of_today_out_of_force_and_a_redo_brings_it_back(store):
    brought = bring_new(store, TWO_STATIONS, keep_today=True)
    assert brought.plans[0].product_checksum == brought.draft.checksum
    assert store.undo("N-1", **BOB).product.tasks == ()
    assert store.plan_in_force("N-1", MAIN_LINE) is None
    store.redo("N-1", **BOB)
    assert store.plan_in_force("N-1", MAIN_LINE) == brought.plans[0]


def test_a_plan_of_today_leaves_the_plan_in_force(store):
    first = bring_new(store, TWO_STATIONS, keep_today=True)
    sheet, seen = looked_at(first.draft.product, TWO_STATIONS.replace("A10", "A2"))
    base = first.draft.checksum
    more = bringing_in.bring_in(store, seen, sheet, "b.csv", base=base, keep_today=True, **BOB)
    assert [plan.in_force for plan in more.plans] == [False]
    assert store.plan_in_force("N-1", MAIN_LINE) == first.plans[0]


ALL_AT_ONE = "No;Station\n" + "".join(f"{task.number};1\n" for task in LAMP.tasks)
INTO = {
    "a new product": lambda store: bring_new(store, TWO_STATIONS, keep_today=True),
    "one that is there": lambda store: bring(
        store, store.draft("L-100"), ALL_AT_ONE, keep_today=True
    ),
}


@pytest.mark.parametrize("bring_into", INTO.values(), ids=INTO)
def test_where_the_plan_of_today_cannot_be_stored_nothing_is(store, bring_into):
    draft = put_in(store, LAMP)
    with store.writing(BOB["by"]) as connection:
        connection.exec_driver_sql(
            "CREATE TRIGGER full BEFORE INSERT ON plans BEGIN SELECT RAISE(ABORT, 'full'); END"
        )
    with pytest.raises(StoreError, match="full"):
        bring_into(store)
    assert store.draft("L-100") == draft
    assert [row.code for row in store.products()] == ["L-100"]
    sheets = [read(text)[0] for text in (TWO_STATIONS, ALL_AT_ONE)]
    assert [bringing_in.columns_of(store, sheet).remembered for sheet in sheets] == [None, None]


def test_a_plan_of_today_is_measured_on_the_pace_of_the_product(store):
    # LAMP: one unit in 60 s; all of it at one station is 150 s.
    plan = bring(store, put_in(store, LAMP), ALL_AT_ONE, keep_today=True).plans[0]
    assert [f.code for f in plan.result.findings] == ["station-over-limit"]


def test_a_good_plan_of_today_with_a_pace_has_a_bound(store):
    # By hand (see LAMP): 150 s at 60 s a station need three stations.
    station = {"10": 1, "20": 1, "30": 2, "40": 2, "50": 3}
    text = "No;Station\n" + "".join(f"{number};{at}\n" for number, at in station.items())
    result = bring(store, put_in(store, LAMP), text, keep_today=True).plans[0].result
    assert (result.proof.lower_bound, result.ending) == (3, Ending.OPTIMAL)


def test_stations_of_today_cannot_be_kept_when_a_task_has_none(store):
    _, seen = looked_at(NEW, TWO_STATIONS.replace(";A10\n40", ";\n40"))
    assert "not every task" in seen.today_obstacle


def test_stations_of_today_cannot_be_kept_when_a_task_has_no_time(store):
    _, seen = looked_at(NEW, TWO_STATIONS.replace("Test;25", "Test;"))
    assert "Task 30" in seen.today_obstacle


def test_a_sheet_without_stations_has_no_obstacle(store):
    _, seen = looked_at(NEW, "No;Task;Time (s)\n10;Fit;5\n")
    assert seen.today_obstacle == ""


def test_a_report_is_safe_to_open_in_a_spreadsheet_program():
    _, seen = looked_at(NEW, "No;Task;Time (s)\n10;Fit;=1+1\n")
    table = bringing_in.report_csv(seen.imported.report).decode("utf-8-sig")
    assert ",=1" not in table


def test_a_report_names_the_cell_and_what_stood_there():
    _, seen = looked_at(NEW, "No;Task;Time (s)\n10;Fit;soon\n")
    table = bringing_in.report_csv(seen.imported.report).decode("utf-8-sig")
    assert "C2,soon" in table


def test_a_product_workbook_of_our_own_is_recognised(store):
    put_in(store, LAMP)
    file = read_foreign(export_workbook(store, "L-100"), "L-100.xlsx")
    assert bringing_in.is_product_workbook(file)


def test_a_workbook_of_somebody_else_is_not_taken_for_our_own():
    assert not bringing_in.is_product_workbook(read_foreign(sample_workbook(), "a.xlsx"))


def test_the_sample_comes_in_without_a_question_and_without_a_report():
    file = read_foreign(sample_workbook(), "sample-tasks.xlsx")
    sheet = likeliest_sheet(file)
    imported = bringing_in.preview(NEW, sheet, guess_mapping(sheet), {}).imported
    assert (len(imported.rows), imported.offers) == (len(SAMPLE) - 1, ())


def test_a_column_for_one_model_brings_the_model(store):
    text = "No;Task;Time (s);Time for model A (s)\n10;Fit;5;7\n"
    product = bring_new(store, text).draft.product
    assert (product.models, product.tasks[0].model_times) == (
        (Model(name="A", share=1.0),),
        (ModelTime(model="A", time_ms=7000),),
    )


def test_a_column_chosen_of_two_is_asked_for_no_more(store):
    text = "No;Task;Time old (s);Time new (s)\n10;Fit;9;5\n20;Turn;8;4\n"
    sheet, seen = looked_at(NEW, text, {"which-column:time": "D"})
    bringing_in.bring_in_as_new(store, seen, sheet, "a.csv", code="N-1", name="", **BOB)
    mapping = bringing_in.columns_of(store, sheet).mapping
    again = bringing_in.preview(NEW, sheet, mapping, {}).imported
    assert (again.unanswered, [t.time_ms for t in again.records]) == ((), [5000, 4000])
