"""Bounds, closure and order strength of textbook lines."""

from dataclasses import replace

import pytest
from textbook_lines import BOOKS, JACKSON, WAGON, fewest_by_trying

from stationflow.balancing.arrows import closure, order_strength
from stationflow.balancing.bounds import bounds, cycle_bounds, lb1, lb2, lb3, reach
from stationflow.balancing.problem import balance_problem
from stationflow.balancing.work import LineWork

# Computed for the reference tables with another program: LB1, LB2, LB3, order strength
# (four decimals), arrows in the closure.
TABLE = {
    "wagon": (4, 2, 2, 0.6000, 33),
    "spreader": (5, 4, 4, 0.5000, 18),
    "ten": (5, 5, 5, 0.6000, 27),
    "eleven": (4, 3, 2, 0.4182, 23),
    "seven": (3, 1, 3, 0.4762, 10),
    "twelve": (4, 3, 3, 0.6970, 46),
    "jackson": (5, 5, 4, 0.5818, 32),
}


@pytest.mark.parametrize("name", TABLE)
def test_the_single_bounds_are_those_of_the_table(name: str):
    work, limit = BOOKS[name]
    problem = balance_problem(work, limit)
    limit = problem.limit
    found = (lb1(problem.times, limit), lb2(problem.times, limit), lb3(problem.times, limit))
    assert found == TABLE[name][:3]


@pytest.mark.parametrize("name", TABLE)
def test_order_strength_is_that_of_the_table(name: str):
    assert order_strength(BOOKS[name][0].predecessors) == pytest.approx(TABLE[name][3], abs=5e-5)


@pytest.mark.parametrize("name", TABLE)
def test_the_closure_has_as_many_arrows_as_the_table_says(name: str):
    sets = closure(BOOKS[name][0].predecessors)
    assert sum(s.bit_count() for s in sets) == TABLE[name][4]


@pytest.mark.parametrize("name", TABLE)
def test_no_bound_exceeds_the_optimum(name: str):
    work, limit = BOOKS[name]
    low = max(bound for _, bound in bounds(balance_problem(work, limit)))
    assert low <= fewest_by_trying(work, limit)


@pytest.mark.parametrize("stations", range(1, 12))
def test_no_cycle_bound_exceeds_the_shortest_cycle(stations: int):
    problem = balance_problem(JACKSON)
    low = max(bound for _, bound in cycle_bounds(problem, stations))
    shortest = next(c for c in range(7, 47) if fewest_by_trying(JACKSON, c) <= stations)
    assert low <= shortest


def test_two_of_the_longest_tasks_must_share_a_station():
    # By hand: 50 45 15 12 ... on two stations, of the three longest two share: 45 + 15.
    named = dict(cycle_bounds(balance_problem(WAGON), 2))
    assert named["tasks that must share"] >= 60


def test_three_of_five_tasks_must_share_one_of_two_stations():
    # By hand: five tasks of 10; some station takes three, 30, though 50 / 2 is 25 only.
    row = balance_problem(JACKSON)
    same = replace(row, times=(10,) * 5, predecessors=((),) * 5, successors=((),) * 5)
    named = dict(cycle_bounds(same, 2))
    assert named["tasks that must share"] == 30


def test_two_tasks_in_a_row_that_just_fill_a_station_may_share_it():
    # By hand: 4 + 6 = 10, the limit.
    work = LineWork(line="main", numbers=("a", "b"), times=(4, 6), predecessors=((), (0,)), ticks=1)
    problem = balance_problem(work, 10)
    assert reach(problem).windows(problem.limit).earliest == (1, 1)


def test_windows_of_a_chain_of_full_stations_leave_one_station_each():
    # By hand: three tasks of a whole limit each, in a row.
    work = LineWork(
        line="main", numbers=("a", "b", "c"), times=(9, 9, 9), predecessors=((), (0,), (1,))
    )
    problem = balance_problem(work, 0.009)
    windows = reach(problem).windows(problem.limit)
    assert (windows.earliest, windows.latest(3)) == ((1, 2, 3), (1, 2, 3))


def test_bounds_without_a_limit_are_a_mistake_of_the_caller():
    with pytest.raises(ValueError, match="limit"):
        bounds(balance_problem(WAGON))
