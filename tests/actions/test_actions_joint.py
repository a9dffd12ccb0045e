"""All lines balanced at once and kept: moved tasks and plans in force are one step."""

from dataclasses import replace
from datetime import timedelta

import pytest
from small_products import ANA, MORNING, MOVABLE, put_in

from stationflow.actions.opening.opened import opened_draft
from stationflow.actions.opening.plan_states import plan_state
from stationflow.actions.plans.joint_balancing import balance_jointly, joint_words, keep_joint
from stationflow.actions.plans.plan_keeping import balance_and_keep
from stationflow.actions.products.going_back import go_back
from stationflow.errors import DraftChangedError, StoreError
from stationflow.model import Author, BalanceSettings

LATER = {"by": Author("ben", MORNING + timedelta(hours=1))}
SETTINGS = BalanceSettings()


@pytest.fixture
def draft(store):
    """Return the product with a plan of its main line in force."""
    draft = put_in(store, MOVABLE)
    balance_and_keep(store, draft, "main", SETTINGS, **ANA)
    return draft


@pytest.fixture
def kept(store, draft):
    """Return what was stored of all lines balanced at once."""
    found = balance_jointly(opened_draft(store, draft), SETTINGS)
    return keep_joint(store, draft, found, **LATER)


def in_force(store):
    plans = (store.plan_in_force("L-250", line) for line in ("main", "board"))
    return [plan and len(plan.result.stations) for plan in plans]


def line_of_30(store):
    return next(t.line for t in store.draft("L-250").product.tasks if t.number == "30")


def test_the_moved_task_and_the_plans_in_force_are_kept_together(store, kept):
    assert line_of_30(store) == "board"
    assert in_force(store) == [1, 1]


def test_the_plans_are_up_to_date_on_the_saved_product(store, kept):
    opened = opened_draft(store, store.draft("L-250"))
    states = [plan_state(opened, plan) for plan in kept[1]]
    assert [state.differences for state in states] == [(), ()]
    assert {plan.product_checksum for plan in kept[1]} == {kept[0].checksum}


def test_one_undo_takes_the_task_back_and_the_plans_out_of_force(store, kept):
    go_back(store, "L-250", ["undo"], **LATER)
    assert line_of_30(store) == "main"
    assert in_force(store) == [2, None]


def test_one_redo_brings_both_again(store, kept):
    go_back(store, "L-250", ["undo", "redo"], **LATER)
    assert line_of_30(store) == "board"
    assert in_force(store) == [1, 1]


def test_a_plan_put_in_force_meanwhile_stays_when_the_step_is_undone(store, kept):
    draft, _ = kept
    one_more = balance_and_keep(store, draft, "main", BalanceSettings(limit=70), **LATER)
    store.put_in_force("L-250", one_more.plan_id, **LATER)
    go_back(store, "L-250", ["undo"], **LATER)
    assert store.plan_in_force("L-250", "main").plan_id == one_more.plan_id
    assert store.plan_in_force("L-250", "board") is None


def test_nothing_is_kept_when_somebody_saved_meanwhile(store, draft):
    found = balance_jointly(opened_draft(store, draft), SETTINGS)
    store.save(replace(MOVABLE, name="Changed"), base=draft.checksum, **LATER)
    with pytest.raises(DraftChangedError):
        keep_joint(store, draft, found, **LATER)
    assert in_force(store) == [2, None]


def test_plans_of_an_older_state_are_refused_in_a_sentence(store, draft):
    found = balance_jointly(opened_draft(store, draft), SETTINGS)
    changed = store.save(replace(MOVABLE, name="Changed"), base=draft.checksum, **LATER)
    with pytest.raises(StoreError, match="has changed since these plans were made"):
        keep_joint(store, changed, found, **LATER)


def test_without_plans_nothing_is_kept(store):
    tasks = (replace(MOVABLE.tasks[0], time_ms=90_000), *MOVABLE.tasks[1:])
    draft = put_in(store, replace(MOVABLE, tasks=tasks))
    found = balance_jointly(opened_draft(store, draft), SETTINGS)
    with pytest.raises(StoreError, match="no plans to store"):
        keep_joint(store, draft, found, **LATER)


def test_what_came_of_it_is_told_in_words(store, draft):
    found = balance_jointly(opened_draft(store, draft), SETTINGS)
    assert joint_words(found) == (
        "All lines together need 2 stations. Balanced one by one they need 3. "
        "No choice of lines for the tasks that may move needs fewer. "
        "Task 30 moves from line main to line board."
    )
