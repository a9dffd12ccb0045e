"""The menu at the upper right holds what an engineer needs, and nothing of the framework."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hands import press_until, settled

pytestmark = pytest.mark.browser


def test_the_menu_offers_light_dark_and_print_alone(page: Page, app_address: str):
    page.goto(app_address)
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    settled(page)
    menu = page.get_by_test_id("stMainMenuPopover")
    press_until(menu, page.get_by_test_id("stMainMenu").get_by_role("button").click)
    shown = [e.inner_text() for e in menu.get_by_role("menuitemradio").all() if e.is_visible()]
    shown += [e.inner_text() for e in menu.get_by_role("menuitem").all() if e.is_visible()]
    words = [text.split("\n")[-1] for text in shown]  # an icon's name stands before its word
    assert (words, menu.get_by_text("Made with").is_visible()) == (
        ["System", "Light", "Dark", "Print"],
        False,
    )
