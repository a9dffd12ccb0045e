"""What is typed on the Pace page is read as it is written, and is in the store at once."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hands import go, press_until, settled

pytestmark = pytest.mark.browser


def open_pace(page: Page, address: str) -> None:
    page.goto(f"{address}/pace?product=F-100")
    page.get_by_role("textbox", name="Good units wanted").wait_for()
    settled(page)


def leave(page: Page, held_ms: int = 100) -> None:
    """Go to another page with the cursor still in a field: the press takes it out of there."""
    link = page.get_by_test_id("stTopNavLink").filter(has_text="Balance")
    heading = page.get_by_role("heading", name="Balance", level=1)
    press_until(heading, lambda: link.click(delay=held_ms))
    settled(page)


def test_a_yield_typed_with_a_comma_is_that_yield(page, app_address):
    open_pace(page, app_address)
    page.get_by_role("textbox", name="Yield (share)").fill("0,97")
    page.keyboard.press("Enter")
    expect(page.get_by_role("textbox", name="Yield (share)")).to_have_value("0.97")
    page.reload()
    expect(page.get_by_role("textbox", name="Yield (share)")).to_have_value("0.97")


def test_a_demand_typed_just_before_the_page_is_left_is_stored(page, app_address):
    open_pace(page, app_address)
    page.get_by_role("textbox", name="Good units wanted").fill("432")
    leave(page)
    go(page, "Pace")
    expect(page.get_by_role("textbox", name="Good units wanted")).to_have_value("432")


@pytest.mark.parametrize("held_ms", [0, 100])  # no finger is as quick as 0: two runs overlap
def test_a_demand_that_cannot_be_read_stands_there_with_the_reason(page, app_address, held_ms):
    open_pace(page, app_address)
    page.get_by_role("textbox", name="Good units wanted").fill("4.3.2")
    leave(page, held_ms)
    go(page, "Pace")
    expect(page.get_by_role("textbox", name="Good units wanted")).to_have_value("4.3.2")
    expect(page.get_by_text("stays stored")).to_be_visible()
