"""What an engineer does on the Tasks page, one sentence a test."""

from dataclasses import replace

import pytest
from small_products import BOARD_LAMP, BROKEN, EMPTY, LAMP

from stationflow.model import (
    PartUse,
    QualityKind,
    QualityStep,
    Reentry,
    Task,
    TimeLag,
    error,
)
from stationflow.model.unread import Unread, UnreadCell, Use
from stationflow.units import TimeUnit

MAIN = "tasks.L-100.main"


@pytest.fixture
def tasks(show):
    return show(LAMP, "tasks")


def opened(page, tab: str, detail: str = ""):
    """Open a tab below the table, and what is to be seen of the chosen task."""
    page.test.session_state["tasks.tab"] = tab
    if detail:
        page.test.session_state["tasks.detail"] = detail
    page.run()
    return page


def details(page, detail: str):
    return opened(page, "Chosen task", detail)


def times(store, code: str = "L-100") -> dict[str, int | None]:
    return {task.number: task.time_ms for task in store.draft(code).product.tasks}


def numbers(store, code: str = "L-100") -> list[str]:
    return [task.number for task in store.draft(code).product.tasks]


def test_a_time_typed_into_the_table_is_in_the_store(store, tasks):
    tasks.edit(MAIN, edited_rows={1: {"Time": "28"}})
    assert times(store)["20"] == 28_000


@pytest.mark.parametrize(
    ("typed", "time_ms"), [("7,5", 7500), ("7.5", 7500), (" 8 ", 8000), ("", None)]
)
def test_a_time_is_read_as(store, tasks, typed, time_ms):
    tasks.edit(MAIN, edited_rows={1: {"Time": typed}})
    assert times(store)["20"] == time_ms


def test_a_time_is_typed_in_the_unit_of_the_product(store, show):
    product = replace(LAMP, time_unit=TimeUnit.CENTIMINUTE)
    show(product, "tasks").edit(MAIN, edited_rows={1: {"Time": "40"}})
    assert times(store)["20"] == 24_000  # 40 x 0.6 s


def test_a_word_in_a_time_is_told(tasks):
    tasks.edit(MAIN, edited_rows={1: {"Time": "abc"}})
    assert "Row 2, Time (s): “abc” was not read" in tasks.errors


def test_a_word_in_a_time_leaves_the_time_as_it_was(store, tasks):
    tasks.edit(MAIN, edited_rows={1: {"Time": "abc"}})
    assert store.draft("L-100").product == LAMP


def test_what_was_typed_beside_a_word_in_a_time_is_kept(store, tasks):
    tasks.edit(MAIN, edited_rows={1: {"Time": "abc", "Task": "Glue on foot"}})
    task = store.draft("L-100").product.tasks[1]
    assert (task.name, task.time_ms) == ("Glue on foot", 25_000)


def test_a_negative_time_is_told(tasks):
    tasks.edit(MAIN, edited_rows={1: {"Time": "-3"}})
    assert "“-3” was not read" in tasks.errors


def test_two_edits_one_after_the_other_are_both_kept(store, tasks):
    tasks.edit(MAIN, edited_rows={1: {"Time": "28"}})
    tasks.edit(MAIN, edited_rows={1: {"Time": "28"}, 2: {"Time": "33"}})
    assert (times(store)["20"], times(store)["30"]) == (28_000, 33_000)


def test_an_edit_after_a_word_that_was_refused_is_kept(store, tasks):
    tasks.edit(MAIN, edited_rows={1: {"Time": "abc"}})
    tasks.run()
    tasks.edit(MAIN, edited_rows={2: {"Time": "33"}})
    assert times(store)["30"] == 33_000


def test_a_new_row_becomes_a_task(store, tasks):
    tasks.edit(MAIN, added_rows=[{"Number": "60", "Task": "Pack", "Time": "15"}])
    task = store.draft("L-100").product.tasks[-1]
    assert (task.number, task.name, task.time_ms, task.line) == ("60", "Pack", 15_000, "main")


def test_a_new_row_without_a_number_gets_the_next(store, tasks):
    tasks.edit(MAIN, added_rows=[{"Task": "Pack"}])
    assert numbers(store)[-1] == "60"


def test_two_new_rows_without_a_number_get_two(store, tasks):
    tasks.edit(MAIN, added_rows=[{"Task": "Pack"}, {"Task": "Label"}])
    assert numbers(store)[-2:] == ["60", "70"]


def test_an_empty_new_row_is_no_task(store, tasks):
    tasks.edit(MAIN, added_rows=[{}])
    assert numbers(store) == ["10", "20", "30", "40", "50"]


def test_the_first_task_of_an_empty_product_is_typed_into_the_table(store, show):
    page = show(EMPTY, "tasks")
    page.edit("tasks.L-000.main", added_rows=[{"Task": "Place base", "Time": "30"}])
    assert times(store, "L-000") == {"10": 30_000}


def test_a_new_task_on_a_feeder_belongs_to_the_feeder(store, show):
    page = show(BOARD_LAMP, "tasks")
    page.test.session_state["tasks.line"] = "board"
    page.run()
    page.edit("tasks.L-200.board", added_rows=[{"Number": "b4", "Task": "Clean"}])
    assert [t.line for t in store.draft("L-200").product.tasks if t.number == "b4"] == ["board"]


def test_a_predecessor_typed_into_the_table_is_an_arrow(store, tasks):
    tasks.edit(MAIN, edited_rows={4: {"After": "40; 30"}})
    assert store.draft("L-100").product.tasks[4].predecessors == ("40", "30")


def test_predecessors_may_be_parted_by_commas(store, tasks):
    tasks.edit(MAIN, edited_rows={4: {"After": "40, 30"}})
    assert store.draft("L-100").product.tasks[4].predecessors == ("40", "30")


def test_an_unknown_predecessor_is_kept_and_named(store, tasks):
    tasks.edit(MAIN, edited_rows={4: {"After": "99"}})
    opened(tasks, "Findings")
    assert "names the predecessor '99'" in tasks.said


def test_a_circle_is_kept_and_named(store, tasks):
    tasks.edit(MAIN, edited_rows={0: {"After": "50"}})
    opened(tasks, "Findings")
    assert "a circle cannot be built" in tasks.said


def test_a_new_number_is_carried_into_the_arrows(store, tasks):
    tasks.edit(MAIN, edited_rows={2: {"Number": "35"}})
    assert store.draft("L-100").product.tasks[3].predecessors == ("20", "35")


def test_a_new_number_is_carried_into_the_join_of_a_feeder(store, show):
    show(BOARD_LAMP, "tasks").edit("tasks.L-200.main", edited_rows={2: {"Number": "35"}})
    assert store.draft("L-200").product.line("board").join == "35"


def test_a_new_number_is_carried_into_the_times_between_tasks(store, show):
    show(BOARD_LAMP, "tasks").edit("tasks.L-200.main", edited_rows={4: {"Number": "55"}})
    assert store.draft("L-200").product.lags == (
        TimeLag(before="30", after="55", shortest_ms=60_000),
    )


def test_a_renumbered_task_keeps_its_steps(store, tasks):
    tasks.edit(MAIN, edited_rows={0: {"Number": "05"}})
    assert store.draft("L-100").product.tasks[0].steps == LAMP.tasks[0].steps


def test_a_number_that_is_taken_is_kept_and_named(store, tasks):
    tasks.edit(MAIN, edited_rows={2: {"Number": "20"}})
    opened(tasks, "Findings")
    assert "Give each task its own number." in tasks.said


def test_a_number_that_is_taken_for_a_moment_costs_no_arrow(store, tasks):
    tasks.edit(MAIN, edited_rows={2: {"Number": "20"}})  # a slip, put right at once
    tasks.edit(MAIN, edited_rows={2: {"Number": "30"}})
    assert store.draft("L-100").product == LAMP


def test_details_of_one_of_two_tasks_with_one_number_leave_the_other_alone(store, show):
    page = show(BROKEN, "tasks")
    page.test.selectbox(key="tasks.open").select("50")
    details(page, "Important steps")
    page.edit("details.L-900.50.steps", added_rows=[{"Important step": "Look"}])
    names = [t.name for t in store.draft("L-900").product.tasks if t.number == "50"]
    assert names == ["One", "The other"]


def test_a_deleted_row_is_gone(store, tasks):
    tasks.edit(MAIN, deleted_rows=[4])
    assert numbers(store) == ["10", "20", "30", "40"]


def test_deleting_a_row_leaves_the_others_untouched(store, tasks):
    tasks.edit(MAIN, deleted_rows=[0])
    assert store.draft("L-100").product.tasks == LAMP.tasks[1:]


def test_undo_brings_a_deleted_row_back(store, tasks):
    tasks.edit(MAIN, deleted_rows=[4])
    tasks.press("edit.undo")
    assert store.draft("L-100").product == LAMP


def test_redo_takes_it_away_again(store, tasks):
    tasks.edit(MAIN, deleted_rows=[4])
    tasks.press("edit.undo")
    tasks.press("edit.redo")
    assert numbers(store) == ["10", "20", "30", "40"]


def test_nothing_can_be_undone_before_the_first_edit(tasks):
    assert tasks.test.button(key="edit.undo").disabled


def test_an_edit_after_an_undo_is_kept(store, tasks):
    tasks.edit(MAIN, edited_rows={1: {"Time": "28"}})
    tasks.press("edit.undo")
    tasks.edit(MAIN, edited_rows={2: {"Time": "33"}})
    assert (times(store)["20"], times(store)["30"]) == (25_000, 33_000)


def test_an_important_step_is_typed_into_its_table(store, tasks):
    details(tasks, "Important steps")
    tasks.edit("details.L-100.10.steps", added_rows=[{"Important step": "Check felt"}])
    assert [s.text for s in store.draft("L-100").product.tasks[0].steps] == [
        "Lay base in jig",
        "Check felt",
    ]


def test_a_caution_is_chosen_from_the_list(store, tasks):
    details(tasks, "Cautions")
    tasks.edit("details.L-100.10.cautions", added_rows=[{"Hazard": "Noise or strong light"}])
    cautions = store.draft("L-100").product.tasks[0].cautions
    assert [c.hazard.value for c in cautions] == ["sharp", "noise"]


def test_the_details_of_another_task_are_opened_by_choosing_it(store, tasks):
    tasks.test.selectbox(key="tasks.open").select("50")
    details(tasks, "Checks")
    tasks.edit("details.L-100.50.checks", edited_rows={0: {"Limit": "lights at once"}})
    assert store.draft("L-100").product.tasks[4].checks[0].limit == "lights at once"


def test_a_name_full_of_marks_is_shown_as_it_was_typed(store, show):
    name = "![x](http://example.org/x.png) *bold*"
    page = show(replace(LAMP, name=name), "tasks")
    assert name in page.said


# What the grid makes of "20\tFit lamp \U0001f600\t7,5" as plain text: it cuts at UTF-16 places.
TORN_ROW = {"Number": "20", "Task": "Fit lamp \ud83d", "Time": "\t7,"}


def test_a_pasted_block_that_came_in_shifted_is_told(tasks):
    tasks.edit(MAIN, added_rows=[TORN_ROW])
    assert "Nothing of the block was taken" in tasks.errors


@pytest.mark.parametrize("changes", [{"added_rows": [TORN_ROW]}, {"edited_rows": {1: TORN_ROW}}])
def test_a_pasted_block_that_came_in_shifted_changes_nothing(store, tasks, changes):
    tasks.edit(MAIN, **changes)
    assert store.draft("L-100").product == LAMP


def test_after_a_pasted_block_that_came_in_shifted_the_table_goes_on(store, tasks):
    tasks.edit(MAIN, added_rows=[TORN_ROW])
    tasks.run()
    tasks.edit(MAIN, edited_rows={2: {"Time": "33"}})
    assert times(store)["30"] == 33_000


def test_a_long_text_in_a_time_is_not_repeated_whole(tasks):
    tasks.edit(MAIN, edited_rows={1: {"Time": "x" * 5000}})
    assert len(tasks.errors) < 300


def test_a_new_step_leaves_the_headings_of_the_tables_as_they_were(tasks):
    # the browser goes back to the first table when a heading changes
    details(tasks, "Important steps")
    before = [tab.label for tab in tasks.test.tabs]
    tasks.edit("details.L-100.10.steps", added_rows=[{"Important step": "Check felt"}])
    assert [tab.label for tab in tasks.test.tabs] == before


def test_tasks_of_a_line_that_is_gone_are_told(show):
    gone = replace(BOARD_LAMP, lines=BOARD_LAMP.lines[1:])
    assert "on the line “main”, and there is no such line" in show(gone, "tasks").said


@pytest.mark.parametrize(("count", "said"), [(1, "nothing of it is lost"), (2, "nothing of them")])
def test_one_task_of_a_line_that_is_gone_is_told_as_one(show, count, said):
    lost = tuple(Task(number=f"x{i}", line="gone") for i in range(count))
    assert said in show(replace(LAMP, tasks=(*LAMP.tasks, *lost)), "tasks").said


def test_history_lists_the_steps_and_goes_back_to_any(store, tasks):
    for time in ("28", "29"):
        tasks.edit(MAIN, edited_rows={1: {"Time": time}})
    tasks.press("edit.history")
    assert "Task 20, time: 25 s → 28 s" in tasks.said
    tasks.press("edit.history.2")  # the third from above: the product as it began
    assert times(store)["20"] == 25_000


def test_going_back_in_the_history_is_undone_by_one_press(store, tasks):
    for time in ("28", "29"):
        tasks.edit(MAIN, edited_rows={1: {"Time": time}})
    tasks.press("edit.history")
    tasks.press("edit.history.2")
    tasks.press("edit.undo")
    assert times(store)["20"] == 29_000


def naming_parts(show):
    uses = (PartUse(part="P-8"), PartUse(part="P-9"))
    product = replace(LAMP, tasks=(*LAMP.tasks[:4], replace(LAMP.tasks[4], parts=uses)))
    return opened(show(product, "tasks"), "Parts list")


def parts(store) -> list[str]:
    return [part.number for part in store.draft("L-100").product.parts]


def test_parts_that_tasks_name_are_put_into_the_list_by_one_press(store, show):
    naming_parts(show).press("tasks.fill_parts")
    assert parts(store) == ["P-1", "P-8", "P-9"]


def test_parts_put_into_the_list_are_taken_out_by_one_undo(store, show):
    page = naming_parts(show)
    page.press("tasks.fill_parts")
    page.press("edit.undo")
    assert parts(store) == ["P-1"]


def test_where_a_part_is_used_is_shown(tasks):
    opened(tasks, "Parts list").test.selectbox(key="tasks.uses.part").select("P-1")
    tasks.run()
    assert "Place base" in tasks.test.dataframe[0].value.to_string()


def test_where_a_tool_is_used_is_shown(tasks):
    details(tasks, "Tools").test.selectbox(key="tasks.uses.tool").select("Screwdriver")
    tasks.run()
    assert "Screw on foot" in tasks.test.dataframe[0].value.to_string()


OPEN = Unread(
    finding=error("value-not-read", "Task 10, time", "'4 or 5' was not read."),
    uses=(Use.WORK,),
    of_task="10",
    cell=UnreadCell(table="tasks", field="time_ms", key=("10",), text="4 or 5"),
)


@pytest.fixture
def with_open_value(show):
    return opened(show(replace(LAMP, unread=(OPEN,)), "tasks"), "Findings")


def test_a_value_that_could_not_be_read_is_named_where_findings_stand(with_open_value):
    assert "'4 or 5' was not read." in with_open_value.said


def test_a_time_that_is_entered_is_open_no_more(store, with_open_value):
    with_open_value.edit(MAIN, edited_rows={0: {"Time": "31"}})
    assert store.draft("L-100").product.unread == ()


def test_a_value_that_is_right_as_it_stands_is_open_no_more_after_one_press(store, with_open_value):
    with_open_value.press_first("tasks.right.")
    assert store.draft("L-100").product.unread == ()


def test_soak_fields_are_asked_for_a_soak_only(show):
    tested, soaked = (
        replace(LAMP.tasks[0], quality=QualityStep(kind=kind))
        for kind in (QualityKind.FUNCTION_TEST, QualityKind.SOAK)
    )
    for task, is_asked in ((tested, False), (soaked, True)):
        code = f"L-{task.quality.kind}"
        product = replace(LAMP, code=code, tasks=(task, *LAMP.tasks[1:]))
        page = details(show(product, "tasks"), "Test and repair")
        assert ("Spare positions" in page.said) == is_asked


def test_where_repaired_units_come_back_is_chosen(store, show):
    step = QualityStep(kind=QualityKind.FUNCTION_TEST)
    product = replace(LAMP, tasks=(replace(LAMP.tasks[0], quality=step), *LAMP.tasks[1:]))
    page = details(show(product, "tasks"), "Test and repair")
    field = next(f for f in page.test.selectbox if f.label == "Repaired units come back")
    assert field.options == ["before test", "after test"]
    field.set_value(Reentry.AFTER_TEST)
    page.run()
    assert store.draft("L-100").product.tasks[0].quality.reentry == Reentry.AFTER_TEST


def test_a_cleared_share_of_empty_places_is_none_of_them(store, show):
    step = QualityStep(kind=QualityKind.FUNCTION_TEST, empty_share=0.05)
    product = replace(LAMP, tasks=(replace(LAMP.tasks[0], quality=step), *LAMP.tasks[1:]))
    page = details(show(product, "tasks"), "Test and repair")
    field = next(f for f in page.test.text_input if f.label == "Planned empty places (share)")
    field.set_value("")
    page.run()
    assert store.draft("L-100").product.tasks[0].quality.empty_share == 0


def test_the_lines_a_task_may_be_done_on_are_chosen(store, show):
    page = details(show(BOARD_LAMP, "tasks"), "Before and after")
    field = next(f for f in page.test.multiselect if f.label == "May be done on these lines too")
    field.set_value(["board"])
    page.run()
    assert store.draft("L-200").product.tasks[0].other_lines == ("board",)
