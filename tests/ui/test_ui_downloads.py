"""The menu of downloads: what is on offer, and what is said when a file cannot be made."""

from typing import Any

import pytest
from small_products import ANA, BOARD_LAMP, BROKEN, LAMP, put_in
from streamlit.testing.v1 import AppTest

from stationflow.actions.opening.opened import opened_draft
from stationflow.actions.opening.plan_states import plan_state
from stationflow.actions.plans.curves import curve_and_keep
from stationflow.actions.plans.plan_keeping import balance_and_keep
from stationflow.model import BalanceSettings, CurveSettings
from stationflow.storage import Store
from stationflow.ui.downloads import Offer, curve_offers, pace_offers, plan_offers, task_offers

# First bytes of each kind, from the formats' own specifications.
STARTS = {"csv": b"\xef\xbb\xbf", "xlsx": b"PK", "svg": b"<", "png": b"\x89PNG", "pdf": b"%PDF"}


def made(offers: list[Offer]) -> dict[str, set[str]]:
    """Return which kinds of files are on offer, each checked by its first bytes."""
    for offer in offers:
        for ending, make in offer.made.items():
            assert make().startswith(STARTS[ending]), (offer.title, ending)
    return {offer.title: set(offer.made) for offer in offers}


@pytest.fixture
def plan(store: Store) -> Any:
    """Return a plan of the lamp as it stands to the product."""
    draft = put_in(store, LAMP)
    settings = BalanceSettings(method="ranked-positional-weight", limit=60)
    return plan_state(
        opened_draft(store, draft), balance_and_keep(store, draft, "main", settings, **ANA)
    )


def test_the_tasks_page_offers_tables_and_the_diagram(store: Store):
    assert made(task_offers(put_in(store, LAMP), "main")) == {
        "Tasks": {"csv", "xlsx"},
        "Parts list": {"csv", "xlsx"},
        "Precedence matrix of the line": {"csv", "xlsx"},
        "Findings": {"csv", "xlsx"},
        "Precedence diagram": {"svg", "png", "pdf"},
    }


def test_a_product_of_several_lines_offers_the_diagram_of_all(store: Store):
    offers = task_offers(put_in(store, BOARD_LAMP), "board")
    assert made(offers)["Precedence diagram of all lines"] == {"svg", "png", "pdf"}


def test_every_file_of_a_broken_draft_can_be_made(store: Store):
    assert made(task_offers(put_in(store, BROKEN), "main"))


def test_the_balance_page_offers_all_of_a_plan(plan: Any):
    assert made(plan_offers(plan)) == {
        "All tables of the plan": {"xlsx"},
        "Stations with their loads": {"csv", "xlsx"},
        "Which task at which station": {"csv", "xlsx"},
        "How the numbers come about": {"csv", "xlsx"},
        "Findings": {"csv", "xlsx"},
        "Load chart": {"svg", "png", "pdf"},
        "Precedence diagram": {"svg", "png", "pdf"},
    }


def test_the_pace_page_offers_the_pace(store: Store):
    assert made(pace_offers(put_in(store, LAMP))) == {"Pace of every line": {"csv", "xlsx"}}


def test_the_compare_page_offers_the_curve(store: Store):
    draft = put_in(store, LAMP)
    curve_and_keep(store, draft, "main", CurveSettings(), **ANA)
    kept = store.last_curve("L-100", "main")
    assert kept is not None
    assert made(curve_offers(LAMP, kept, 60.0)) == {
        "Points of the curve": {"csv", "xlsx"},
        "Stations against cycle time": {"svg", "png", "pdf"},
    }


def test_no_two_files_of_a_plan_have_one_name(plan: Any):
    names = [offer.name for offer in plan_offers(plan)]
    assert len(set(names)) == len(names)


def a_page() -> None:
    from stationflow.ui import downloads

    offer = downloads.Offer(title="Tasks", name=("P", "tasks"), made={"csv": lambda: b"1"})
    downloads.menu("page.download", [offer])


def a_page_that_cannot() -> None:
    from stationflow.errors import DrawingError
    from stationflow.ui import downloads

    def refuse() -> bytes:
        raise DrawingError("The diagram was not drawn within 20 s.", "Draw one line.")

    offer = downloads.Offer(title="Tasks", name=("P", "tasks"), made={"csv": refuse})
    downloads.menu("page.download", [offer])


def test_a_menu_has_a_button_for_each_kind_of_file():
    page = AppTest.from_function(a_page).run()
    assert [button.label for button in page.button] == ["CSV"]


def test_a_file_asked_for_waits_until_the_browser_has_saved_it():
    page = AppTest.from_function(a_page).run()
    page.button[0].click().run()
    page.button[0].click().run()
    ready = page.run().session_state["page.download.ready"]
    assert [(file.name, file.content) for file in ready.values()] == [("P-tasks.csv", b"1")] * 2


def test_a_file_that_cannot_be_made_is_told_once_in_a_sentence():
    page = AppTest.from_function(a_page_that_cannot).run()
    page.button[0].click().run()
    said = [error.value.replace("\\", "") for error in page.error]
    assert said == ["The diagram was not drawn within 20 s.\n\nDraw one line."]
    assert not page.run().error
