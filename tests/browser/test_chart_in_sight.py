"""The chart of a plan just made stands in a small window, without scrolling."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import served
from tests.browser.hands import WAIT_MS, balanced, settled

pytestmark = pytest.mark.browser
HEIGHT = 800


@contextmanager
def balance_page(browser: Browser, address: str, code: str) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 1280, "height": HEIGHT})
    context.set_default_timeout(WAIT_MS)
    page = context.new_page()
    page.goto(f"{address}/balance?product={code}")
    settled(page)
    yield page
    context.close()


def balance(page: Page) -> None:
    page.get_by_role("button", name="Balance the line", exact=True).click()


def chart_place(page: Page) -> tuple[float, float]:
    """Return where the chart begins and ends, measured from the top of the page."""
    chart = page.get_by_test_id("stVegaLiteChart").first
    expect(chart.locator("canvas, svg").first).to_be_visible()
    scrolled = page.get_by_test_id("stMain").evaluate("e => e.scrollTop")
    box = chart.bounding_box()
    return box["y"] + scrolled, box["y"] + box["height"] + scrolled


@pytest.mark.parametrize("code", ["F-100", "M-310"])  # of one line, and with a feeder
def test_the_load_chart_is_in_sight_right_after_balancing(browser: Browser, app_address, code):
    with balance_page(browser, app_address, code) as page:
        balance(page)
        balanced(page)
        top, end = chart_place(page)
    assert 0 <= top < end <= HEIGHT


def test_the_load_chart_is_in_sight_while_a_plan_of_the_rules_stands(
    browser: Browser, tmp_path, monkeypatch
):
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "compiled"))  # a machine's first search
    with (
        served(tmp_path / "store.db") as address,
        balance_page(browser, address, "M-310") as page,
    ):
        balance(page)
        expect(page.get_by_text("Meanwhile")).to_be_visible()
        page.wait_for_timeout(1000)  # the page is drawn anew each second, and never rests
        top, end = chart_place(page)
    assert 0 <= top < end <= HEIGHT
