"""Curves of stored lines: kept, told old, turned into plans."""

from dataclasses import replace
from datetime import timedelta

import pytest
from small_products import ANA, BROKEN, LAMP, MIXED, MORNING, put_in

from stationflow.actions.opening.opened import opened_draft
from stationflow.actions.plans import curves, plan_keeping
from stationflow.errors import StoreError
from stationflow.model import Author, BalanceSettings, CurveSettings, Ending, TaskLimits

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
    assert curves.curve_state(opened_draft(store, lamp), "main") is None


def test_the_last_curve_of_a_line_is_kept(store, lamp, kept):
    state = curves.curve_state(opened_draft(store, lamp), "main")
    assert (state.kept.curve, state.kept.by, state.differences) == (kept, "ana", ())


def test_a_new_curve_takes_the_place_of_the_last(store, lamp, kept):
    curves.curve_and_keep(store, lamp, "main", replace(USUAL, seed=7), **LATER)
    assert curves.curve_state(opened_draft(store, lamp), "main").kept.settings.seed == 7


def test_a_curve_of_older_times_says_what_differs(store, kept):
    now = edited(store, with_foot(26_000))
    assert "20" in " ".join(curves.curve_state(opened_draft(store, now), "main").differences)


def test_a_change_that_no_curve_depends_on_leaves_it_as_it_is(store, kept):
    now = edited(store, replace(LAMP, name="Table lamp, blue"))
    assert curves.curve_state(opened_draft(store, now), "main").differences == ()


def test_a_broken_draft_gives_findings_and_keeps_no_curve(store):
    draft = put_in(store, BROKEN)
    answer = curves.curve_and_keep(store, draft, "main", USUAL, **ANA)
    assert answer.curve is None
    assert answer.findings
    assert curves.curve_state(opened_draft(store, draft), "main") is None


def with_limits(**limits: TaskLimits):
    """Return the lamp with limits by task number, as "t20"."""
    tasks = (replace(t, limits=limits.get(f"t{t.number}", t.limits)) for t in LAMP.tasks)
    return replace(LAMP, tasks=tuple(tasks))


PINNED = with_limits(t30=TaskLimits(station=3))


def test_a_curve_keeps_the_limits_of_its_line(store):
    curve = curves.curve_and_keep(store, put_in(store, PINNED), "main", USUAL, **ANA).curve
    assert [p.stations for p in curve.points if p.plan[2:] and "30" not in p.plan[2]] == []
    assert curve.first == 3  # task 30 is at station 3


def test_a_limit_that_comes_later_makes_a_curve_old(store, kept):
    now = edited(store, PINNED)
    assert "30" in " ".join(curves.curve_state(opened_draft(store, now), "main").differences)


def test_a_curve_made_without_the_limits_is_read_and_old(store):
    draft = put_in(store, PINNED)
    made = curves.curve_and_keep(store, draft, "main", USUAL, **ANA).curve
    stored = store.last_curve("L-100", "main")
    store.keep_curve(replace(stored, curve=replace(made, keeps_limits=False)), **ANA)
    state = curves.curve_state(opened_draft(store, draft), "main")
    assert state.differences == ("It was made without the limits of the line.",)


def test_limits_that_clash_give_findings_and_no_curve(store):
    limits = {"t10": TaskLimits(station=2), "t20": TaskLimits(station=1)}  # 20 comes after 10
    answer = curves.curve_and_keep(
        store, put_in(store, with_limits(**limits)), "main", USUAL, **ANA
    )
    assert answer.curve is None
    assert "limits-clash" in [finding.code for finding in answer.findings]


def test_fewer_stations_than_the_limits_need_give_no_plan(store):
    draft = put_in(store, PINNED)
    curves.curve_and_keep(store, draft, "main", USUAL, **ANA)
    with pytest.raises(StoreError, match="No plan of 2 stations"):
        curves.plan_of_point(store, draft, "main", 2, **ANA)


def test_times_of_a_mix_are_the_mean(store):
    answer = curves.curve_and_keep(store, put_in(store, MIXED), "main", USUAL, **ANA)
    assert answer.curve.points[0].cycle == 150  # 20 s and 40 s in equal shares, by hand


# -- a plan of a point ----------------------------------------------------------------------


def test_a_point_becomes_a_plan(store, lamp, kept):
    plan = curves.plan_of_point(store, lamp, "main", 3, **ANA)
    assert [s.tasks for s in plan.result.stations] == [("10", "20"), ("30", "40"), ("50",)]
    assert plan.result.loads == (55, 55, 40)


def test_the_plan_says_what_was_asked(store, lamp, kept):
    settings = curves.plan_of_point(store, lamp, "main", 4, **ANA).asked
    assert (settings.method, settings.stations, settings.limit) == ("exact", 4, None)


def test_the_plan_is_proven_as_its_point_is(store, lamp, kept):
    result = curves.plan_of_point(store, lamp, "main", 4, **ANA).result
    assert (result.ending, result.proof.lower_bound) == (Ending.OPTIMAL, 45)


def test_a_bracketed_point_gives_a_plan_that_is_not_proven(store, lamp, kept):
    stored = store.last_curve("L-100", "main")
    points = tuple(replace(p, lower_bound=min(p.lower_bound, 40.0)) for p in kept.points)
    store.keep_curve(replace(stored, curve=replace(kept, points=points)), **ANA)
    result = curves.plan_of_point(store, lamp, "main", 4, **ANA).result
    assert (result.ending, result.proof.lower_bound) == (Ending.FOUND, 40)


def test_the_first_plan_of_a_line_is_put_in_force(store, lamp, kept):
    assert curves.plan_of_point(store, lamp, "main", 3, **ANA).in_force


def test_a_later_plan_is_not_put_in_force(store, lamp, kept):
    plan_keeping.balance_and_keep(
        store, lamp, "main", BalanceSettings(method="most-followers"), **ANA
    )
    assert not curves.plan_of_point(store, lamp, "main", 3, **ANA).in_force


def test_more_stations_than_the_curve_has_give_the_last_plan(store, lamp, kept):
    plan = curves.plan_of_point(store, lamp, "main", 9, **ANA)
    assert (len(plan.result.stations), plan.asked.stations) == (5, 9)


def test_a_curve_of_older_times_gives_no_plan(store, kept):
    now = edited(store, with_foot(26_000))
    with pytest.raises(StoreError, match="has changed since the curve"):
        curves.plan_of_point(store, now, "main", 3, **LATER)


def test_without_a_curve_there_is_no_plan(store, lamp):
    with pytest.raises(StoreError, match="no curve"):
        curves.plan_of_point(store, lamp, "main", 3, **ANA)
