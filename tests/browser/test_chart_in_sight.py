"""The chart of a plan just made stands in a small window, without scrolling."""

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.hands import settled

pytestmark = pytest.mark.browser
HEIGHT = 800


@pytest.mark.parametrize("code", ["F-100", "M-310"])  # of one line, and with a feeder
def test_the_load_chart_is_in_sight_right_after_balancing(browser: Browser, app_address, code):
    context = browser.new_context(viewport={"width": 1280, "height": HEIGHT})
    page = context.new_page()
    page.goto(f"{app_address}/balance?product={code}")
    settled(page)
    page.get_by_role("button", name="Balance the line", exact=True).click()
    chart = page.get_by_test_id("stVegaLiteChart").first
    expect(chart).to_be_visible()
    settled(page)
    expect(chart.locator("canvas, svg").first).to_be_visible()
    top, end = chart.evaluate(
        "e => [e.getBoundingClientRect().top, e.getBoundingClientRect().bottom]"
    )
    context.close()
    assert 0 <= top < end <= HEIGHT
