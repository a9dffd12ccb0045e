"""Stations that somebody gave, measured on the line's own times."""

import pytest

from stationflow.balancing.given_stations import GivenStation, given_result
from stationflow.balancing.work import LineWork
from stationflow.model import Ending, Goal, Side

# Three tasks of 30, 20 and 25 s, the first before the others: 75 s of work.
WORK = LineWork(
    line="main",
    numbers=("10", "20", "30"),
    times=(30_000, 20_000, 25_000),
    predecessors=((), (0,), (0,)),
)
TWO = (GivenStation(1, ("10",)), GivenStation(2, ("20", "30")))


def test_given_stations_have_the_loads_of_the_times():
    assert given_result(WORK, TWO, limit=50).loads == (30.0, 45.0)


def test_as_few_stations_as_the_bound_are_proven_best():
    found = given_result(WORK, TWO, limit=50)  # 75 s in stations of 50 s: two at least
    assert (found.ending, found.proof.lower_bound) == (Ending.OPTIMAL, 2.0)


def test_more_stations_than_the_bound_are_valid_only():
    three = [GivenStation(n, (task,)) for n, task in enumerate(WORK.numbers, 1)]
    assert given_result(WORK, three, limit=50).ending == Ending.FOUND


@pytest.mark.parametrize(
    ("stations", "ending"),
    [
        (TWO, Ending.OPTIMAL),  # of 30, 20 and 25 two tasks must share a station: 45 at least
        ((GivenStation(1, ("10", "20")), GivenStation(2, ("30",))), Ending.FOUND),  # 50
    ],
)
def test_without_a_limit_the_cycle_is_measured(stations, ending):
    found = given_result(WORK, stations, limit=None)
    assert (found.goal, found.ending) == (Goal.SHORTEST_CYCLE, ending)
    assert found.proof.lower_bound == 45.0


def test_stations_that_break_the_order_have_no_ending():
    turned = (GivenStation(1, ("20", "30")), GivenStation(2, ("10",)))
    found = given_result(WORK, turned, limit=50)
    assert (found.ending, bool(found.findings)) == (None, True)


def test_a_task_longer_than_the_limit_leaves_no_bound():
    found = given_result(WORK, TWO, limit=28)
    assert (found.ending, found.proof.bounds) == (None, ())


def test_a_given_station_keeps_where_it_stands_and_who_works_there():
    given = GivenStation(
        1,
        WORK.numbers,
        place="A 12",
        side=Side.RIGHT,
        copies=2,
        operators=((("10", 0.0), ("20", 30.0)), (("30", 31.5),)),
    )
    (station,) = given_result(WORK, (given,), limit=None).stations
    first, second = (operator.tasks for operator in station.operators)
    assert (station.place, station.side, station.copies) == ("A 12", Side.RIGHT, 2)
    assert (first, second) == ((("10", 0), ("20", 30_000)), (("30", 31_500),))


# Task 10 takes 30 s today: a start of 20 at 28 s is from before it took so long.
def test_a_task_begins_when_the_one_before_it_is_done():
    given = GivenStation(1, WORK.numbers, operators=((("10", 0.0), ("20", 28.0)), (("30", 30.0),)))
    (station,) = given_result(WORK, (given,), limit=None).stations
    assert station.operators[0].tasks == (("10", 0), ("20", 30_000))
