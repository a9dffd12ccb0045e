"""Rebalance on the Balance page, one sentence a test."""

from dataclasses import replace

import pytest
from small_products import ANA, LAMP, put_in

from stationflow.actions.plans import plan_keeping
from stationflow.balancing.given_stations import GivenStation, given_result
from stationflow.balancing.work import line_work
from stationflow.model import BalanceSettings, HandAct, HandStep, HandWork
from stationflow.ui.jobs import job_views

FOUR = [
    GivenStation(1, ("10",)),
    GivenStation(2, ("20",)),
    GivenStation(3, ("30", "40")),
    GivenStation(4, ("50",)),
]
"""The lamp at four stations, at least one more than it needs at 60 s (small_products)."""


@pytest.fixture
def page(store, show):
    """Show the Rebalance tab of the lamp, whose plan in force has four stations."""
    draft = put_in(store, LAMP)
    work, _ = line_work(LAMP, "main")
    result = given_result(work, FOUR, limit=60, asked=BalanceSettings(method="given"))
    plan_keeping.save_plan(store, draft, result, **ANA)
    page = show(None, "products")
    page.test.session_state["product_code"] = "L-100"
    page.test.session_state["balance.tab"] = "Rebalance"
    page.go("balance")
    return page


def rebalanced(page, **fields):
    """Fill the form, press the button and wait for the job."""
    for key, text in fields.items():
        page.test.text_input(key=f"rebalance.{key}").set_value(text)
    page.run()
    page.press("rebalance.run")
    (job,) = job_views.registry().known("L-100")
    assert job.wait(120)
    assert job.message == ""
    page.run()
    return job


def choices(page):
    """Return moves, stations and people of the plans to choose from."""
    shown = next(f.value for f in page.test.dataframe if "People" in f.value.columns)
    return [list(row) for row in shown[["Moves", "Stations", "People"]].to_numpy()]


def test_a_new_demand_says_its_limit(page):
    page.test.text_input(key="rebalance.demand").set_value("125")
    page.run()
    # By hand: 480 lamps a day are one in 60 s, 600 one in 48 s.
    assert "The limit of a station is 48.0 s." in page.said


def test_a_rebalancing_shows_plans_to_choose_from(page):
    rebalanced(page, demand="100")
    # By hand: nothing moves, and 10 and 20 (55 s) are for one operator; or one task moves.
    assert choices(page) == [[0, 4, 3], [1, 3, 3]]


def test_when_demand_falls_people_come_before_stations(page):
    """By hand: at 120 s, 10 20 30 40 | 50 are 110 and 40 s: two people, nothing moves."""
    rebalanced(page, demand="50")
    assert choices(page)[0] == [0, 4, 2]


def test_a_plan_that_is_chosen_is_kept_and_not_put_in_force(page, store):
    job = rebalanced(page, demand="100")
    page.test.selectbox(key=f"rebalance.choice.{job.number}").select_index(1)
    page.run()
    page.press("rebalance.keep")
    kept = store.plans("L-100", "main")[0]
    # 10 needs no tool, so it goes to 20 and not 20 with its screwdriver to 10.
    assert kept.name == "3 stations, limit 60.0 s, rebalanced, 1 move from plan 1"
    assert (kept.in_force, [move.task for move in kept.result.rebalanced.moves]) == (False, ["10"])


def test_what_was_kept_says_what_moves(page, store):
    job = rebalanced(page, demand="100")
    page.test.selectbox(key=f"rebalance.choice.{job.number}").select_index(1)
    page.run()
    page.press("rebalance.keep")
    said = "Rebalanced from an old plan. 1 task moves. Least upheaval by the weights: proven."
    assert said in page.said


def test_a_number_that_cannot_be_read_keeps_the_button_shut(page):
    page.test.text_input(key="rebalance.demand").set_value("much")
    page.run()
    assert page.test.button(key="rebalance.run").disabled


def test_an_impossible_question_is_said(page):
    rebalanced(page, demand="200")  # 30 s: tasks of 35 and 40 s fit nowhere
    assert "There is no such plan." in page.said


def test_what_is_pinned_on_the_board_stays_when_the_line_is_rebalanced(page, store):
    (plan,) = store.plans("L-100", "main")
    pin = HandStep(act=HandAct.PIN, task="20")

    def pinned(done: HandWork) -> HandWork:
        return replace(done, steps=(pin,), done=1)

    store.change_hand_work("L-100", plan.plan_id, pinned, **ANA)
    page.run()
    assert "Pinned and kept where it is: 1 task." in page.said
    job = rebalanced(page, demand="100")
    assert all("20" in made.result.stations[1].tasks for made in job.rebalanced)


def test_an_impossible_rebalancing_offers_ways_out_at_a_press(page):
    page.test.segmented_control(key="rebalance.changed").set_value("Limit")
    page.run()
    rebalanced(page, **{"limit.main": "30"})  # task 50 alone takes 40 s
    assert "There is no such plan." in page.errors
    page.press("rebalance.way.0")
    assert page.test.text_input(key="rebalance.limit.main").value == "40"
