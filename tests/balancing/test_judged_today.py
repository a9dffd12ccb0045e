"""A plan is measured by the times, the order and the pace of today."""

from dataclasses import replace

import pytest
from small_products import LAMP

from stationflow.balancing.balance import balance_product
from stationflow.balancing.judged_today import judged_today
from stationflow.balancing.metrics import gap
from stationflow.model import BalanceSettings, Ending

RULE = BalanceSettings(method="largest-candidate")
# By hand: at 60 s the stations are 10 + 20 (55 s), 30 + 40 (55 s), 50 (40 s).
MADE = balance_product(LAMP, "main", RULE)


def with_foot(seconds: float):
    return tuple(
        replace(t, time_ms=round(seconds * 1000)) if t.number == "20" else t for t in LAMP.tasks
    )


def at_demand(quantity: int, **changes):
    return replace(LAMP, demand=replace(LAMP.demand, quantity=quantity), **changes)


def codes(result) -> list[str]:
    return [finding.code for finding in result.findings]


def test_on_the_product_it_was_made_from_a_plan_is_what_it_was():
    today = judged_today(LAMP, MADE)
    assert (today.loads, today.limit, today.ending) == (MADE.loads, 60.0, Ending.OPTIMAL)


def test_the_loads_are_of_todays_times():
    assert judged_today(replace(LAMP, tasks=with_foot(28)), MADE).loads == (58.0, 55.0, 40.0)


def test_the_limit_is_that_of_todays_demand():
    # 28 800 s a day for 500 are 57.6 s.
    assert judged_today(at_demand(500), MADE).limit == pytest.approx(57.6)


def test_stations_over_todays_limit_break_the_plan():
    today = judged_today(at_demand(576), MADE)  # 50 s; two stations have 55 s
    assert (codes(today), today.ending) == (["station-over-limit"] * 2, None)
    assert gap(today) is None  # a plan that does not hold is neither near to the best nor better


def test_a_lower_demand_takes_the_proof_away_with_the_bound():
    # 28 800 s for 360 are 80 s, and two stations can hold 150 s: 75 and more each.
    today = judged_today(at_demand(360), MADE)
    assert (today.proof.lower_bound, today.ending) == (2, Ending.FOUND)


def test_a_limit_that_was_given_stays():
    made = balance_product(LAMP, "main", replace(RULE, limit=75.0))
    today = judged_today(at_demand(576), made)
    assert (today.limit, codes(today)) == (75.0, [])


def test_a_task_that_is_gone_is_left_out_and_named():
    today = judged_today(replace(LAMP, tasks=LAMP.tasks[:4]), MADE)
    assert (today.loads, codes(today)) == ((55.0, 55.0, 0.0), ["unknown-task-in-plan"])


def test_without_a_demand_today_nothing_is_proven():
    today = judged_today(replace(LAMP, demand=replace(LAMP.demand, quantity=None)), MADE)
    assert (today.limit, today.proof.lower_bound) == (None, 0.0)


def test_tasks_with_errors_judge_no_plan():
    circle = tuple(replace(t, predecessors=("50",)) if t.number == "10" else t for t in LAMP.tasks)
    assert judged_today(replace(LAMP, tasks=circle), MADE) is None
