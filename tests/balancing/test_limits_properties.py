"""Lines with limits made at random: methods, `verify` and the second solver against trying."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from limited_lines import every_plan, fewest, keeps_limits, limited, limited_lines, shortest

from stationflow.balancing.balance import balance
from stationflow.balancing.curve.cycle_curve import cycle_curve
from stationflow.balancing.methods import METHODS
from stationflow.balancing.problem import balance_problem
from stationflow.balancing.second.constraint_model import Verdict, ask_solver
from stationflow.balancing.verify import LIMIT_CODES, verify
from stationflow.balancing.work import LineWork
from stationflow.model import BalanceResult, BalanceSettings, CurveSettings, Ending

TRIED = settings(max_examples=40)


def asked(method: str, **more: float) -> BalanceSettings:
    trials = 60 if method == "comsoal" else None
    return BalanceSettings(method=method, trials=trials, **more)  # type: ignore[arg-type]


def keeps_all(work: LineWork, result: BalanceResult) -> bool:
    at = {number: s.number for s in result.stations for number in s.tasks}
    return keeps_limits(work, [at[number] for number in work.numbers])


@pytest.mark.parametrize("method", METHODS)
@TRIED
@given(work=limited_lines(), limit=st.integers(9, 20))
def test_every_plan_of_few_stations_keeps_all_limits(method: str, work: LineWork, limit: int):
    result = balance(work, asked(method, limit=limit))
    assert not result.stations or keeps_all(work, result)


@pytest.mark.parametrize("method", METHODS)
@TRIED
@given(work=limited_lines(), most=st.integers(1, 7))
def test_every_plan_of_short_cycle_keeps_all_limits(method: str, work: LineWork, most: int):
    result = balance(work, asked(method, stations=most))
    assert not result.stations or (keeps_all(work, result) and len(result.stations) <= most)


@pytest.mark.parametrize("method", METHODS)
@TRIED
@given(work=limited_lines(), limit=st.integers(9, 20))
def test_what_is_proven_of_stations_agrees_with_trying(method: str, work: LineWork, limit: int):
    result, best = balance(work, asked(method, limit=limit)), fewest(work, limit)
    if best is None:
        assert not result.stations
        assert method != "exact" or result.ending == Ending.IMPOSSIBLE
    else:
        assert method != "exact" or result.ending == Ending.OPTIMAL
        assert result.ending != Ending.IMPOSSIBLE
        assert result.proof.lower_bound <= best
        assert result.ending != Ending.OPTIMAL or len(result.stations) == best


@pytest.mark.parametrize("method", METHODS)
@TRIED
@given(work=limited_lines(), most=st.integers(1, 7))
def test_what_is_proven_of_the_cycle_agrees_with_trying(method: str, work: LineWork, most: int):
    result, best = balance(work, asked(method, stations=most)), shortest(work, most)
    if best is None:
        assert not result.stations
        assert method != "exact" or result.ending == Ending.IMPOSSIBLE
    else:
        assert method != "exact" or result.ending == Ending.OPTIMAL
        assert result.ending != Ending.IMPOSSIBLE
        assert result.proof.lower_bound <= best
        cycle = result.cycle_time
        assert result.ending != Ending.OPTIMAL or cycle == best


@pytest.mark.parametrize("method", METHODS)
@TRIED
@given(work=limited_lines(), limit=st.integers(9, 20), most=st.integers(1, 7))
def test_possible_or_not_agrees_with_trying(method: str, work: LineWork, limit: int, most: int):
    result = balance(work, asked(method, limit=limit, stations=most))
    is_possible = next(every_plan(work, limit, most), None) is not None
    if result.ending in (Ending.OPTIMAL, Ending.IMPOSSIBLE):
        assert is_possible == (result.ending == Ending.OPTIMAL)


@TRIED
@given(work=limited_lines(most=5), limit=st.integers(9, 20), most=st.integers(1, 7))
def test_the_second_solver_agrees_with_trying(work: LineWork, limit: int, most: int):
    problem = balance_problem(work, limit)
    verdict = ask_solver(problem, most, problem.limit or 0, seconds=60).verdict
    is_possible = next(every_plan(work, limit, most), None) is not None
    assert verdict == (Verdict.POSSIBLE if is_possible else Verdict.IMPOSSIBLE)


@TRIED
@given(work=limited_lines(), data=st.data())
def test_verify_refuses_just_the_plans_that_break_a_limit(work: LineWork, data: st.DataObject):
    station_of = [data.draw(st.integers(1, 5)) for _ in work.numbers]
    stations = [
        [number for number, at in zip(work.numbers, station_of, strict=True) if at == station]
        for station in range(1, 6)
    ]
    is_broken = any(finding.code in LIMIT_CODES for finding in verify(work, stations))
    assert is_broken != keeps_limits(work, station_of)


@TRIED
@given(work=limited_lines(), limit=st.integers(9, 20))
def test_limits_never_improve_the_optimum(work: LineWork, limit: int):
    plain = balance(limited(work), BalanceSettings(limit=limit))
    result = balance(work, asked("largest-candidate", limit=limit))
    assert plain.ending == Ending.OPTIMAL
    assert not result.stations or len(result.stations) >= len(plain.stations)


@TRIED
@given(work=limited_lines(4))
def test_points_of_a_curve_are_what_trying_all_plans_gives(work: LineWork):
    curve = cycle_curve(work, CurveSettings(seconds=None))
    for stations in range(1, 9):
        point = curve.at(stations) if curve.points else None
        best = shortest(work, stations)
        assert (point.cycle if point else None) == best
        assert point is None or point.is_proven
        if point:
            assert verify(work, point.plan, limit=point.cycle, most_stations=stations) == ()
