"""What holds for every line, tried on lines made at random."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from textbook_lines import fewest_by_trying

from stationflow.balancing.arrows import closure, members
from stationflow.balancing.balance import balance
from stationflow.balancing.balance_check import check_settings
from stationflow.balancing.methods import METHODS
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork
from stationflow.model import BalanceResult, BalanceSettings, Ending

FEW = settings(max_examples=25)


@st.composite
def lines(draw: st.DrawFn, most: int = 9) -> LineWork:
    """Return a line of a few tasks, listed in any order."""
    size = draw(st.integers(1, most))
    times = draw(st.lists(st.integers(0, 20), min_size=size, max_size=size))
    order = draw(st.permutations(range(size)))
    arrows: list[list[int]] = [[] for _ in range(size)]
    for later in range(size):
        for earlier in range(later):
            if draw(st.integers(0, 3)) == 0:
                arrows[order[later]].append(order[earlier])
    return LineWork(
        line="main",
        numbers=tuple(f"T{j}" for j in range(size)),
        times=tuple(times),
        predecessors=tuple(map(tuple, arrows)),
        ticks=1,
        time_unit="unit",
    )


def exact(work: LineWork, limit: float) -> int:
    result = balance(work, BalanceSettings(limit=limit))
    assert result.ending == Ending.OPTIMAL
    return len(result.stations)


def asked(method: str, **more: float | int) -> BalanceSettings:
    trials = 50 if method == "comsoal" else None
    return BalanceSettings(method=method, trials=trials, **more)  # type: ignore[arg-type]


def is_sound(work: LineWork, result: BalanceResult) -> bool:
    return not verify(work, [s.tasks for s in result.stations], limit=result.limit)


@pytest.mark.parametrize("method", METHODS)
@FEW
@given(work=lines(), limit=st.integers(20, 40))
def test_every_plan_holds_and_keeps_the_bound(method: str, work: LineWork, limit: int):
    result = balance(work, asked(method, limit=limit))
    assert is_sound(work, result)
    assert len(result.stations) >= result.proof.lower_bound


@pytest.mark.parametrize("method", METHODS)
@FEW
@given(work=lines(), stations=st.integers(1, 10))
def test_every_plan_of_short_cycle_holds_and_keeps_the_bound(
    method: str, work: LineWork, stations: int
):
    result = balance(work, asked(method, stations=stations))
    assert is_sound(work, result)
    assert result.proof.lower_bound <= result.cycle_time


@pytest.mark.parametrize("method", METHODS)
@FEW
@given(work=lines(), stations=st.integers(1, 5), limit=st.integers(20, 60))
def test_no_method_contradicts_the_exact_one_on_what_is_possible(
    method: str, work: LineWork, stations: int, limit: int
):
    found = balance(work, asked(method, stations=stations, limit=limit)).ending
    proven = balance(work, BalanceSettings(stations=stations, limit=limit)).ending
    assert proven in (Ending.OPTIMAL, Ending.IMPOSSIBLE)
    assert found in (proven, Ending.NOTHING_FOUND)


@pytest.mark.parametrize("method", METHODS)
@FEW
@given(work=lines(6), stations=st.tuples(st.integers(1, 4), st.integers(0, 3)))
def test_best_efficiency_is_never_below_its_bound(
    method: str, work: LineWork, stations: tuple[int, int]
):
    first, more = stations
    result = balance(work, asked(method, stations_from=first, stations=first + more))
    product = len(result.stations) * result.cycle_time
    assert product >= result.proof.lower_bound


@pytest.mark.parametrize("method", [m for m in METHODS if m != "exact"])
@FEW
@given(work=lines(), limit=st.integers(20, 40))
def test_exact_needs_no_more_stations_than_any_method(method: str, work: LineWork, limit: int):
    assert exact(work, limit) <= len(balance(work, asked(method, limit=limit)).stations)


@FEW
@given(work=lines(7), limit=st.integers(20, 40))
def test_exact_equals_complete_enumeration(work: LineWork, limit: int):
    assert exact(work, limit) == fewest_by_trying(work, limit)


@FEW
@given(work=lines(6), stations=st.integers(1, 4))
def test_the_exact_shortest_cycle_equals_complete_enumeration(work: LineWork, stations: int):
    result = balance(work, BalanceSettings(stations=stations))
    longest, total = max(work.times), sum(work.times)
    cycles = range(longest, total + 1)
    expected = next(c for c in cycles if fewest_by_trying(work, c) <= stations)
    assert result.cycle_time == expected


@FEW
@given(work=lines(), limit=st.integers(20, 40), data=st.data())
def test_the_optimum_does_not_hang_on_names_or_listed_order(
    work: LineWork, limit: int, data: st.DataObject
):
    order = data.draw(st.permutations(range(len(work.times))))
    place = {old: new for new, old in enumerate(order)}
    other = replace(
        work,
        numbers=tuple(f"N{new}" for new in range(len(order))),
        times=tuple(work.times[old] for old in order),
        predecessors=tuple(tuple(place[p] for p in work.predecessors[old]) for old in order),
    )
    assert exact(other, limit) == exact(work, limit)


@FEW
@given(work=lines(), limit=st.integers(20, 40), factor=st.integers(2, 1000))
def test_the_optimum_does_not_hang_on_the_unit_of_time(work: LineWork, limit: int, factor: int):
    other = replace(work, times=tuple(time * factor for time in work.times))
    assert exact(other, limit * factor) == exact(work, limit)


@FEW
@given(work=lines(), limit=st.integers(20, 40))
def test_the_optimum_is_the_same_from_the_end_of_the_line(work: LineWork, limit: int):
    after: list[list[int]] = [[] for _ in work.times]
    for j, row in enumerate(work.predecessors):
        for p in row:
            after[p].append(j)
    assert exact(replace(work, predecessors=tuple(map(tuple, after))), limit) == exact(work, limit)


@pytest.mark.parametrize("method", [m for m in METHODS if m != "comsoal"])
@FEW
@given(work=lines(), limit=st.integers(20, 40))
def test_arrows_that_follow_from_others_change_no_plan(method: str, work: LineWork, limit: int):
    other = replace(work, predecessors=tuple(tuple(members(s)) for s in closure(work.predecessors)))
    # The number of stations: the solver may come to another plan of as many.
    counts = {len(balance(w, asked(method, limit=limit)).stations) for w in (work, other)}
    assert len(counts) == 1


@FEW
@given(work=lines(), limit=st.integers(20, 40), more=st.integers(1, 20))
def test_a_longer_limit_never_needs_more_stations(work: LineWork, limit: int, more: int):
    assert exact(work, limit + more) <= exact(work, limit)


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("number", [0, -1, float("nan"), float("inf")])
def test_a_takt_that_cannot_be_is_refused(method: str, number: float):
    assert check_settings(BalanceSettings(method=method, limit=number))
