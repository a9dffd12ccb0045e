"""Two edits of one product are brought together; what both changed is a conflict.

Expected values are worked out by hand from the rule in the module's heading.
"""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_products import BOARD_LAMP, LAMP

from stationflow.editing.two_editors import (
    Conflict,
    merged,
    with_value,
)
from stationflow.model import Part, Product, Step, Task, TaskLimits
from stationflow.model.changes import record_identity
from stationflow.model.changes.change_words import change_words, place_words
from stationflow.model.changes.differences import GONE, Change, differences
from stationflow.model.changes.record_identity import At, matched
from stationflow.units import TimeUnit


def changed(product: Product, number: str, /, **new) -> Product:
    """Return the product with fields of one task changed."""
    tasks = tuple(replace(t, **new) if t.number == number else t for t in product.tasks)
    return replace(product, tasks=tasks)


def without(product: Product, number: str) -> Product:
    return replace(product, tasks=tuple(t for t in product.tasks if t.number != number))


def added(product: Product, *tasks: Task) -> Product:
    return replace(product, tasks=(*product.tasks, *tasks))


def numbers(product: Product) -> list[str]:
    return [task.number for task in product.tasks]


def test_two_cells_of_two_tasks_are_both_taken():
    both = merged(LAMP, changed(LAMP, "20", time_ms=28_000), changed(LAMP, "30", time_ms=33_000))
    assert both.product == changed(changed(LAMP, "20", time_ms=28_000), "30", time_ms=33_000)


def test_two_cells_of_one_task_are_both_taken():
    both = merged(LAMP, changed(LAMP, "20", time_ms=28_000), changed(LAMP, "20", name="Glue"))
    assert both.product == changed(LAMP, "20", time_ms=28_000, name="Glue")


def test_two_cells_of_one_task_are_no_conflict():
    both = merged(LAMP, changed(LAMP, "20", time_ms=28_000), changed(LAMP, "20", name="Glue"))
    assert both.conflicts == ()


def test_one_cell_changed_alike_is_no_conflict():
    side = changed(LAMP, "20", time_ms=28_000)
    assert merged(LAMP, side, side).conflicts == ()


@pytest.fixture
def times_differ():
    return merged(LAMP, changed(LAMP, "20", time_ms=28_000), changed(LAMP, "20", time_ms=31_000))


def test_one_cell_changed_differently_is_a_conflict(times_differ):
    path = ("tasks", At(("20",)), "time_ms")
    assert times_differ.conflicts == (Conflict(path, theirs=31_000, mine=28_000),)


def test_the_stored_value_stays_until_somebody_decides(times_differ):
    assert times_differ.product == changed(LAMP, "20", time_ms=31_000)


def test_the_other_value_can_be_put_in(times_differ):
    conflict = times_differ.conflicts[0]
    decided = with_value(times_differ.product, conflict.path, conflict.mine)
    assert decided == changed(LAMP, "20", time_ms=28_000)


def test_a_conflict_in_a_field_beside_another_change_keeps_that_change():
    mine = changed(LAMP, "20", time_ms=28_000, name="Glue")
    assert merged(LAMP, mine, changed(LAMP, "20", time_ms=31_000)).product.tasks[1].name == "Glue"


def test_a_task_deleted_there_and_untouched_here_is_gone():
    assert numbers(
        merged(LAMP, changed(LAMP, "10", time_ms=1000), without(LAMP, "20")).product
    ) == [
        "10",
        "30",
        "40",
        "50",
    ]


def test_a_task_deleted_there_and_edited_here_is_a_conflict():
    mine = changed(LAMP, "20", time_ms=28_000)
    conflict = merged(LAMP, mine, without(LAMP, "20")).conflicts[0]
    assert (conflict.theirs, conflict.mine) == (GONE, mine.tasks[1])


def test_a_task_that_was_deleted_can_be_brought_back_to_its_place():
    mine = changed(LAMP, "20", time_ms=28_000)
    both = merged(LAMP, mine, without(LAMP, "20"))
    conflict = both.conflicts[0]
    assert with_value(both.product, conflict.path, conflict.mine) == mine


def test_a_task_edited_there_and_deleted_here_is_a_conflict():
    theirs = changed(LAMP, "20", time_ms=28_000)
    both = merged(LAMP, without(LAMP, "20"), theirs)
    assert (both.product, both.conflicts[0].mine) == (theirs, GONE)


def test_a_deletion_can_be_insisted_on():
    both = merged(LAMP, without(LAMP, "20"), changed(LAMP, "20", time_ms=28_000))
    path = both.conflicts[0].path
    assert with_value(both.product, path, GONE) == without(LAMP, "20")


def test_two_new_tasks_with_one_number_are_both_kept():
    mine, theirs = (
        added(LAMP, Task(number="60", name="A")),
        added(LAMP, Task(number="60", name="B")),
    )
    both = merged(LAMP, mine, theirs).product
    assert [(t.number, t.name) for t in both.tasks[5:]] == [("60", "B"), ("70", "A")]


def test_a_new_task_that_gave_way_is_followed_by_its_arrows():
    mine = added(
        LAMP, Task(number="60", name="A"), Task(number="70", name="C", predecessors=("60",))
    )
    both = merged(LAMP, mine, added(LAMP, Task(number="60", name="B"))).product
    assert both.tasks[-1].predecessors == ("80",)


def test_a_renumbered_task_takes_the_edit_of_its_old_number():
    mine = changed(LAMP, "20", number="25")
    both = merged(LAMP, mine, changed(LAMP, "20", time_ms=28_000))
    assert (both.product.tasks[1].number, both.product.tasks[1].time_ms) == ("25", 28_000)


def test_a_task_both_renumber_alike_stays_one():
    mine = changed(LAMP, "20", number="25", time_ms=28_000)
    both = merged(LAMP, mine, changed(LAMP, "20", number="25"))
    assert numbers(both.product) == ["10", "25", "30", "40", "50"]
    assert (both.product.tasks[1].time_ms, both.conflicts, both.new_numbers) == (28_000, (), ())


def test_a_task_renumbered_to_the_number_of_a_new_one_gets_another():
    mine = changed(changed(LAMP, "20", number="25"), "40", predecessors=("25", "30"))
    both = merged(LAMP, mine, added(LAMP, Task(number="25", name="B"))).product
    assert numbers(both) == ["10", "60", "30", "40", "50", "25"]
    assert both.tasks[3].predecessors == ("60", "30")


def test_arrows_made_elsewhere_follow_a_new_number():
    theirs = changed(LAMP, "50", predecessors=("40", "20"))
    mine = changed(changed(LAMP, "20", number="25"), "40", predecessors=("25", "30"))
    assert merged(LAMP, mine, theirs).product.tasks[4].predecessors == ("40", "25")


def test_a_conflict_of_a_renumbered_task_is_found_by_its_new_number():
    mine = changed(LAMP, "20", number="25", time_ms=28_000)
    both = merged(LAMP, mine, changed(LAMP, "20", time_ms=31_000))
    decided = with_value(both.product, both.conflicts[0].path, both.conflicts[0].mine)
    assert decided.tasks[1].time_ms == 28_000


def test_header_and_demand_are_merged_field_by_field():
    mine = replace(LAMP, name="A", demand=replace(LAMP.demand, quantity=500))
    theirs = replace(LAMP, author="B", demand=replace(LAMP.demand, yield_share=0.9))
    both = merged(LAMP, mine, theirs).product
    assert (both.name, both.author, both.demand.quantity, both.demand.yield_share) == (
        "A",
        "B",
        500,
        0.9,
    )


def test_steps_added_on_both_sides_are_both_kept():
    steps = LAMP.tasks[0].steps
    mine = changed(LAMP, "10", steps=(*steps, Step(text="Press")))
    theirs = changed(LAMP, "10", steps=(*steps, Step(text="Turn")))
    assert [s.text for s in merged(LAMP, mine, theirs).product.tasks[0].steps] == [
        steps[0].text,
        "Turn",
        "Press",
    ]


def test_a_step_changed_on_both_sides_is_a_conflict_of_the_steps():
    mine = changed(LAMP, "10", steps=(Step(text="A"),))
    theirs = changed(LAMP, "10", steps=(Step(text="B"),))
    assert merged(LAMP, mine, theirs).conflicts[0].path == ("tasks", At(("10",)), "steps")


def test_limits_are_merged_field_by_field():
    mine = changed(LAMP, "10", limits=TaskLimits(zone="A"))
    theirs = changed(LAMP, "10", limits=TaskLimits(skill="solder"))
    assert merged(LAMP, mine, theirs).product.tasks[0].limits == TaskLimits(
        zone="A", skill="solder"
    )


def test_rows_moved_on_one_side_stay_moved():
    mine = replace(LAMP, tasks=LAMP.tasks[::-1])
    both = merged(LAMP, mine, added(LAMP, Task(number="60"))).product
    assert [n for n in numbers(both) if n != "60"] == numbers(LAMP)[::-1]


def test_of_two_tasks_with_one_number_each_keeps_its_own_edit():
    twice = added(LAMP, Task(number="10", name="Second"))
    mine = replace(twice, tasks=(*twice.tasks[:5], replace(twice.tasks[5], time_ms=9000)))
    theirs = replace(twice, tasks=(replace(twice.tasks[0], time_ms=8000), *twice.tasks[1:]))
    both = merged(twice, mine, theirs).product
    assert (both.tasks[0].time_ms, both.tasks[5].time_ms) == (8000, 9000)


CELLS = st.dictionaries(
    st.tuples(st.sampled_from(numbers(BOARD_LAMP)), st.sampled_from(["name", "time_source"])),
    st.text(min_size=1, max_size=4),
    max_size=8,
)


@given(CELLS, st.data())
def test_disjoint_edits_merge_to_the_same_product_in_either_order(cells, data):
    first = {c for c in cells if data.draw(st.booleans())}
    sides = []
    for own in (first, set(cells) - first):
        side = BOARD_LAMP
        for number, field in own:
            side = changed(side, number, **{field: cells[number, field]})
        sides.append(side)
    one, other = sides
    assert merged(BOARD_LAMP, one, other) == merged(BOARD_LAMP, other, one)


@given(CELLS, CELLS)
def test_every_edit_is_in_the_product_or_in_a_conflict(one, other):
    mine = theirs = BOARD_LAMP
    for (number, field), text in one.items():
        mine = changed(mine, number, **{field: text})
    for (number, field), text in other.items():
        theirs = changed(theirs, number, **{field: text})
    both = merged(BOARD_LAMP, mine, theirs)
    kept = {
        (c.path, c.after) for c in differences(BOARD_LAMP, both.product)
    } | {(c.path, c.mine) for c in both.conflicts}  # fmt: skip
    assert {(c.path, c.after) for c in differences(BOARD_LAMP, mine)} <= kept


@given(CELLS)
def test_all_differences_put_in_give_the_other_product(cells):
    side = BOARD_LAMP
    for (number, field), text in cells.items():
        side = changed(side, number, **{field: text})
    product = BOARD_LAMP
    for change in differences(BOARD_LAMP, side):
        product = with_value(product, change.path, change.after)
    assert product == side


def test_an_added_task_is_one_difference():
    task = Task(number="60", name="Pack")
    assert differences(LAMP, added(LAMP, task)) == (Change(("tasks", At(("60",))), GONE, task),)


def test_a_value_for_a_record_that_is_gone_is_refused():
    with pytest.raises(LookupError):
        with_value(LAMP, ("tasks", At(("99",)), "time_ms"), 3)


def test_records_are_matched_by_their_keys():
    before = (Part(number="A"), Part(number="B"))
    assert matched(before, (Part(number="B", name="x"), Part(number="C", name="y"))) == [1, None]


@pytest.mark.parametrize(
    ("path", "words"),
    [
        (("tasks", At(("30",)), "time_ms"), "Task 30, time"),
        (("tasks", At(("30",)), "predecessors"), "Task 30, after"),
        (("tasks", At(("30",)), "limits", "working_height_mm"), "Task 30, working height"),
        (("tasks", At(("30",)), "parts", At(("P-1",)), "quantity"), "Task 30, Part P-1, quantity"),
        (("calendar", "shifts", At(("early",)), "end"), "Shift early, end"),
        (("demand", "yield_share"), "Yield share"),
        (("name",), "Name"),
        (("tasks", At(("30",))), "Task 30"),
        (("tasks",), "Tasks"),
        (("tasks", At(("30",)), "limits", "station"), "Task 30, fixed station"),
        (("tasks", At(("30",)), "steps"), "Task 30, important steps"),
        (("tasks", At(("30",)), "time_sd_ms"), "Task 30, standard deviation of the time"),
        (("lags", At(("30", "50")), "shortest_ms"), "Time between tasks 30, 50, shortest"),
        (("pictures", At(("a.png",)), "checksum"), "Picture a.png, content"),
        (("parts",), "Parts"),
    ],
)
def test_a_place_is_told_as(path, words):
    assert place_words(path) == words


def test_a_changed_time_is_told_in_the_unit_of_the_product():
    change = Change(("tasks", At(("30",)), "time_ms"), 24_000, None)
    assert change_words(change, TimeUnit.CENTIMINUTE) == "Task 30, time: 40 1/100 min → empty"


def test_records_of_other_numbers_are_matched_by_what_they_hold_with_one_look_at_each(monkeypatch):
    before = tuple(Task(number=f"{n}", name=f"Fit part {n}") for n in range(400))
    after = tuple(Task(number=f"N{n}", name=f"Fit part {n}") for n in range(400))
    looks, held = [], record_identity._held
    monkeypatch.setattr(record_identity, "_held", lambda r: looks.append(r) or held(r))
    assert (record_identity.matched(before, after), len(looks)) == (list(range(400)), 800)
