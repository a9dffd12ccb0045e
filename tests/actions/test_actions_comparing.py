"""Stored plans side by side, with version, state, and what differs in words."""

import csv
import io
import json
from dataclasses import replace
from datetime import timedelta

import pytest
from small_products import ANA, LAMP, MORNING, put_in

from stationflow.actions.opening.opened import opened_draft
from stationflow.actions.opening.plan_states import plan_states
from stationflow.actions.plans import plan_keeping
from stationflow.actions.showing.comparing import compare_stored, plan_labels
from stationflow.actions.showing.exporting import table_csv, tables_xlsx
from stationflow.balancing import bounds, plan_inputs, work
from stationflow.files.exports.comparison_tables import comparison_document, comparison_tables
from stationflow.model import Author, BalanceSettings

LATER = {"by": Author("ben", MORNING + timedelta(hours=1))}


@pytest.fixture
def compared(store):
    """Compare a plan at the pace with one of an edited product at 75 s, the first as base."""
    draft = put_in(store, LAMP)
    rule = BalanceSettings(method="largest-candidate")
    plan_keeping.balance_and_keep(store, draft, "main", rule, **ANA)
    tasks = tuple(replace(t, time_ms=28_000) if t.number == "20" else t for t in LAMP.tasks)
    edited = replace(draft.product, tasks=tasks)
    draft = store.save(edited, base=draft.checksum, **LATER)
    plan_keeping.balance_and_keep(store, draft, "main", replace(rule, limit=75.0), **LATER)
    listed = plan_states(opened_draft(store, draft), "main", archived=False)
    return compare_stored(listed[::-1], 0, draft.product)


def row(compared, name: str) -> tuple[str, ...]:
    return next(f.texts for f in compared.figures if f.name == name)


def test_plans_are_called_by_method_and_stations(store):
    draft = put_in(store, LAMP)
    for method in ("largest-candidate", "exact"):
        asked = BalanceSettings(method=method)
        plan_keeping.balance_and_keep(store, draft, "main", asked, **ANA)
    listed = plan_states(opened_draft(store, draft), "main", archived=False)
    assert plan_labels(listed) == {
        1: "Largest candidate rule, 3 stations",
        2: "Exact, 3 stations",
    }


def test_plans_of_one_method_and_as_many_stations_have_their_number_too(compared):
    assert compared.labels == (
        "Largest candidate rule, 3 stations (plan 1)",
        "Largest candidate rule, 3 stations (plan 2)",
    )


def test_the_product_version_of_each_plan_is_shown(compared):
    assert row(compared, "product version") == ("1", "2")


def test_a_plan_that_is_out_of_date_is_shown_to_be(compared):
    assert row(compared, "up to date") == ("no, out of date", "yes")


def test_the_plan_in_force_is_shown(compared):
    assert row(compared, "state") == ("in force", "kept")


def test_other_limits_are_said_as_settings(compared):
    assert "Limit: 60.0 s → 75.0 s." in compared.differences[1].settings


def test_other_inputs_are_said_as_the_product_differs(compared):
    assert compared.differences[1].inputs == ("Task 20, time: 25 s → 28 s.",)


def test_the_base_plan_has_no_differences(compared):
    assert compared.differences[0] is None


def test_the_tasks_that_sit_elsewhere_are_those_told_in_words(compared):
    moves = {move.task for move in compared.differences[1].moves}
    assert {moved.task for moved in compared.moved} == moves


def test_the_document_of_a_comparison_is_plain_json(compared):
    document = json.loads(json.dumps(comparison_document("L-100", compared), allow_nan=False))
    assert (document["base"], len(document["plans"])) == (compared.labels[0], 2)


def test_the_figures_go_out_as_numbers(compared):
    figures = comparison_tables(compared, LAMP)[0]
    grid = list(csv.reader(io.StringIO(table_csv(figures).decode("utf-8-sig"))))
    limit = next(cells for cells in grid if cells[0] == "limit of a station")
    assert limit[1:6] == ["s", "60", "75", "15", "25"]  # 15 s are 25 % of 60 s


def test_plans_are_compared_on_the_times_of_today(compared):
    # Task 20 takes 3 s more than when the first was made; its own loads were 150 s together.
    assert row(compared, "work content") == ("153.0 s", "153.0 s")
    assert row(compared, "made for") == ("limit 60.0 s, cycle time 55.0 s", "as it is today")


def test_the_comparison_goes_out_as_a_workbook(compared):
    assert tables_xlsx(comparison_tables(compared, LAMP))[:2] == b"PK"


@pytest.fixture
def outdated(store):
    """Return the lamp, and three plans of it that are of older data."""
    draft = put_in(store, LAMP)
    for method in ("largest-candidate", "most-followers", "comsoal"):
        asked = BalanceSettings(method=method)
        plan_keeping.balance_and_keep(store, draft, "main", asked, **ANA)
    tasks = tuple(replace(t, time_ms=28_000) if t.number == "20" else t for t in LAMP.tasks)
    edited = store.save(replace(draft.product, tasks=tasks), base=draft.checksum, **LATER)
    return opened_draft(store, edited)


@pytest.mark.parametrize(
    ("module", "cached", "costly"),
    [
        (work, work.line_work, "_own_work"),
        (bounds, bounds.bounds, "_plain_bounds"),
        (plan_inputs, plan_inputs.plan_differences, "_said"),
    ],
)
def test_what_all_plans_of_a_line_share_is_computed_once(
    outdated, monkeypatch, module, cached, costly
):
    cached.cache_clear()
    asked, whole = [], getattr(module, costly)
    monkeypatch.setattr(module, costly, lambda *given: asked.append(costly) or whole(*given))
    for _ in range(2):  # as the page does each time it is drawn
        plan_states(outdated, "main", archived=False)
    assert asked == [costly]
