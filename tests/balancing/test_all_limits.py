"""Lines with every kind of limit at random: kinds, methods and `verify` against each other.

What a form means is written in `formed_lines` by nothing of the package; `verify` knows the
limits as they are entered and nothing of forms. Both must say the same of any plan.
"""

from dataclasses import replace
from itertools import pairwise

import pytest
from formed_lines import every_formed_plan, holds, orders_hold
from hypothesis import given, settings
from hypothesis import strategies as st
from limited_lines import limited, line, times_and_arrows

from stationflow.balancing.balance import balance
from stationflow.balancing.curve.cycle_curve import cycle_curve
from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.not_kept import not_kept_by_any
from stationflow.balancing.methods import METHODS
from stationflow.balancing.problem import balance_problem
from stationflow.balancing.verify import LIMIT_CODES, verify
from stationflow.balancing.work import LineWork
from stationflow.model import (
    BalanceSettings,
    CurveSettings,
    Ending,
    Equipment,
    Line,
    StationSetting,
    StationTime,
    TaskLimits,
    TimeLag,
)

TRIED = settings(max_examples=40, deadline=None)
LIMIT = 12  # s
STATIONS = 3
PLACED = {*LIMIT_CODES, "station-over-limit", "predecessor-later"}


def rarely(*values: object) -> st.SearchStrategy:
    return st.sampled_from((None, None, None, *values)) | st.none()


def some(what: st.SearchStrategy, usual: object) -> st.SearchStrategy:
    return st.just(usual) | st.just(usual) | what


@st.composite
def fully_limited(draw: st.DrawFn, most: int = 4) -> LineWork:
    """Return a line of a few tasks, times in ms, with limits of every kind."""
    times, arrows = draw(times_and_arrows(most, 1))
    work = replace(line([1000 * t for t in times], *arrows), ticks=1000, time_unit="s")
    names = st.sampled_from(work.numbers)
    lists = some(st.lists(names, max_size=1).map(tuple), ())
    tools = some(st.sampled_from((("press",), ("oven",))), ())
    number = rarely(1, 2, 3)
    limits = st.builds(
        TaskLimits,
        station=rarely(1, 2),
        latest_station=number,
        zone=some(st.sampled_from(("wet", "dry")), ""),
        together=some(st.just("a"), ""),
        apart=lists,
        independent_of=lists,
        equipment=tools,
        attitude=some(st.sampled_from(("up", "down")), ""),
        working_height_mm=rarely(800, 900, 1000),
        space_mm=rarely(300, 500.5),
        lift_kg=rarely(4, 7.5),
        lifts=rarely(0, 2),
        skill=some(st.just("solder"), ""),
        static_safe=some(st.just(True), False),
        guarded=some(st.just(True), False),
    )
    settings_ = st.builds(
        StationSetting,
        number=st.integers(1, 4),
        target_share=rarely(0.5, 0.755),
        zone=some(st.just("wet"), ""),
        equipment=tools,
        equipment_possible=tools,
        equipment_barred=tools,
        skills=some(st.just(("solder",)), ()),
        width_mm=rarely(600),
        static_safe=some(st.just(True), False),
        guarded=some(st.just(True), False),
    )
    lag = st.builds(
        TimeLag,
        before=names,
        after=names,
        shortest_ms=rarely(0, 3_000, 15_000),
        longest_ms=rarely(2_000, 14_000),
        least_stations=rarely(0, 1),
        most_stations=rarely(0, 1),
    )
    own = st.builds(StationTime, station=st.integers(1, 3), time_ms=st.integers(1, 11_000))
    entered = EnteredLimits(
        numbers=work.numbers,
        tasks=tuple(draw(some(limits, TaskLimits())) for _ in times),
        station_times=tuple(tuple(draw(st.lists(own, max_size=1))) for _ in times),
        line=Line(
            stations=tuple(
                draw(st.lists(settings_, max_size=2, unique_by=lambda setting: setting.number))
            ),
            repositioning_ms=draw(st.sampled_from((0, 1_500))),
            pitch_m=draw(rarely(0.75)),
            turn_ms=draw(st.sampled_from((0, 0, 2_000))),
            height_range_mm=draw(rarely(100)),
            lifts_per_min=draw(rarely(10)),
            lifted_kg_per_min=draw(rarely(60)),
        ),
        equipment=tuple(
            Equipment(name=name, quantity=draw(st.integers(1, 2)), shared=draw(st.booleans()))
            for name in draw(some(st.just(("press",)), ()))
        ),
        lags=tuple(draw(st.lists(lag, max_size=1))),
    )
    return replace(work, limits=entered)


@settings(max_examples=150, deadline=None)
@given(work=fully_limited(), data=st.data())
def test_verify_says_of_a_plan_what_the_forms_say(work: LineWork, data: st.DataObject):
    station_of = [data.draw(st.integers(1, STATIONS)) for _ in work.numbers]
    order = data.draw(st.permutations(range(len(work.numbers))))
    stations = [tuple(t for t in order if station_of[t] == at) for at in range(1, STATIONS + 1)]
    problem = balance_problem(work, LIMIT)
    fine = holds(problem, station_of) and orders_hold(problem, stations)
    named = [[work.numbers[task] for task in tasks] for tasks in stations]
    broken = [f.code for f in verify(work, named, limit=LIMIT) if f.code in PLACED]
    assert fine == (not broken), broken


@pytest.mark.parametrize("method", METHODS)
@TRIED
@given(work=fully_limited())
def test_every_method_keeps_every_kind_of_limit(method: str, work: LineWork):
    trials = 40 if method == "comsoal" else None
    result = balance(work, BalanceSettings(method=method, limit=LIMIT, trials=trials))
    stations = [station.tasks for station in result.stations]
    if stations and result.ending == Ending.OPTIMAL:
        assert not verify(work, stations, limit=LIMIT)
    if stations and method != "exact":
        assert not verify(work, stations, limit=LIMIT)


@pytest.mark.parametrize("method", METHODS)
@TRIED
@given(work=fully_limited())
def test_what_is_proven_of_all_limits_agrees_with_trying(method: str, work: LineWork):
    trials = 40 if method == "comsoal" else None
    asked = BalanceSettings(method=method, limit=LIMIT, stations=STATIONS, trials=trials)
    result, problem = balance(work, asked), balance_problem(work, LIMIT)
    if result.ending == Ending.IMPOSSIBLE:
        assert next(every_formed_plan(problem, STATIONS), None) is None


@TRIED
@given(work=fully_limited())
def test_all_that_the_kinds_know_is_kept_by_some_method(work: LineWork):
    assert not not_kept_by_any(work.limits)


@TRIED
@given(work=fully_limited())
def test_limits_never_make_a_line_shorter_unless_a_task_takes_less_time_somewhere(work: LineWork):
    longer = tuple(
        tuple(own for own in row if own.time_ms >= time)
        for row, time in zip(work.limits.station_times, work.times, strict=True)
    )
    work = replace(work, limits=replace(work.limits, station_times=longer))
    rule = "ranked-positional-weight"
    plain = balance(limited(work), BalanceSettings(limit=LIMIT))
    result = balance(work, BalanceSettings(method=rule, limit=LIMIT))
    assert not result.stations or len(result.stations) >= len(plain.stations)


@TRIED
@given(work=fully_limited())
def test_a_limit_that_nobody_hits_changes_nothing(work: LineWork):
    """Stations far behind the line, room without end, names that no task asks for."""
    idle = StationSetting(number=99, width_mm=1e6, skills=("none",), target_share=1.0)
    wide = replace(work.limits.line, stations=(*work.limits.line.stations, idle))
    more = replace(work, limits=replace(work.limits, line=wide))
    rule = BalanceSettings(method="largest-candidate", limit=LIMIT, direction="forwards")
    one, other = balance(work, rule), balance(more, rule)
    assert [s.tasks for s in one.stations] == [s.tasks for s in other.stations]


def test_the_lists_of_a_line_without_limits_are_empty():
    assert not limited(line((1, 2))).limits.own_lags


@TRIED
@given(work=fully_limited())
def test_a_curve_of_all_limits_falls_and_its_plans_hold(work: LineWork):
    points = cycle_curve(work, CurveSettings(method="largest-candidate", seconds=None)).points
    for before, after in pairwise(points):
        assert (before.stations + 1, True) == (after.stations, before.cycle >= after.cycle)
    for point in points:  # each plan was verified at its cycle
        assert 0 < len(point.plan) <= point.stations
        assert point.lower_bound <= point.cycle
