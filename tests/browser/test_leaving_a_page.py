"""What was typed just before a page is left is stored, however quick the hand."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.grid_driving import choose_cell, grid_ready
from tests.browser.hands import at_rest, cell_text, go, settled, wait_until

pytestmark = pytest.mark.browser

TIME_COLUMN = 3


def typed_time(page: Page, address: str, text: str) -> None:
    """Type the time of the first task; its cell stays open."""
    page.goto(f"{address}/tasks?product=F-100")
    grid_ready(page)
    choose_cell(page, TIME_COLUMN)
    page.keyboard.press("Enter")
    page.locator(".gdg-input").fill(text)


def left_and_back(page: Page, text: str, **press: int) -> str:
    """Press the link of another page, come back; return the time of the first task, once drawn."""
    page.get_by_test_id("stTopNavLink").filter(has_text="Pace").click(**press)
    expect(page.get_by_role("heading", name="Pace", level=1)).to_be_visible()
    settled(page)
    go(page, "Tasks")
    wait_until(page, lambda: cell_text(page, TIME_COLUMN, 0) == text)
    return cell_text(page, TIME_COLUMN, 0)


@pytest.mark.parametrize("text", ["14.25", "14.5", "14.75"])
def test_a_time_entered_as_the_link_is_pressed_is_stored(page, app_address, text):
    typed_time(page, app_address, text)
    page.keyboard.press("Enter")
    assert left_and_back(page, text) == text


def test_a_time_in_a_cell_still_open_is_stored(page, app_address):
    typed_time(page, app_address, "15.25")
    assert left_and_back(page, "15.25", delay=80) == "15.25"  # ms a finger holds the button down


def test_a_time_in_a_cell_left_open_for_a_while_is_stored(page, app_address):
    typed_time(page, app_address, "15.5")
    page.wait_for_timeout(1500)  # the hand goes to the mouse; the press of the link closes the cell
    assert left_and_back(page, "15.5", delay=80) == "15.5"


def test_a_button_pressed_with_a_cell_still_open_does_its_work_on_what_was_typed(page, app_address):
    typed_time(page, app_address, "15.75")
    page.wait_for_timeout(1500)
    page.get_by_role("button", name="Copy", exact=True).click(delay=80)
    wait_until(page, lambda: cell_text(page, TIME_COLUMN, 1) == "15.75")
    assert [cell_text(page, TIME_COLUMN, row) for row in (0, 1)] == ["15.75", "15.75"]


@pytest.mark.parametrize("elsewhere", ["another tab", "another task", "another page"])
def test_a_limit_typed_before_something_else_is_chosen_is_stored(page, app_address, elsewhere):
    page.goto(f"{app_address}/tasks?product=M-310")
    grid_ready(page)
    page.get_by_role("tab", name="Limits").click()
    field = page.get_by_label("Not before station")
    field.wait_for()
    settled(page)
    was = field.input_value()
    typed = "2" if was != "2" else "3"
    field.fill(typed)
    page.wait_for_timeout(1500)
    if elsewhere == "another tab":
        page.get_by_role("tab", name="Lifting").click(delay=80)
        expect(page.get_by_role("textbox", name="Start: reach (mm)")).to_be_visible()
    elif elsewhere == "another task":
        page.locator("g.node").nth(3).click(delay=80)
    else:
        page.get_by_test_id("stTopNavLink").filter(has_text="Pace").click(delay=80)
        expect(page.get_by_role("heading", name="Pace", level=1)).to_be_visible()
    at_rest(page)
    page.goto(f"{app_address}/tasks?product=M-310")
    grid_ready(page)
    page.get_by_role("tab", name="Limits").click()
    expect(field).to_have_value(typed)
