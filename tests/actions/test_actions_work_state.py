"""Where the work on a product stands, in words. Figures are worked out by hand."""

from dataclasses import replace

import pytest
from small_products import ANA, BOARD_LAMP, BROKEN, EMPTY, LAMP

from stationflow.actions.opening.opened import opened_draft
from stationflow.actions.plans.plan_keeping import balance_and_keep
from stationflow.actions.showing.work_state import missing_next, work_state
from stationflow.model import BalanceSettings, PartUse, Product, QualityKind, QualityStep
from stationflow.storage import Draft, Store

RULE = BalanceSettings(method="ranked-positional-weight")


def said(store: Store, draft: Draft) -> dict[str, str]:
    return {state.page: state.said for state in work_state(opened_draft(store, draft))}


def added(store: Store, product: Product) -> Draft:
    return store.add_product(product, {}, **ANA)


def test_a_product_without_tasks_is_told_how_to_begin(store):
    assert said(store, added(store, EMPTY))["tasks"].startswith("No tasks yet.")


def test_errors_are_counted(store):
    assert "to cure first" in said(store, added(store, BROKEN))["tasks"]


def test_a_missing_demand_is_no_error_of_the_tasks(store):
    product = replace(LAMP, demand=replace(LAMP.demand, quantity=None))
    assert said(store, added(store, product))["tasks"] == "5 tasks, no errors."


def test_parts_that_are_not_listed_do_not_keep_a_line_from_being_balanced(store):
    fits = replace(LAMP.tasks[0], parts=(PartUse(part="P-99"),))
    product = replace(LAMP, tasks=(fits, *LAMP.tasks[1:]))
    words = "5 tasks, ready to balance. 1 error of parts and cards."
    assert said(store, added(store, product))["tasks"] == words


def test_without_a_demand_there_is_no_pace(store):
    product = replace(LAMP, demand=replace(LAMP.demand, quantity=None))
    assert said(store, added(store, product))["pace"].startswith("No pace yet.")


def test_a_product_without_demand_and_shifts_is_told_to_enter_both(store):
    assert said(store, added(store, EMPTY))["pace"] == (
        "No pace yet. Enter shifts with working time and working days. "
        "Enter how many good units are wanted."
    )


def test_tasks_without_a_time_are_named(store):
    tasks = tuple(replace(task, time_ms=None) for task in LAMP.tasks)
    product = replace(LAMP, tasks=(tasks[0], *LAMP.tasks[1:]))
    assert said(store, added(store, product))["tasks"] == "5 tasks, 1 without a time: 10."
    none = replace(LAMP, code="L-2", tasks=tasks)
    assert said(store, added(store, none))["tasks"] == "5 tasks, 5 without a time: 10, 20, 30 ..."


def next_of_pace(store: Store, product: Product) -> str:
    state = missing_next(opened_draft(store, added(store, product)), "pace")
    return f"{state.page}: {state.said}" if state else "nothing"


def test_what_a_page_itself_misses_comes_before_what_others_miss(store):
    assert next_of_pace(store, EMPTY).startswith("pace: No pace yet. Enter")


def test_once_there_is_a_pace_the_tasks_come_next(store):
    product = replace(LAMP, tasks=())
    assert next_of_pace(store, product).startswith("tasks: No tasks yet.")


def test_once_there_are_tasks_a_plan_comes_next(store):
    assert next_of_pace(store, LAMP) == "balance: No plan in force yet."


def test_with_a_plan_in_force_nothing_is_missing(store, planned):
    assert missing_next(opened_draft(store, planned), "pace") is None


def test_without_a_plan_there_are_no_cards(store):
    assert said(store, added(store, LAMP))["cards"].startswith("Balance first")


@pytest.fixture
def planned(store: Store) -> Draft:
    draft = added(store, LAMP)
    balance_and_keep(store, draft, "main", RULE, **ANA)
    return draft


def test_a_finished_product_has_every_page_done(store, planned):
    assert [
        state.page for state in work_state(opened_draft(store, planned)) if not state.is_done
    ] == []


def test_a_plan_out_of_date_is_told(store, planned):
    longer = replace(LAMP.tasks[0], time_ms=(LAMP.tasks[0].time_ms or 0) + 1)
    edited = replace(LAMP, tasks=(longer, *LAMP.tasks[1:]))
    draft = store.save(edited, base=planned.checksum, **ANA)
    assert "out of date on 1 of 1 line." in said(store, draft)["balance"]


def test_a_line_without_a_plan_is_named(store):
    draft = added(store, BOARD_LAMP)
    balance_and_keep(store, draft, "main", RULE, **ANA)
    told = said(store, draft)
    assert told["balance"] == "No plan in force: Board feeder."
    # 60 s have to pass from the end of task 30 to the start of 50: a fourth station.
    assert told["cards"] == "4 cards can be printed; none yet: Board feeder."


def test_the_whole_line_waits_for_plans(store):
    assert said(store, added(store, LAMP))["line"].startswith("Balance first")


def test_errors_in_what_is_entered_about_the_whole_line_are_left_to_do(store, planned):
    without_end = replace(LAMP.tasks[4], quality=QualityStep(kind=QualityKind.SOAK))
    edited = replace(planned.product, tasks=(*LAMP.tasks[:4], without_end))
    draft = store.save(edited, base=planned.checksum, **ANA)
    next_one = missing_next(opened_draft(store, draft), "cards")
    assert next_one is not None
    assert (next_one.page, next_one.said) == (
        "line",
        "1 error in what is entered about the whole line.",
    )
