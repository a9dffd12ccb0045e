"""From an old plan to a new one with the least upheaval, held against complete enumeration."""

from typing import Any

from every_rebalance import least_moves, moves_of
from hypothesis import given, settings
from hypothesis import strategies as st
from limited_lines import fewest, limited, limited_lines, shortest

from stationflow.balancing.given_stations import GivenStation
from stationflow.balancing.problem import balance_problem
from stationflow.balancing.rebalance.old_plan import old_plan
from stationflow.balancing.rebalance.rebalancing import rebalance
from stationflow.balancing.rebalance.stretches import moves_bound
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork
from stationflow.model import BalanceResult, BalanceSettings, Ending, Pins, TaskLimits

Old = dict[int, tuple[str, ...]]


def rebalanced(work: LineWork, old: Old, **asked: Any) -> BalanceResult:
    stations = [GivenStation(number, tasks) for number, tasks in old.items()]
    return rebalance(work, stations, BalanceSettings(**asked))


@st.composite
def old_plans(draw: st.DrawFn, work: LineWork) -> Old:
    """Return an old plan of a line: any tasks at any stations, some new, one gone."""
    numbers = sorted(draw(st.sets(st.integers(1, 6), min_size=1, max_size=4)))
    old: dict[int, list[str]] = {number: [] for number in numbers}
    for task in work.numbers[1:]:
        at = draw(st.sampled_from([*numbers, *numbers, None]))
        if at is not None:
            old[at].append(task)
    old[draw(st.sampled_from(numbers))].append(work.numbers[0])  # one at least is in both
    if draw(st.booleans()):
        old[numbers[0]].append("gone")
    return {number: tuple(tasks) for number, tasks in old.items()}


def before(old: Old) -> dict[str, int]:
    return {task: number for number, tasks in old.items() for task in tasks}


@st.composite
def problems(draw: st.DrawFn) -> tuple[LineWork, Old]:
    work = draw(limited_lines(5))
    return work, draw(old_plans(work))


def checked(work: LineWork, old: Old, result: BalanceResult, limit: int, most: int) -> None:
    """Hold an answer against the enumeration of all plans at the limit."""
    least = least_moves(work, limit, most, tuple(old), before(old))
    assert least is not None
    made = result.rebalanced
    assert made is not None
    assert (len(made.moves), made.least, made.is_least) == (least, least, True)
    named = [station.tasks for station in result.stations]
    assert not verify(work, named, limit=limit, most_stations=most)
    at = {task: station.number for station in result.stations for task in station.tasks}
    plan = tuple(at[number] for number in work.numbers)
    assert moves_of(work, plan, made.was, before(old)) == least
    kept = [number for number in made.was if number is not None]
    assert kept == sorted(set(kept))
    assert set(kept) <= set(old)


@settings(max_examples=60)
@given(problems(), st.integers(9, 20), st.integers(1, 4))
def test_no_plan_has_fewer_moves_than_counting_says(problem, limit, most):
    work, old = problem
    stations = [GivenStation(number, tasks) for number, tasks in old.items()]
    counted = moves_bound(balance_problem(work, limit), old_plan(work, stations), most, limit)
    least = least_moves(work, limit, most, tuple(old), before(old))
    assert least is None or counted <= least


@settings(max_examples=60)
@given(problems(), st.integers(9, 20))
def test_at_a_limit_moves_are_fewest_of_all_plans_of_fewest_stations(problem, limit):
    work, old = problem
    result, stations = rebalanced(work, old, limit=limit), fewest(work, limit)
    if stations is None:
        assert result.ending == Ending.IMPOSSIBLE
        assert result.findings
        return
    assert len(result.stations) == stations
    checked(work, old, result, limit, stations)


@settings(max_examples=40)
@given(problems(), st.integers(1, 4))
def test_of_so_many_stations_moves_are_fewest_of_all_plans_of_shortest_cycle(problem, stations):
    work, old = problem
    result, cycle = rebalanced(work, old, stations=stations), shortest(work, stations)
    if cycle is None:
        assert result.ending == Ending.IMPOSSIBLE
        return
    assert result.cycle_time == cycle
    checked(work, old, result, cycle, stations)


@settings(max_examples=40)
@given(problems(), st.integers(9, 20), st.integers(1, 4))
def test_with_both_moves_are_fewest_of_all_plans_within_both(problem, limit, stations):
    work, old = problem
    result = rebalanced(work, old, limit=limit, stations=stations)
    least = fewest(work, limit)
    if least is None or least > stations:
        assert result.ending == Ending.IMPOSSIBLE
        return
    checked(work, old, result, limit, stations)


LINE = LineWork(
    line="main",
    numbers=("10", "20", "30"),
    times=(30_000, 20_000, 25_000),
    predecessors=((), (0,), (1,)),
)
OLD = {1: ("10",), 2: ("20",), 3: ("30",)}


def test_a_pinned_task_stays_where_it_is():
    """By hand: at 50 s two stations are enough with 20 at the first or at the second."""
    for at in (1, 2):
        made = rebalanced(LINE, OLD, limit=50, pins=Pins(tasks=(("20", at),)))
        assert len(made.stations) == 2
        assert "20" in made.stations[at - 1].tasks


def test_pins_that_leave_no_plan_are_named():
    """By hand: with 10 at station 2 all 75 s would be there."""
    made = rebalanced(LINE, OLD, limit=50, stations=2, pins=Pins(tasks=(("10", 2),)))
    assert made.ending == Ending.IMPOSSIBLE
    assert "task 10 is pinned at station 2" in " ".join(f.message for f in made.findings)


def test_an_impossible_rebalancing_says_what_clashes_and_the_ways_out():
    """By hand: 20 after 10 and before 30, and at station 1 while 10 may not be there."""
    work = limited(LINE, **{"10": TaskLimits(earliest_station=2), "20": TaskLimits(station=1)})
    made = rebalanced(work, OLD, limit=50)
    (finding,) = [f for f in made.findings if f.code == "limits-clash"]
    for words in ("task 10 is at station 2", "task 20 is fixed at station 1", "the order 10, 20"):
        assert words in finding.message
    assert made.ways_out[0].said == "Task 10: earliest station 1 instead of 2"


def test_too_few_stations_for_a_rebalancing_say_how_many_are_enough():
    """By hand: 75 s of work at 40 s need two stations, and 30 + 20 s fit into none of them."""
    made = rebalanced(LINE, OLD, limit=40, stations=1)
    assert "Allow 3 stations instead of 1" in [way.said for way in made.ways_out]
