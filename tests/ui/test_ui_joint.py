"""All lines balanced at once on the Balance page, one sentence a test."""

from dataclasses import replace

import pytest
from small_products import BOARD_LAMP, MOVABLE

from stationflow.ui.jobs import job_views


@pytest.fixture
def page(show):
    """Show the Balance page after all lines were balanced at once."""
    page = show(MOVABLE, "balance")
    page.press("balance.run_joint")
    (job,) = job_views.registry().known("L-250")
    assert job.wait(120)
    assert job.message == ""
    page.run()
    return page


def line_of_30(store):
    return next(t.line for t in store.draft("L-250").product.tasks if t.number == "30")


def test_a_product_whose_tasks_stay_on_their_line_has_no_such_button(show):
    page = show(BOARD_LAMP, "balance")
    assert "balance.run_joint" not in {button.key for button in page.test.button}


def test_what_would_move_is_shown_before_anything_is_kept(page, store):
    assert "All lines together need 2 stations." in page.said
    assert "Task 30 moves from line main to line board." in page.said
    assert line_of_30(store) == "main"
    assert store.plans("L-250") == []


def test_the_stations_of_each_line_stand_with_what_comes_and_goes(page):
    shown = next(f.value for f in page.test.dataframe if "Comes" in f.value.columns)
    rows = [list(row) for row in shown[["Line", "Stations", "Comes", "Goes"]].to_numpy()]
    assert rows == [["main", 1, "", "30"], ["board", 1, "30", ""]]


def test_kept_the_task_moves_and_the_plans_are_in_force(page, store):
    page.press("joint.keep")
    assert line_of_30(store) == "board"
    in_force = {p.line: len(p.result.stations) for p in store.plans("L-250") if p.in_force}
    assert in_force == {"main": 1, "board": 1}
    assert "2 plans are in force. 1 task moved." in page.said
    assert "joint.keep" not in {button.key for button in page.test.button}


def test_put_away_nothing_is_kept(page, store):
    page.press("joint.away")
    assert "All lines together need" not in page.said
    assert store.plans("L-250") == []


def test_after_a_change_of_the_product_it_cannot_be_kept(page, store):
    draft = store.draft("L-250")
    changed = replace(draft.product, name="Changed")
    store.save(changed, base=draft.checksum, by=job_views.registry().known("L-250")[0].asked_by)
    page.go("balance")
    assert "This is of older data." in page.said
    assert page.test.button(key="joint.keep").disabled
