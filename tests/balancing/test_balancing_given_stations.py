"""Stations that somebody gave, measured on the line's own times."""

import pytest

from stationflow.balancing.given_stations import given_result
from stationflow.balancing.work import LineWork
from stationflow.model import Ending, Goal

# Three tasks of 30, 20 and 25 s, the first before the others: 75 s of work.
WORK = LineWork(
    line="main",
    numbers=("10", "20", "30"),
    times=(30_000, 20_000, 25_000),
    predecessors=((), (0,), (0,)),
)
TWO = ((1, ("10",)), (2, ("20", "30")))


def test_given_stations_have_the_loads_of_the_times():
    assert given_result(WORK, TWO, limit=50).loads == (30.0, 45.0)


def test_as_few_stations_as_the_bound_are_proven_best():
    found = given_result(WORK, TWO, limit=50)  # 75 s in stations of 50 s: two at least
    assert (found.ending, found.proof.lower_bound) == (Ending.OPTIMAL, 2.0)


def test_more_stations_than_the_bound_are_valid_only():
    three = ((1, ("10",)), (2, ("20",)), (3, ("30",)))
    assert given_result(WORK, three, limit=50).ending == Ending.FOUND


@pytest.mark.parametrize(
    ("stations", "ending"),
    [
        (TWO, Ending.OPTIMAL),  # of 30, 20 and 25 two tasks must share a station: 45 at least
        (((1, ("10", "20")), (2, ("30",))), Ending.FOUND),  # 50
    ],
)
def test_without_a_limit_the_cycle_is_measured(stations, ending):
    found = given_result(WORK, stations, limit=None)
    assert (found.goal, found.ending) == (Goal.SHORTEST_CYCLE, ending)
    assert found.proof.lower_bound == 45.0


def test_stations_that_break_the_order_have_no_ending():
    found = given_result(WORK, ((1, ("20", "30")), (2, ("10",))), limit=50)
    assert (found.ending, bool(found.findings)) == (None, True)


def test_a_task_longer_than_the_limit_leaves_no_bound():
    found = given_result(WORK, TWO, limit=28)
    assert (found.ending, found.proof.bounds) == (None, ())
