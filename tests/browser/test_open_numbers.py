"""Figures open by mouse and by keyboard."""

import pytest
from playwright.sync_api import expect

from tests.browser.hands import balanced, press_until, settled

pytestmark = pytest.mark.browser


def test_a_figure_opens_by_a_press_anywhere_on_it_and_by_the_keyboard(page, app_address):
    page.goto(f"{app_address}/pace?product=F-100")
    figure = page.locator("[class*=st-key-number-][class*=takt-time]").first
    figure.wait_for()  # the first page of a new server takes its time
    settled(page)
    way = page.get_by_text("takt time = working time x lines", exact=False).first
    press_until(way, lambda: figure.click(position={"x": 20, "y": 30}))
    page.keyboard.press("Escape")
    expect(way).to_be_hidden()
    page.get_by_role("button", name="How Takt time comes about").focus()
    page.keyboard.press("Enter")
    expect(way).to_be_visible()


def test_a_station_is_opened_by_its_row(page, app_address):
    page.goto(f"{app_address}/balance?product=F-100")
    settled(page)
    page.get_by_role("button", name="Balance the line", exact=True).click()
    balanced(page)
    page.get_by_role("tab", name="Stations").click()
    expect(page.get_by_text("Open the numbers of station")).to_be_visible()
    settled(page)
    canvas = page.get_by_test_id("data-grid-canvas").first
    second = {"x": 15, "y": 53 + 35}  # the box of the second row
    shown = page.get_by_text("station 2", exact=True)
    press_until(shown, lambda: canvas.click(position=second, force=True))
