"""The menu at the upper right holds what an engineer needs, and nothing of the framework."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hands import press_until, settled, wait_until

pytestmark = pytest.mark.browser


def test_the_menu_offers_light_dark_and_print_alone(page: Page, app_address: str):
    page.goto(app_address)
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    settled(page)
    menu = page.get_by_test_id("stMainMenuPopover")
    press_until(menu, page.get_by_test_id("stMainMenu").get_by_role("button").click)

    def offered() -> tuple[list[str], bool]:
        entries = [
            entry.inner_text()
            for role in ("menuitemradio", "menuitem")
            for entry in menu.get_by_role(role).all()
            if entry.is_visible()
        ]
        words = [text.split("\n")[-1] for text in entries]  # an icon's name stands before its word
        return words, menu.get_by_text("Made with").is_visible()

    only_ours = (["System", "Light", "Dark", "Print"], False)
    wait_until(page, lambda: offered() == only_ours)  # the style sheet comes after the page
    assert offered() == only_ours
