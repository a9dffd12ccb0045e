"""The stations-against-cycle curve on the Compare page, one sentence a test."""

from dataclasses import replace

import pytest
from small_products import ANA, LAMP, put_in

from stationflow.actions.plans import curves, plan_keeping
from stationflow.model import BalanceSettings, CurveSettings
from stationflow.ui.jobs import job_views
from stationflow.ui.jobs.job_views import progress_words
from stationflow.units import TimeUnit

CHOICE = "compare.curve.stations.L-100.main"


@pytest.fixture
def computed(store, show):
    """Show the page of a line that has a curve and no plan."""
    draft = put_in(store, LAMP)
    curves.curve_and_keep(store, draft, "main", CurveSettings(), **ANA)
    page = show(None, "products")
    page.test.session_state["product_code"] = "L-100"
    page.go("compare")
    return page


def open_tab(page) -> None:
    page.test.session_state["compare.tabs"] = "Stations against cycle"
    page.run()


def test_a_line_without_plan_and_curve_says_what_a_curve_is(show):
    said = show(LAMP, "compare").said
    assert "how many stations the demand needs. This line has none yet." in said


def test_a_curve_is_computed_in_a_job_and_shown(show, store):
    page = show(LAMP, "compare")
    page.press("compare.curve.run")
    (job,) = job_views.registry().known("L-100")
    assert job.is_curve
    assert job.wait(60)
    page.run()
    assert job.message == ""
    assert "5 of 5 points are proven" in page.said


def test_the_events_of_a_curve_give_its_points(show, store):
    page = show(LAMP, "compare")
    page.press("compare.curve.run")
    (job,) = job_views.registry().known("L-100")
    assert job.wait(60)
    # By hand, as in the tests of the command: 150, 85, 55, 45 and 40 s.
    assert [point.cycle for point in job.curve.points] == [150, 85, 55, 45, 40]
    assert "5 of 5 points proven" in progress_words(job, TimeUnit.SECOND)


def test_the_curve_says_what_the_demand_needs(computed):
    assert "Demand asks for 60.0 s: 3 stations keep it" in computed.said


def test_the_answer_to_the_demand_is_chosen_at_first(computed):
    assert computed.test.selectbox(key=CHOICE).value == 3


def test_a_chosen_point_becomes_a_plan(computed, store):
    computed.test.selectbox(key=CHOICE).set_value(4)
    computed.run()
    computed.press("compare.curve.make")
    (plan,) = store.plans("L-100")
    assert (plan.asked.stations, plan.result.loads) == (4, (30, 35, 45, 40))


def test_the_plan_made_is_compared_and_shown_on_balance(computed):
    computed.press("compare.curve.make")
    assert computed.test.session_state["balance.plan.L-100.main.next"] == 1
    assert computed.test.multiselect(key="compare.plans.L-100.main").value == [1]


def test_a_curve_of_older_data_says_so_and_gives_no_plan(computed, store):
    tasks = tuple(replace(t, time_ms=26_000) if t.number == "20" else t for t in LAMP.tasks)
    base = store.draft("L-100").checksum
    store.save(replace(LAMP, tasks=tasks), base=base, **ANA)
    computed.run()
    assert "This curve is of older data." in computed.said
    assert computed.test.button(key="compare.curve.make").disabled


def test_the_curve_has_a_tab_beside_the_plans(store, computed):
    draft = store.draft("L-100")
    plan_keeping.balance_and_keep(
        store, draft, "main", BalanceSettings(method="most-followers"), **ANA
    )
    open_tab(computed)
    assert "5 of 5 points are proven" in computed.said


def test_the_points_stand_in_a_table(computed):
    assert "85.0 s" in computed.said


def test_a_refused_curve_is_told(show, store):
    page = show(LAMP, "compare")
    draft = store.draft("L-100")
    job = job_views.registry().add(
        "sqlite:////nowhere/at/all.db", draft, "main", CurveSettings(), **ANA
    )
    assert job.wait(60)
    page.run()
    assert job.message
    assert "Line main:" in page.errors
