"""What was typed just before a page is left is stored, however quick the hand."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.grid_driving import choose_cell, grid_ready
from tests.browser.hands import cell_text, go, settled, wait_until

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
