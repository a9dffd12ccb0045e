"""Stored plans are named, archived, made again, and made by several methods."""

from dataclasses import replace
from datetime import timedelta

import pytest
from small_plans import changed
from small_products import ANA, LAMP, MORNING, TOO_LONG, put_in

from stationflow.actions.opening.opened import opened_draft
from stationflow.actions.opening.plan_states import plan_states
from stationflow.actions.plans import confirming, plan_keeping, plan_upkeep
from stationflow.balancing.balance import complete_settings
from stationflow.balancing.methods import METHODS
from stationflow.errors import PlanNotFoundError, StoreError
from stationflow.model import Author, BalanceSettings

LATER = {"by": Author("ben", MORNING + timedelta(hours=1))}


@pytest.fixture
def lamp(store):
    return put_in(store, LAMP)


@pytest.fixture
def first(store, lamp):
    return plan_keeping.balance_and_keep(
        store, lamp, "main", BalanceSettings(method="comsoal"), **ANA
    )


@pytest.fixture
def second(store, lamp, first):
    rule = BalanceSettings(method="largest-candidate")
    return plan_keeping.balance_and_keep(store, lamp, "main", rule, **ANA)


def listed(store, *, archived: bool = False) -> list[int]:
    opened = opened_draft(store, store.draft("L-100"))
    return [plan.plan_id for plan in opened.plans("main", archived=archived)]


def with_foot(store, time_ms: int):
    """Give task 20 another time and return the new draft."""
    draft = store.draft("L-100")
    tasks = tuple(replace(t, time_ms=time_ms) if t.number == "20" else t for t in LAMP.tasks)
    edited = replace(draft.product, tasks=tasks)
    return store.save(edited, base=draft.checksum, **LATER)


def test_plans_are_listed_newest_first(store, first, second):
    assert listed(store) == [second.plan_id, first.plan_id]


def test_a_plan_is_given_a_name(store, first):
    plan_upkeep.describe_plan(
        store, "L-100", first.plan_id, name=" Summer  line ", remark="", **LATER
    )
    assert store.plans("L-100")[0].name == "Summer line"


def test_an_empty_name_leaves_the_one_there_is(store, first):
    plan_upkeep.describe_plan(store, "L-100", first.plan_id, name="  ", remark="kept", **LATER)
    assert store.plans("L-100")[0].name == first.name


def test_a_name_changes_nothing_else_of_a_plan(store, first):
    plan_upkeep.describe_plan(store, "L-100", first.plan_id, name="Summer", remark="", **LATER)
    assert store.plans("L-100")[0] == replace(first, name="Summer")


def test_a_remark_stands_in_the_list(store, lamp, first):
    plan_upkeep.describe_plan(
        store, "L-100", first.plan_id, name="", remark="For the new jig", **LATER
    )
    rows = plan_states(opened_draft(store, lamp), "main", archived=False)
    assert rows[0].plan.remark == "For the new jig"


def test_an_archived_plan_is_out_of_the_list(store, first, second):
    store.note_plan("L-100", second.plan_id, archived=True, **LATER)
    assert listed(store) == [first.plan_id]


def test_an_archived_plan_is_not_lost(store, first, second):
    store.note_plan("L-100", second.plan_id, archived=True, **LATER)
    assert listed(store, archived=True) == [second.plan_id, first.plan_id]


def test_an_archived_plan_is_brought_back_with_its_remark(store, lamp, first, second):
    plan_upkeep.describe_plan(store, "L-100", second.plan_id, name="", remark="Keep", **LATER)
    store.note_plan("L-100", second.plan_id, archived=True, **LATER)
    store.note_plan("L-100", second.plan_id, archived=False, **LATER)
    rows = plan_states(opened_draft(store, lamp), "main", archived=False)
    assert (rows[0].plan.plan_id, rows[0].plan.remark) == (second.plan_id, "Keep")


def test_a_plan_in_force_cannot_be_archived(store, first):
    with pytest.raises(StoreError, match="Put another plan of the line in force first"):
        store.note_plan("L-100", first.plan_id, archived=True, **LATER)


def test_putting_an_archived_plan_in_force_brings_it_back(store, first, second):
    store.note_plan("L-100", second.plan_id, archived=True, **LATER)
    store.put_in_force("L-100", second.plan_id, **LATER)
    assert second.plan_id in listed(store)


def test_a_plan_that_is_not_there_cannot_be_named(store, lamp):
    with pytest.raises(PlanNotFoundError):
        plan_upkeep.describe_plan(store, "L-100", 99, name="x", remark="", **LATER)


@pytest.mark.parametrize("method", [name for name in METHODS if name != "exact"])
def test_a_plan_made_again_is_the_same(store, lamp, method):
    plan = plan_keeping.balance_and_keep(store, lamp, "main", BalanceSettings(method=method), **ANA)
    assert plan_upkeep.make_again(store, lamp, plan, **LATER).is_same


def test_the_same_plan_is_not_stored_twice(store, lamp, first):
    plan_upkeep.make_again(store, lamp, first, **LATER)
    assert listed(store) == [first.plan_id]


def test_other_stations_are_stored_as_a_new_plan_that_is_not_in_force(store, first):
    draft = with_foot(store, 58_000)  # beside task 20 nothing else fits into 60 s any more
    made = plan_upkeep.make_again(store, draft, first, **LATER)
    assert (made.plan.plan_id in listed(store), made.plan.in_force) == (True, False)


def test_a_plan_that_cannot_be_made_any_more_says_why(store, first):
    made = plan_upkeep.make_again(store, with_foot(store, 75_000), first, **LATER)
    assert made.plan.result.findings[0].code == "task-longer-than-limit"


def test_a_given_plan_cannot_be_made_again(first):
    given = replace(first, result=changed(first.result, method="given"))
    assert not plan_upkeep.can_be_made_again(given)


def test_a_stored_plan_says_all_options_of_its_method(first):
    assert (first.asked.trials, first.asked.seed) == (1000, 1)


def test_a_stored_exact_plan_says_the_bound_on_its_memory():
    asked = complete_settings(BalanceSettings(method="exact", limit=60, nodes=9))
    assert (asked.memory_mb, asked.nodes) == (2048, 9)


def test_what_a_second_solver_says_is_kept_with_the_plan(store, first):
    said = confirming.confirm_plan(store, first, seconds=60, **LATER)
    kept = store.plans("L-100")[0]
    assert (said.agrees, kept) == (
        True,
        replace(first, confirmation=said),
    )


def test_a_second_solver_is_asked_on_the_product_as_it_was(store, first):
    with_foot(store, 58_000)  # as the product is now, the plan breaks the limit
    assert confirming.confirm_plan(store, first, seconds=60, **LATER).agrees is True


def test_of_a_plan_that_is_not_there_nothing_is_kept(store, first):
    with pytest.raises(PlanNotFoundError):
        confirming.confirm_plan(store, replace(first, plan_id=99), seconds=60, **LATER)


def test_settings_of_several_methods_ask_all_for_the_same():
    asked = plan_upkeep.settings_of_methods(
        ["comsoal", "exact"], BalanceSettings(limit=75, seconds=9), seconds=20
    )
    assert [(s.method, s.limit, s.seconds) for s in asked] == [
        ("comsoal", 75, None),
        ("exact", 75, 20),
    ]


def test_a_line_that_cannot_be_balanced_keeps_no_plan(store):
    draft = put_in(store, TOO_LONG)
    plan_keeping.balance_and_keep(store, draft, "main", BalanceSettings(method="comsoal"), **ANA)
    assert opened_draft(store, store.draft("L-500")).plans("main") == []
