"""What an engineer does on the Line page, one sentence a test."""

from dataclasses import replace

import pytest
from small_products import ANA, BOARD_LAMP, LAMP, put_in

from stationflow.actions.plans import plan_keeping
from stationflow.model import (
    BalanceSettings,
    DropProcedure,
    Line,
    Packing,
    QualityKind,
    QualityStep,
    error,
)
from stationflow.model.unread import Unread, Use
from stationflow.ui.jobs import job_views
from stationflow.ui.line import worth_view

TESTED = replace(
    BOARD_LAMP,
    lines=(replace(Line(), pitch_m=1.5), BOARD_LAMP.lines[1]),
    tasks=tuple(
        replace(task, quality=QualityStep(kind=QualityKind.FUNCTION_TEST, first_pass_share=0.9))
        if task.number == "50"
        else task
        for task in BOARD_LAMP.tasks
    ),
    packing=Packing(gross_kg=4, drop_procedure=DropProcedure.ISTA_1A),
)
"""A line of 1.5 m a place, and a feeder without a pitch; the test of task 50 passes 90 %."""


@pytest.fixture
def planned(store, show):
    """Show the page of a product whose two lines have plans in force."""
    draft = put_in(store, TESTED)
    for line in ("main", "board"):
        asked = BalanceSettings(method="largest-candidate")
        plan_keeping.balance_and_keep(store, draft, line, asked, **ANA)
    page = show(None, "products")
    page.test.session_state["product_code"] = TESTED.code
    page.go("line")
    return page


def choose(page, key: str, value: str) -> None:
    page.test.segmented_control(key=key).set_value(value)
    page.run()


def test_without_a_plan_it_says_how_to_begin(show):
    assert "No line has a plan in force yet." in show(LAMP, "line").said


def test_a_line_without_a_plan_is_named(store, show):
    draft = put_in(store, BOARD_LAMP)
    asked = BalanceSettings(method="largest-candidate")
    plan_keeping.balance_and_keep(store, draft, "main", asked, **ANA)
    page = show(None, "products")
    page.test.session_state["product_code"] = BOARD_LAMP.code
    page.go("line")
    page.test.session_state["line.tabs"] = "Findings"
    page.run()
    assert "Board feeder has no plan" in page.said


def test_parallel_lines_stand_side_by_side(planned):
    planned.test.session_state["line.tabs"] = "Parallel lines"
    planned.run()
    (table,) = [f.value for f in planned.test.dataframe if "At least" in f.value.columns]
    # 150 s of work, and 60 s between tasks 30 and 50: four stations in 60 s, as one is left between
    # them; two on each of two lines; on three lines 50 finds no place behind 30 at one station.
    assert list(table["Stations"]) == ["4", "4", "6"]


def test_the_takt_time_is_opened_with_its_formula(planned):
    assert "working time x lines / good units wanted" in planned.said


def test_the_length_of_each_line_stands_among_places_and_leads(planned):
    choose(planned, "line.numbers.part", "Places and leads")
    (table,) = (frame.value for frame in planned.test.dataframe if "Length" in frame.value)
    # Four stations of 1.5 m; the feeder has no pitch.
    assert list(table["Length"]) == ["6 m", "-"]


def test_a_test_stands_with_what_passes_the_first_time(planned):
    choose(planned, "line.numbers.part", "Tests and repair")
    (table,) = (frame.value for frame in planned.test.dataframe if "First pass" in frame.value)
    assert list(table["First pass"]) == ["90.0 %"]


def test_what_pays_is_ranked_by_its_gain(planned):
    planned.test.session_state["line.tabs"] = "What pays"
    planned.run()
    (table,) = (frame.value for frame in planned.test.dataframe if "One more" in frame.value)
    gains = [float(text.replace(" ", "")) for text in table["Good units/h more"]]
    assert gains == sorted(gains, reverse=True)


def test_where_the_pace_limits_nothing_pays(store, show):
    draft = put_in(store, LAMP)  # nothing scatters or stops, and every station is done in time
    asked = BalanceSettings(method="largest-candidate")
    plan_keeping.balance_and_keep(store, draft, "main", asked, **ANA)
    page = show(None, "products")
    page.test.session_state["product_code"] = LAMP.code
    page.test.session_state["line.tabs"] = "What pays"
    page.go("line")
    assert worth_view.NOTHING_PAYS in page.said


def test_drawing_recommendation_and_report_are_on_offer(planned):
    offered = [button.key for button in planned.test.button]
    for key in ("drawing.svg", "drawing.pdf", "recommendation.pdf", "report.pdf"):
        assert f"line.download.{key}" in offered


def test_fault_cards_are_on_offer_once_a_fault_names_its_test(planned):
    offered = [button.key for button in planned.test.button]
    assert "line.download.fault cards.pdf" not in offered


def test_the_drop_test_is_on_offer_once_its_procedure_is_chosen(planned):
    assert "line.download.drop test.pdf" in [button.key for button in planned.test.button]


def test_the_page_says_first_whether_the_line_makes_what_is_wanted(planned):
    assert "60 are wanted" in planned.said  # 480 units in 8 hours


@pytest.mark.parametrize("tab", ["Numbers", "Flow", "What pays", "Parallel lines", "Findings"])
def test_where_something_was_not_read_it_says_so_instead_of_an_output(store, show, tab: str):
    read = error("value-not-read", "Line board, places before the join", "'4 or 5' was not read.")
    draft = put_in(store, replace(TESTED, unread=(Unread(finding=read, uses=(Use.FLOW,)),)))
    for line in ("main", "board"):
        asked = BalanceSettings(method="largest-candidate")
        plan_keeping.balance_and_keep(store, draft, line, asked, **ANA)
    page = show(None, "products")
    page.test.session_state["product_code"] = TESTED.code
    page.test.session_state["line.tabs"] = tab
    page.go("line")
    assert f"The output is left out: {read.where}: {read.message}" in page.said
    assert "are wanted" not in page.said
    if tab == "Flow":
        page.test.number_input(key="line.flow.runs").set_value(2)
        page.press("line.flow.run")
        (job,) = job_views.registry().known(TESTED.code, job_views.ALL_LINES)
        assert job.wait(300)
        page.run()
        assert "Good units an hour" not in [metric.label for metric in page.test.metric]
        assert page.said.count(read.message) == 2  # above, and where the answer would stand


def test_a_simulation_runs_beside_the_page_and_its_answer_stands_there_with_limits(planned):
    planned.test.session_state["line.tabs"] = "Flow"
    planned.run()
    assert "Press *Simulate*." in planned.said
    planned.test.number_input(key="line.flow.hours").set_value(1.0)
    planned.test.number_input(key="line.flow.runs").set_value(2)
    planned.press("line.flow.run")
    (job,) = job_views.registry().known(TESTED.code, job_views.ALL_LINES)
    assert job.wait(300)
    planned.run()
    assert "2 runs of 1 h" in planned.said
    assert "Units under way" in planned.said


def test_a_simulation_of_earlier_data_says_so(planned, store):
    planned.test.session_state["line.tabs"] = "Flow"
    planned.run()
    planned.test.number_input(key="line.flow.runs").set_value(1)
    planned.press("line.flow.run")
    (job,) = job_views.registry().known(TESTED.code, job_views.ALL_LINES)
    assert job.wait(300)
    base = store.draft(TESTED.code).checksum
    store.save(replace(TESTED, name="Another lamp"), base=base, **ANA)
    planned.run()
    assert "This run is of an earlier state" in planned.said
