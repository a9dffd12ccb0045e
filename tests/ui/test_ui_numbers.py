"""Every figure on Pace and Balance opens into the way it came about."""

from dataclasses import replace

import pytest
from small_products import BOARD_LAMP, LAMP

from stationflow.ui.plans.balance_settings import EFFICIENT, LIMIT, POSSIBLE
from stationflow.units import TimeUnit


@pytest.fixture
def pace(show):
    return show(LAMP, "pace")


@pytest.fixture
def balance(show):
    page = show(LAMP, "balance")
    page.press("balance.run")
    return page


def open_tab(page, name: str) -> None:
    page.test.session_state["balance.tab"] = name
    page.run()


def ask(page, goal: str) -> None:
    page.test.radio(key="balance.goal").set_value(goal)
    page.run()


def test_the_takt_time_opens_into_its_values(pace):
    assert "28 800 s x 1 / 480 = 60.000 s" in pace.said  # 480 min a day for 480 lamps, by hand


def test_the_competing_definition_stands_beside_the_number(pace):
    assert "Elsewhere: Some books divide by the units started" in pace.said


def test_the_cross_check_stands_beside_the_number(pace):
    assert "Agrees: time the line runs / units started gives the same." in pace.said


def test_the_line_that_is_chosen_shows_its_pace(show):
    page = show(BOARD_LAMP, "pace")
    page.test.button_group(key="pace.line").set_value("board")
    page.run()
    figures = {m.label: m.value for m in page.test.metric}
    assert figures["Station time"] == "30.0 s"  # two boards in 60 s, by hand


def test_the_balance_efficiency_opens_on_both_bases(balance):
    # By hand: 150 s of work at three stations of 60 s.
    assert "150 / (3 x 60) = 0.8333" in balance.said
    assert "balance efficiency on the cycle time" in balance.said


def test_every_figure_of_a_plan_is_ready_to_be_opened(balance):
    openers = {p.proto.popover.label for p in balance.test.get("popover")}
    assert {f"How {m.label} comes about" for m in balance.test.metric} <= openers


def test_a_chosen_station_opens_its_load(balance):
    open_tab(balance, "Stations")
    balance.test.selectbox(key="balance.station.L-100.main").set_value(2)
    balance.run()
    assert "station 2" in balance.said


def test_a_chosen_task_opens_its_positional_weight(balance):
    open_tab(balance, "Tasks")
    balance.test.selectbox(key="balance.task.L-100.main").set_value("30")
    balance.run()
    assert (  # by hand, see small_products.LAMP
        "35 (task 30) + 20 (task 40) + 40 (task 50) = 95 s" in balance.said
    )


def test_the_single_bounds_are_told_in_words(balance):
    open_tab(balance, "All numbers")
    assert "the work content needs 3 stations: 150 / 60 = 2.5, rounded up 3" in balance.said


def test_the_best_efficiency_is_sought_over_a_range(store, show):
    page = show(LAMP, "balance")
    ask(page, EFFICIENT)
    page.test.text_input(key="balance.first.L-100.main").set_value("1")
    page.test.text_input(key="balance.last.L-100.main").set_value("3")
    page.run()
    page.press("balance.run")
    (plan,) = store.plans("L-100")
    # By hand: one station of 150 s is loaded wholly.
    assert (plan.asked.stations_from, plan.asked.stations, len(plan.result.stations)) == (
        1,
        3,
        1,
    )


def test_a_range_the_wrong_way_round_is_told(show):
    page = show(LAMP, "balance")
    ask(page, EFFICIENT)
    page.test.text_input(key="balance.first.L-100.main").set_value("9")
    page.run()
    assert "it is read from 8 to 9" in page.said


def test_a_limit_given_by_hand_is_not_blamed_on_the_demand(show):
    page = show(LAMP, "balance")
    ask(page, LIMIT)
    page.test.text_input(key="balance.limit.L-100.main").set_value("38.0")
    page.run()
    page.press("balance.run")
    assert ("allow a longer limit" in page.said, "lower the demand" in page.said) == (True, False)


def test_a_finding_speaks_in_the_unit_of_the_product(show):
    page = show(replace(LAMP, time_unit=TimeUnit.MINUTE), "balance")
    ask(page, LIMIT)
    page.test.text_input(key="balance.limit.L-100.main").set_value("0.6")
    page.run()
    page.press("balance.run")
    assert "longer than the limit of a station, 0.6 min" in page.said


def test_one_station_is_named_as_one(show):
    page = show(LAMP, "balance")
    ask(page, POSSIBLE)
    page.test.text_input(key="balance.stations.L-100.main").set_value("1")
    page.run()
    page.press("balance.run")
    assert "1 station at 60 s cannot do the work" in page.said
