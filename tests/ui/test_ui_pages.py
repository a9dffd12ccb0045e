"""Every page opens, whatever is in the store."""

from dataclasses import replace
from pathlib import Path

import pytest
from small_products import ANA, BOARD_LAMP, BROKEN, EMPTY, LAMP, MIXED, put_in

from stationflow.actions.opening.starting import FIRST_DEMO
from stationflow.actions.plans import plan_keeping
from stationflow.actions.products.saving import save_edit
from stationflow.model import BalanceSettings, Demand, Line, Model, Task, error
from stationflow.model.unread import Unread, Use
from stationflow.ui.plans.balance_settings import LIMIT

PAGES = sorted(
    path.stem for path in (Path(__file__).parents[2] / "stationflow/ui/pages").glob("*.py")
)
PRODUCTS = {
    "no product": None,
    "a good product": LAMP,
    "two lines": BOARD_LAMP,
    "a mix": MIXED,
    "an empty product": EMPTY,
    "a broken draft": BROKEN,
}


@pytest.mark.parametrize("name", PRODUCTS)
@pytest.mark.parametrize("page", PAGES)
def test_every_page_opens_with(show, page, name):
    assert show(PRODUCTS[name], page).errors == ""


@pytest.mark.parametrize("page", [page for page in PAGES if page != "products"])
def test_without_a_product_a_page_says_how_to_begin(show, page):
    assert "No product is open yet" in show(None, page).said


@pytest.mark.parametrize("page", [page for page in PAGES if page != "importing"])
def test_without_a_product_the_small_demo_is_one_press_away(store, show, page):
    put_in(store, replace(LAMP, code=FIRST_DEMO))
    shown = show(None, page)
    shown.press("show.open_demo")
    assert shown.test.session_state["product_code"] == FIRST_DEMO
    assert not [button for button in shown.test.button if button.key == "show.open_demo"]


def test_a_store_without_the_small_demo_offers_no_button_to_it(show):
    assert "show.open_demo" not in [button.key for button in show(None, "tasks").test.button]


@pytest.mark.parametrize("page", ["balance", "compare", "cards"])
def test_a_line_without_a_plan_says_what_to_do_first(show, page):
    said = show(EMPTY, page).said
    assert "No tasks yet." in said
    assert "No pace yet." in said


def test_a_product_ready_to_balance_is_not_told_to_do_anything_first(show):
    said = show(LAMP, "balance").said
    assert "This line has no plan yet." in said
    assert "Tasks:" not in said
    assert "Pace:" not in said


@pytest.mark.parametrize("use", [Use.CARDS, Use.WORK])
def test_no_card_is_made_of_what_was_not_read(store, show, use: Use):
    read = error("value-not-read", "Task 10, part P-1, quantity", "'4 pcs' was not read.")
    draft = put_in(store, LAMP)
    asked = BalanceSettings(method="largest-candidate")
    plan_keeping.balance_and_keep(store, draft, "main", asked, **ANA)
    open_value = Unread(finding=read, uses=(use,), of_task="10")
    save_edit(store, replace(LAMP, unread=(open_value,)), base=draft, **ANA)
    page = show(None, "products")
    page.test.session_state["product_code"] = LAMP.code
    page.go("cards")
    assert read.message in page.said
    assert "cards.print" not in [button.key for button in page.test.button]


def test_a_very_long_name_leaves_the_heading_two_lines(show):
    said = show(replace(LAMP, name="n" * 200), "pace").said
    assert "n" * 90 + "…" in said
    assert "n" * 91 not in said


ODD_DRAFTS = {
    "no line": replace(LAMP, lines=()),
    "two main lines": replace(LAMP, lines=(Line(), Line(name="second"))),
    "two lines of one name": replace(BOARD_LAMP, lines=(Line(), Line())),
    "a circle of lines": replace(
        BOARD_LAMP, lines=(Line(feeds="board", join="b1"), BOARD_LAMP.lines[1])
    ),
    "a line named like a table": replace(BOARD_LAMP, lines=(Line(name="parts"), Line(name="main"))),
    "two models of one name": replace(MIXED, models=(MIXED.models[0], MIXED.models[0])),
    "models named like a heading": replace(MIXED, models=(Model(name="Time"), Model(name=""))),
    "shares beyond one": replace(
        LAMP, demand=Demand(quantity=480, yield_share=2.0, availability=-1.0)
    ),
    "no part of the parts list": replace(LAMP, parts=()),
    "no picture": replace(LAMP, pictures=()),
    "no numbers": replace(LAMP, tasks=(Task(number=""), Task(number=""))),
    "control characters": replace(LAMP, name="a\x07b", tasks=(Task(number="1\x07", time_ms=5000),)),
}
"""Drafts as a careless file may bring them in."""


@pytest.mark.parametrize("name", ODD_DRAFTS)
def test_all_pages_open_with(show, name):
    page = show(ODD_DRAFTS[name], "tasks")
    for other in PAGES:
        page.go(other)
    assert page.errors == ""


# The station time is then far below and far above what a plant knows: 1e-10 s and 1e14 s.
@pytest.mark.parametrize("quantity", [1e15, 1e-9])
def test_a_limit_can_be_asked_for_whatever_the_demand(show, quantity):
    page = show(replace(LAMP, demand=Demand(quantity=quantity)), "balance")
    page.test.radio(key="balance.goal").set_value(LIMIT)
    page.run()
    assert page.errors == ""


def test_a_product_code_that_is_not_in_the_store_is_told(show):
    page = show(replace(LAMP, code="OTHER"), "products")
    page.test.session_state["product_code"] = "NOPE-7"
    page.go("tasks")
    assert "There is no product NOPE-7 in the store." in page.said
