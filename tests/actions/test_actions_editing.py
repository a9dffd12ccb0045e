"""Renumbering carries everything that names a task; edits of lines and models too."""

from dataclasses import replace

import pytest
from small_products import ANA, BOARD_LAMP, LAMP, MIXED, put_in

from stationflow.editing import renaming
from stationflow.errors import DraftChangedError
from stationflow.model import TaskLimits
from stationflow.model.references import Thing


def with_number(product, old: str, new: str):
    """Return the product with one task's own number changed, nothing else."""
    tasks = tuple(replace(t, number=new) if t.number == old else t for t in product.tasks)
    return replace(product, tasks=tasks)


@pytest.fixture
def renumbered():
    return renaming.renumbered(with_number(BOARD_LAMP, "30", "35"), {"30": "35"})


def test_a_new_number_is_carried_into_the_arrows(renumbered):
    assert {t.number: t.predecessors for t in renumbered.tasks}["40"] == ("20", "35")


def test_a_new_number_is_carried_into_the_joins(renumbered):
    assert renumbered.line("board").join == "35"


def test_a_new_number_is_carried_into_the_times_between_tasks(renumbered):
    assert [(lag.before, lag.after) for lag in renumbered.lags] == [("35", "50")]


@pytest.mark.parametrize("limit", ["apart", "independent_of"])
def test_a_new_number_is_carried_into_the_limit(limit):
    limited = replace(LAMP.tasks[4], limits=TaskLimits(**{limit: ("10", "40")}))
    product = with_number(replace(LAMP, tasks=(*LAMP.tasks[:4], limited)), "40", "45")
    changed = renaming.renumbered(product, {"40": "45"})
    assert getattr(changed.tasks[4].limits, limit) == ("10", "45")


def test_a_number_another_task_still_bears_is_left_alone():
    assert renaming.renumbered(LAMP, {"30": "35"}) is LAMP


def test_nothing_is_carried_to_a_number_that_two_tasks_bear():
    twice = with_number(LAMP, "30", "20")
    assert renaming.renumbered(twice, {"30": "20"}) is twice


def test_tasks_do_not_follow_to_a_line_name_that_is_taken():
    lines = (BOARD_LAMP.lines[0], replace(BOARD_LAMP.lines[1], name="main"))
    assert renaming.with_list(BOARD_LAMP, Thing.LINE, lines, [0, 1]).tasks == BOARD_LAMP.tasks


def test_two_tasks_can_change_numbers_with_each_other():
    # Both numbers are still there, so arrows stay with the number, as the table shows them.
    swapped = with_number(with_number(with_number(LAMP, "20", "x"), "30", "20"), "x", "30")
    assert renaming.renumbered(swapped, {"20": "30", "30": "20"}) == swapped


def test_a_chain_of_new_numbers_is_followed_once():
    product = with_number(with_number(LAMP, "40", "41"), "30", "31")
    changed = renaming.renumbered(product, {"30": "31", "40": "41"})
    assert [t.predecessors for t in changed.tasks] == [
        (),
        ("10",),
        ("10",),
        ("20", "31"),
        ("41",),
    ]


@pytest.mark.parametrize(
    ("taken", "number"),
    [((), "10"), (("10", "20"), "30"), (("10", "25"), "30"), (("b1",), "10"), (("010",), "20")],
)
def test_a_fresh_number_is_the_next_ten(taken, number):
    assert renaming.fresh_number(set(taken)) == number


def test_a_fresh_number_is_never_taken():
    assert renaming.fresh_number({"9", "10"}) not in {"9", "10"}


def test_a_save_from_an_old_state_is_refused(store):
    draft = put_in(store, LAMP)
    store.save(replace(LAMP, name="A"), base=draft.checksum, **ANA)
    with pytest.raises(DraftChangedError):
        store.save(replace(LAMP, name="B"), base=draft.checksum, **ANA)


def test_undo_goes_back_one_edit(store):
    draft = put_in(store, LAMP)
    store.save(replace(LAMP, name="A"), base=draft.checksum, **ANA)
    assert store.undo("L-100", **ANA).product == LAMP


def test_redo_brings_the_edit_back(store):
    draft = put_in(store, LAMP)
    store.save(replace(LAMP, name="A"), base=draft.checksum, **ANA)
    store.undo("L-100", **ANA)
    assert store.redo("L-100", **ANA).product.name == "A"


def test_the_tasks_follow_a_line_that_gets_another_name():
    lines = (BOARD_LAMP.lines[0], replace(BOARD_LAMP.lines[1], name="pcb"))
    changed = renaming.with_list(BOARD_LAMP, Thing.LINE, lines, [0, 1])
    assert [t.number for t in changed.tasks_of("pcb")] == ["b1", "b2", "b3"]


def test_a_feeder_follows_the_fed_line_that_gets_another_name():
    lines = (replace(BOARD_LAMP.lines[0], name="final"), BOARD_LAMP.lines[1])
    assert renaming.with_list(BOARD_LAMP, Thing.LINE, lines, [0, 1]).line("board").feeds == "final"


def test_the_tasks_of_a_line_that_is_taken_out_are_kept():
    changed = renaming.with_list(BOARD_LAMP, Thing.LINE, BOARD_LAMP.lines[:1], [0])
    assert changed.tasks == BOARD_LAMP.tasks


def test_the_times_follow_a_model_that_gets_another_name():
    models = (replace(MIXED.models[0], name="Z"), MIXED.models[1])
    changed = renaming.with_list(MIXED, Thing.MODEL, models, [0, 1])
    named = [(t.model, t.time_ms) for t in changed.tasks[0].model_times]
    assert named == [("Z", 20_000), ("B", 40_000)]
