"""Curves of stored lines: kept, told old, turned into plans."""

from dataclasses import replace
from datetime import timedelta

import pytest
from small_products import ANA, BROKEN, LAMP, LIMITED, MIXED, MORNING, put_in

from stationflow.actions.plans import curves, plan_keeping
from stationflow.errors import StoreError
from stationflow.files.exports.curve_tables import answer_words, curve_table, flat_words
from stationflow.model import Author, BalanceSettings, CurvePoint, CurveSettings, CycleCurve, Ending
from stationflow.units import TimeUnit

LATER = {"by": Author("ben", MORNING + timedelta(hours=1))}
USUAL = CurveSettings()


@pytest.fixture
def lamp(store):
    return put_in(store, LAMP)


@pytest.fixture
def kept(store, lamp):
    return curves.curve_and_keep(store, lamp, "main", USUAL, **ANA).curve


def edited(store, product):
    """Save another state of the lamp and return its draft."""
    return store.save(product, base=store.draft("L-100").checksum, **LATER)


def with_foot(time_ms: int):
    return replace(
        LAMP,
        tasks=tuple(replace(t, time_ms=time_ms) if t.number == "20" else t for t in LAMP.tasks),
    )


def test_a_line_without_a_curve_has_none(store, lamp):
    assert curves.curve_state(store, lamp, "main") is None


def test_the_last_curve_of_a_line_is_kept(store, lamp, kept):
    state = curves.curve_state(store, lamp, "main")
    assert (state.kept.curve, state.kept.by, state.differences) == (kept, "ana", ())


def test_a_new_curve_takes_the_place_of_the_last(store, lamp, kept):
    curves.curve_and_keep(store, lamp, "main", replace(USUAL, seed=7), **LATER)
    assert curves.curve_state(store, lamp, "main").kept.settings.seed == 7


def test_a_curve_of_older_times_says_what_differs(store, kept):
    now = edited(store, with_foot(26_000))
    assert "20" in " ".join(curves.curve_state(store, now, "main").differences)


def test_a_change_that_no_curve_depends_on_leaves_it_as_it_is(store, kept):
    now = edited(store, replace(LAMP, name="Table lamp, blue"))
    assert curves.curve_state(store, now, "main").differences == ()


def test_a_broken_draft_gives_findings_and_keeps_no_curve(store):
    draft = put_in(store, BROKEN)
    answer = curves.curve_and_keep(store, draft, "main", USUAL, **ANA)
    assert answer.curve is None
    assert answer.findings
    assert curves.curve_state(store, draft, "main") is None


def test_a_limit_that_no_method_keeps_is_named(store):
    answer = curves.curve_and_keep(store, put_in(store, LIMITED), "main", USUAL, **ANA)
    assert "limits-not-kept" in [finding.code for finding in answer.findings]


def test_times_of_a_mix_are_the_mean(store):
    answer = curves.curve_and_keep(store, put_in(store, MIXED), "main", USUAL, **ANA)
    assert answer.curve.points[0].cycle == 150  # 20 s and 40 s in equal shares, by hand


# -- a plan of a point ----------------------------------------------------------------------


def test_a_point_becomes_a_plan(store, lamp, kept):
    plan = curves.plan_of_point(store, lamp, "main", 3, **ANA)
    assert [s.tasks for s in plan.result.stations] == [("10", "20"), ("30", "40"), ("50",)]
    assert [s.work for s in plan.result.stations] == [55, 55, 40]


def test_the_plan_says_what_was_asked(store, lamp, kept):
    settings = curves.plan_of_point(store, lamp, "main", 4, **ANA).settings
    assert (settings.method, settings.stations, settings.takt) == ("exact", 4, None)


def test_the_plan_is_proven_as_its_point_is(store, lamp, kept):
    result = curves.plan_of_point(store, lamp, "main", 4, **ANA).result
    assert (result.ending, result.lower_bound) == (Ending.OPTIMAL, 45)


def test_a_bracketed_point_gives_a_plan_that_is_not_proven(store, lamp, kept):
    stored = store.last_curve("L-100", "main")
    points = tuple(replace(p, lower_bound=min(p.lower_bound, 40.0)) for p in kept.points)
    store.keep_curve(replace(stored, curve=replace(kept, points=points)), **ANA)
    result = curves.plan_of_point(store, lamp, "main", 4, **ANA).result
    assert (result.ending, result.lower_bound) == (Ending.FOUND, 40)


def test_the_first_plan_of_a_line_is_put_in_force(store, lamp, kept):
    assert curves.plan_of_point(store, lamp, "main", 3, **ANA).in_force


def test_a_later_plan_is_not_put_in_force(store, lamp, kept):
    plan_keeping.balance_and_keep(
        store, lamp, "main", BalanceSettings(method="most-followers"), **ANA
    )
    assert not curves.plan_of_point(store, lamp, "main", 3, **ANA).in_force


def test_more_stations_than_the_curve_has_give_the_last_plan(store, lamp, kept):
    plan = curves.plan_of_point(store, lamp, "main", 9, **ANA)
    assert (len(plan.result.stations), plan.settings.stations) == (5, 9)


def test_a_curve_of_older_times_gives_no_plan(store, kept):
    now = edited(store, with_foot(26_000))
    with pytest.raises(StoreError, match="has changed since the curve"):
        curves.plan_of_point(store, now, "main", 3, **LATER)


def test_without_a_curve_there_is_no_plan(store, lamp):
    with pytest.raises(StoreError, match="no curve"):
        curves.plan_of_point(store, lamp, "main", 3, **ANA)


# -- words and tables -----------------------------------------------------------------------


def bracketed(*points: tuple[int, float, float]) -> CycleCurve:
    """Return a curve of points with stations, bound and cycle."""
    return CycleCurve(
        line="main",
        points=tuple(CurvePoint(stations=n, lower_bound=low, cycle=c) for n, low, c in points),
        tasks=9,
        work_content=100,
        longest=30,
    )


OPEN = bracketed((1, 100, 100), (2, 50, 60), (3, 40, 45), (4, 30, 30))


def test_a_demand_that_fewer_stations_might_keep_is_not_called_proven():
    assert "Whether 2 can is not decided." in answer_words(OPEN, 55, TimeUnit.SECOND)


def test_a_demand_that_fewer_cannot_keep_is_called_proven():
    assert "Fewer cannot, that is proven." in answer_words(OPEN, 49, TimeUnit.SECOND)


def test_a_demand_below_the_longest_task_is_told():
    assert "the longest task takes 30.0 s" in answer_words(OPEN, 29, TimeUnit.SECOND)


def test_without_a_demand_no_point_is_marked():
    assert "no point is marked" in answer_words(OPEN, None, TimeUnit.SECOND)


def test_a_flat_end_that_may_begin_earlier_says_so():
    early = bracketed((1, 100, 100), (2, 30, 60), (3, 30, 30))
    assert flat_words(early, TimeUnit.SECOND).startswith("From 3 stations, perhaps from fewer, on")


def test_the_table_has_a_row_for_each_point_in_the_unit_shown():
    table = curve_table(OPEN, 55, TimeUnit.MINUTE)
    assert [row[1] for row in table.rows] == [100 / 60, 1.0, 0.75, 0.5]
    assert [row[3] for row in table.rows][:2] == ["proven", "between bound and plan"]
    assert [row[7] for row in table.rows] == [None, None, "fewest stations that keep it", None]
