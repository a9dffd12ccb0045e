"""Capacity, ways to reach a demand and workers. By hand unless a source is named."""

from dataclasses import replace

import pytest

from stationflow.model import (
    Assignment,
    BalanceResult,
    BalanceSettings,
    Calendar,
    Demand,
    Line,
    Period,
    Plan,
    Product,
    ReachOptions,
    Shift,
    Station,
)
from stationflow.pace.capacity import cycle_of_plan_s, explain_good_units, explain_workers
from stationflow.pace.formula import Formula
from stationflow.pace.reach import LINES, OVERTIME, SHIFTS, Way, ways_to_reach
from stationflow.pace.takt import operating_takt_s, takt_time_s

# 40 h a week; 2 400 units a week are 60 s each.
PRODUCT = Product(
    code="P",
    calendar=Calendar(shifts=(Shift(name="day", start="06:00", end="14:00"),)),
    demand=Demand(quantity=2400, period=Period.WEEK),
    reach=ReachOptions(overtime_limit_h=8, overtime_cost=500, shift_cost=9000, line_cost=7000),
)


def way(means: Formula, cycle_time_s: float | None, product: Product = PRODUCT) -> Way:
    return next(w for w in ways_to_reach(product, cycle_time_s) if w.number.name == means.name)


# Hours a year, units, E, T_r in s, E_b, work content in min, workers, source.
GROOVER = [
    (2000, 100_000, 0.94, 6.0, 0.92, 47.2, 50, "Groover, problem set, manual assembly lines"),
    (2500, 150_000, 0.96, 6.0, 0.935, 120.0, 150, "Groover, problem (answer computed)"),
    (1875, 100_000, 0.97, 6.0, 0.92, 42.0, 47, "Groover, problem (answer computed)"),
    (1875, 100_000, 0.96, 4.8, 1.0, 4.0, 4, "Groover, line-balancing example (from memory)"),
]


@pytest.mark.parametrize(
    ("hours", "units", "e", "t_r", "e_b", "work", "workers", "source"), GROOVER
)
def test_the_workers_are_groovers(
    hours: float,
    units: float,
    e: float,
    t_r: float,
    e_b: float,
    work: float,
    workers: int,
    source: str,
):
    takt = operating_takt_s(takt_time_s(hours * 3600, units), availability=e)
    needed = explain_workers(work * 60, takt, repositioning_s=t_r, balance_efficiency=e_b)
    assert needed.value == workers, source


# Work content in s, takt in s, fewest stations, source.
MINIMUM = [
    (195, 50.4, 4, "Chase/Jacobs, 'Model J wagon' example: 3.87 -> 4"),
    (244, 60, 5, "Krajewski/Ritzman/Malhotra, fertilizer spreader: 4.067 -> 5"),
    (720, 150, 5, "Krajewski/Ritzman/Malhotra, Solved Problem 2: 4.8 -> 5"),
    (435, 120, 4, "Krajewski/Ritzman/Malhotra, application: 3.6 -> 4"),
    (325, 120, 3, "operations management exercise with 7 elements: 2.71 -> 3"),
    (60, 20, 3, "operations management exam sheet: 12 + 15 + 8 + 5 + 20 s in 3 stations"),
    (480, 60, 8, "operations management essay example: 8 stations"),
]


@pytest.mark.parametrize(("work", "takt", "stations", "source"), MINIMUM)
def test_the_fewest_workers_without_losses_are_the_published_minimum(
    work: float, takt: float, stations: int, source: str
):
    assert explain_workers(work, takt).value == stations, source


def test_groovers_number_before_rounding_is_shown():
    # Groover, problem set: 47.2 / (1.028 x 0.92) = 49.907.
    opened = explain_workers(2832, 67.68, repositioning_s=6, balance_efficiency=0.92)
    assert "49.907" in opened.worked


def test_workers_without_station_time_are_not_computed():
    assert explain_workers(100, 5, repositioning_s=5).value is None


def test_a_line_at_its_takt_delivers_the_demand():
    assert explain_good_units(PRODUCT.calendar, PRODUCT.demand, 60).value == 2400


def test_yield_and_availability_lower_the_output():
    demand = Demand(yield_share=0.9, availability=0.5)
    assert (
        explain_good_units(PRODUCT.calendar, demand, 60, copies=2).value == 2160
    )  # 2400 x 2 x 0.9 x 0.5


def test_the_output_opens_with_its_values():
    opened = explain_good_units(PRODUCT.calendar, PRODUCT.demand, 60)
    assert opened.worked == "144 000 s x 1 x 1 x 1 / 60 s = 2 400 units/week"


def test_at_the_operating_takt_nothing_more_is_needed():
    assert [w.number.value for w in ways_to_reach(PRODUCT)] == [0, 0, 0]


def test_a_slower_line_needs_overtime():
    # 2 400 x 70 s = 168 000 s = 46 h 40 min.
    assert way(OVERTIME, 70).number.value == pytest.approx(20 / 3)


def test_the_hours_in_words_are_rounded_up():
    assert way(OVERTIME, 70).words.startswith("6.67 h of overtime")


def test_overtime_within_the_limit_is_named_so():
    # 48 h needed, 8 h over
    assert "That is within the limit of 8 h entered." in way(OVERTIME, 72).words


def test_overtime_over_the_limit_is_named_so():
    assert "That is over the limit of 8 h entered." in way(OVERTIME, 72.1).words


def test_without_a_limit_nothing_is_said_about_it():
    product = replace(PRODUCT, reach=ReachOptions())
    assert "limit" not in way(OVERTIME, 72, product).words


def test_overtime_costs_by_the_hour():
    assert way(OVERTIME, 72).words.endswith(" Cost per week: 4 000.")


def test_without_a_cost_there_is_no_cost():
    product = replace(PRODUCT, reach=ReachOptions())
    assert "ost" not in way(SHIFTS, 72, product).words


def test_overtime_that_the_week_cannot_hold_does_not_reach_the_demand():
    # 200 h of a week's 168 h
    assert "would be needed; the week has no room for that." in way(OVERTIME, 60 * 5).words


def test_a_second_shift_doubles_the_week():
    assert way(SHIFTS, 120).number.value == 1


def test_a_little_more_than_double_needs_two_further_shifts():
    assert way(SHIFTS, 120.01).number.value == 2


def test_a_fourth_shift_of_8_hours_has_no_room_in_the_day():
    assert "would be needed; the day has no room for that." in way(SHIFTS, 181).words


def test_a_second_line_doubles_the_output():
    assert way(LINES, 120).number.value == 1


def test_further_lines_count_from_those_there_are():
    product = replace(PRODUCT, lines=(Line(copies=2),))
    assert way(LINES, 150, product).number.value == 1  # 2.5 lines: 3, less 2


def test_rejects_take_working_time_too():
    product = replace(PRODUCT, demand=replace(PRODUCT.demand, yield_share=0.8))
    assert way(OVERTIME, 60, product).number.value == 10  # 2 400 x 60 / 0.8 = 50 h


@pytest.mark.parametrize("facts", [{"demand": Demand()}, {"calendar": Calendar()}, {"lines": ()}])
def test_without_a_pace_there_are_no_ways(facts: dict[str, object]):
    assert ways_to_reach(replace(PRODUCT, **facts)) == ()


def test_every_way_opens_its_number():
    assert all(w.number.formula and w.number.worked for w in ways_to_reach(PRODUCT, 70))


def test_a_cycle_time_of_nothing_is_a_mistake_of_the_caller():
    with pytest.raises(ValueError, match="cycle_time_s"):
        ways_to_reach(PRODUCT, 0)


def test_the_cycle_of_a_plan_is_its_slowest_station_and_repositioning():
    slow, quick = (Station(number=n, work_ticks=ticks) for n, ticks in ((1, 52_100), (2, 40_000)))
    result = BalanceResult(
        line="main", asked=BalanceSettings(), assignment=Assignment(stations=(slow, quick))
    )
    plan, line = Plan(product="P", result=result), Line(repositioning_ms=6_200)
    assert cycle_of_plan_s(plan, line) == 58.3  # 52.1 + 6.2
    none = replace(plan, result=replace(result, assignment=None))
    assert (cycle_of_plan_s(none, line), cycle_of_plan_s(None, line)) == (None, None)
