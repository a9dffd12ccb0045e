"""What an engineer does with the chosen task, one sentence a test."""

from dataclasses import replace

import pytest
from small_products import BOARD_LAMP, BROKEN, EMPTY, LAMP

from stationflow.model import Equipment, Lift, QualityKind, Step, TaskLimits, TimeLag


@pytest.fixture
def tasks(show):
    return show(LAMP, "tasks")


def product(store, code: str = "L-100"):
    return store.draft(code).product


def numbers(store, code: str = "L-100") -> list[str]:
    return [task.number for task in product(store, code).tasks]


def arrows(store, number: str, code: str = "L-100") -> tuple[str, ...]:
    return next(t.predecessors for t in product(store, code).tasks if t.number == number)


def choose(page, key: str):
    page.test.selectbox(key="tasks.open").select(key)
    page.run()
    return page


def menu(page, name: str):
    page.test.session_state[f"tasks.{name}"] = True
    page.run()
    return page


def details(page, part: str):
    page.test.session_state["tasks.tab"] = "Chosen task"
    page.test.session_state["tasks.detail"] = part
    page.run()
    return page


def field(kind, label: str):
    return next(widget for widget in kind if widget.label == label)


def test_a_task_is_inserted_after_the_chosen_one(store, tasks):
    choose(tasks, "20").press("tasks.insert_after")
    assert numbers(store) == ["10", "20", "25", "30", "40", "50"]


def test_a_task_is_inserted_before_the_chosen_one(store, tasks):
    choose(tasks, "20").press("tasks.insert_before")
    assert numbers(store) == ["10", "15", "20", "30", "40", "50"]


def test_the_inserted_task_is_chosen(tasks):
    choose(tasks, "20").press("tasks.insert_after")
    assert tasks.test.selectbox(key="tasks.open").value == "25"


def test_what_happened_is_told(tasks):
    choose(tasks, "20").press("tasks.insert_after")
    assert "Task 25 is new after task 20" in tasks.said


def test_the_chosen_task_is_copied(store, tasks):
    choose(tasks, "40").press("tasks.duplicate")
    assert arrows(store, "45") == ("20", "30")


def test_the_chosen_task_is_moved_down(store, tasks):
    tasks.press("tasks.down")
    assert numbers(store)[:2] == ["20", "10"]


def test_the_first_task_cannot_be_moved_up(tasks):
    assert tasks.test.button(key="tasks.up").disabled


def test_one_undo_takes_a_split_back(store, tasks):
    menu(choose(tasks, "30"), "split").press("tasks.split.do")
    tasks.press("edit.undo")
    assert product(store) == LAMP


def test_a_task_is_split_in_halves_unless_told_otherwise(store, tasks):
    menu(choose(tasks, "30"), "split").press("tasks.split.do")
    assert [t.time_ms for t in product(store).tasks[2:4]] == [17_500, 17_500]


def test_a_split_is_told_before_it_is_done(tasks):
    menu(choose(tasks, "30"), "split")
    assert "Task 30 becomes 30 (17.5 s) and 35 (17.5 s)" in tasks.said


def test_the_rest_of_the_time_is_the_last_part(store, tasks):
    menu(choose(tasks, "30"), "split")
    field(tasks.test.text_input, "Time of each part (s), parted by semicolons; the rest is the "
          "last part").input("5; 10,5")  # fmt: skip
    tasks.run()
    tasks.press("tasks.split.do")
    assert [t.time_ms for t in product(store).tasks[2:5]] == [5000, 10_500, 19_500]


@pytest.mark.parametrize(
    ("typed", "said"), [("abc", "“abc” was not read"), ("50", "do not add up"), ("", "2 to 20")]
)
def test_times_that_cannot_be_split_are_told(tasks, typed, said):
    menu(choose(tasks, "30"), "split")
    field(tasks.test.text_input, "Time of each part (s), parted by semicolons; the rest is the "
          "last part").input(typed)  # fmt: skip
    tasks.run()
    assert said in tasks.said
    assert tasks.test.button(key="tasks.split.do").disabled


def test_a_task_is_split_between_its_steps(store, show):
    steps = (Step(text="Cut", time_ms=10_000), Step(text="Fit", time_ms=25_000))
    page = show(replace(LAMP, tasks=(*LAMP.tasks[:2], replace(LAMP.tasks[2], steps=steps),
                                     *LAMP.tasks[3:])), "tasks")  # fmt: skip
    page.test.session_state["tasks.split.how"] = "By steps"
    menu(choose(page, "30"), "split")
    page.test.multiselect(key="tasks.split.steps").select(1)
    page.run()
    page.press("tasks.split.do")
    assert [t.time_ms for t in product(store).tasks[2:4]] == [10_000, 25_000]


def test_the_chosen_task_is_merged_with_another(store, tasks):
    menu(choose(tasks, "20"), "merge")
    tasks.test.multiselect(key="tasks.merge.with").select("30")
    tasks.run()
    tasks.press("tasks.merge.do")
    assert (numbers(store), arrows(store, "40")) == (["10", "20", "40", "50"], ("20",))


def test_a_merge_that_closes_a_circle_is_refused_with_its_path(tasks):
    menu(choose(tasks, "10"), "merge")
    tasks.test.multiselect(key="tasks.merge.with").select("40")
    tasks.run()
    assert "10 before 20 before 40" in tasks.said


def test_a_line_is_numbered_anew(store, tasks):
    menu(tasks, "renumber")
    tasks.test.number_input(key="tasks.renumber.width").set_value(3)
    tasks.run()
    tasks.press("tasks.renumber.do")
    assert numbers(store) == ["010", "020", "030", "040", "050"]


def test_a_task_is_deleted_and_its_arrows_are_handed_on(store, tasks):
    menu(choose(tasks, "20"), "delete").press("tasks.delete.do")
    assert arrows(store, "40") == ("10", "30")


def test_an_empty_line_says_how_to_begin(show):
    assert "Type the first task into the table" in show(EMPTY, "tasks").said


def test_a_task_that_gets_another_number_stays_chosen(tasks):
    choose(tasks, "30")
    tasks.edit("tasks.L-100.main", edited_rows={2: {"Number": "35"}})
    assert tasks.test.selectbox(key="tasks.open").value == "35"


def test_the_chosen_task_is_remembered_when_the_page_is_left(tasks):
    choose(tasks, "30")
    tasks.go("pace")
    tasks.go("tasks")
    assert tasks.test.selectbox(key="tasks.open").value == "30"


def test_both_tasks_of_one_number_can_be_opened(store, show):
    page = details(choose(show(BROKEN, "tasks"), "50\n2"), "Important steps")
    page.edit("details.L-900.50\n2.steps", added_rows=[{"Important step": "Look"}])
    assert [len(t.steps) for t in product(store, "L-900").tasks[-2:]] == [0, 1]


def test_a_range_typed_into_the_table_means_all_tasks_between(store, tasks):
    tasks.edit("tasks.L-100.main", edited_rows={4: {"After": "10, 20-40"}})
    assert arrows(store, "50") == ("10", "20", "30", "40")


def test_a_predecessor_is_picked(store, tasks):
    details(choose(tasks, "50"), "Before and after")
    field(tasks.test.multiselect, "After: these tasks must be finished before").select("10")
    tasks.run()
    assert arrows(store, "50") == ("40", "10")


def test_a_follower_is_picked(store, tasks):
    details(choose(tasks, "20"), "Before and after")
    field(tasks.test.multiselect, "Before: these tasks wait for it").select("50")
    tasks.run()
    assert arrows(store, "50") == ("40", "20")


def test_a_limit_is_typed(store, tasks):
    details(tasks, "Limits")
    field(tasks.test.text_input, "Zone").input("dry")
    tasks.run()
    assert product(store).tasks[0].limits.zone == "dry"


@pytest.mark.parametrize(
    ("label", "name"),
    [("Not before station", "earliest_station"), ("Not after station", "latest_station")],
)
def test_an_earliest_and_a_latest_station_are_typed(store, tasks, label, name):
    details(tasks, "Limits")
    field(tasks.test.text_input, label).input("3")
    tasks.run()
    assert getattr(product(store).tasks[0].limits, name) == 3


def test_a_word_as_a_station_is_told(tasks):
    details(tasks, "Limits")
    field(tasks.test.text_input, "Only at station").input("two")
    tasks.run()
    assert "Only at station: “two” was not read" in tasks.errors


def test_a_word_as_a_station_stays_to_be_put_right(tasks):
    details(tasks, "Limits")
    field(tasks.test.text_input, "Only at station").input("two")
    tasks.run()
    assert field(tasks.test.text_input, "Only at station").value == "two"


def test_undo_takes_a_limit_back(store, tasks):
    details(tasks, "Limits")
    field(tasks.test.text_input, "Zone").input("dry")
    tasks.run()
    tasks.press("edit.undo")
    assert field(tasks.test.text_input, "Zone").value == ""


def test_a_task_becomes_a_test(store, tasks):
    details(choose(tasks, "50"), "Test and repair")
    field(tasks.test.selectbox, "What the task does for quality").select(QualityKind.SAFETY_TEST)
    tasks.run()
    field(tasks.test.text_input, "Passed the first time (share)").input("97 %")
    tasks.run()
    quality = product(store).tasks[4].quality
    assert (quality.kind, quality.first_pass_share) == (QualityKind.SAFETY_TEST, 0.97)


def test_a_lift_is_typed_and_its_index_opened(store, show):
    lift = Lift(from_reach_mm=350, from_height_mm=750, to_reach_mm=350, to_height_mm=900)
    tasks = (replace(LAMP.tasks[0], lift=lift, limits=TaskLimits(lift_kg=8)), *LAMP.tasks[1:])
    page = details(show(replace(LAMP, tasks=tasks), "tasks"), "Lifting")
    field(page.test.text_input, "End: reach (mm)").input("400")
    page.run()
    kept = store.draft("L-100").product.tasks[0].lift
    assert (kept.to_reach_mm, "lifting index at the end" in page.said) == (400, True)


def opened(page, tab: str):
    page.test.session_state["tasks.tab"] = tab
    page.run()
    return page


def test_a_time_between_tasks_is_typed(store, tasks):
    opened(tasks, "Times between tasks")
    row = {"From the end of task": "10", "To the start of task": "40", "At least": "60"}
    tasks.edit("lags.L-100", added_rows=[row])
    assert product(store).lags == (TimeLag(before="10", after="40", shortest_ms=60_000),)


def test_operators_of_a_station_are_typed(store, show):
    page = opened(show(BOARD_LAMP, "tasks"), "Stations")
    page.edit("stations.L-200.main", added_rows=[{"Station": "2", "Operators": "3"}])
    stations = product(store, "L-200").lines[0].stations
    assert [(s.number, s.operators) for s in stations] == [(2, 3)]


def test_equipment_is_typed(store, tasks):
    opened(tasks, "Equipment")
    tasks.edit("equipment.L-100", added_rows=[{"Machine, tester or fixture": "Press"}])
    assert product(store).equipment == (Equipment(name="Press"),)
