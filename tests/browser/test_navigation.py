"""The pages are grouped by the job, and each is one press away on a small screen."""

import pytest
from playwright.sync_api import Browser, Page, expect

from stationflow.ui.navigation import GROUPS, ORDER
from tests.browser.hands import WAIT_MS, at_rest, go, settled, wait_until

pytestmark = pytest.mark.browser


@pytest.fixture
def small(browser: Browser, app_address: str):
    """Return the first page in a window of 1280 x 800."""
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    context.set_default_timeout(WAIT_MS)
    page = context.new_page()
    page.goto(f"{app_address}/?product=F-100")
    expect(page.get_by_role("heading", name="Products", level=1)).to_be_visible()
    settled(page)
    yield page
    context.close()


def test_every_page_is_one_press_away(small: Page):
    for _, title, _ in ORDER[1:]:
        go(small, title)


def test_every_page_is_reached_by_the_tab_key_and_enter(small: Page):
    links = small.get_by_test_id("stTopNavLink")
    links.first.focus()
    for _, title, _ in ORDER[1:]:
        small.keyboard.press("Tab")
        expect(links.filter(has_text=title)).to_be_focused()
    small.keyboard.press("Enter")
    expect(small.get_by_role("heading", name=ORDER[-1][1], level=1)).to_be_visible()


def test_each_group_stands_above_the_first_of_its_pages(small: Page):
    items = small.locator('[data-testid="stTopNav"] > .rc-overflow-item:has(a)')
    titles = [title for _, title, _ in ORDER]

    def named() -> dict[str, str]:
        above = items.evaluate_all("all => all.map(e => getComputedStyle(e, '::before').content)")
        return {group: title for group, title in zip(above, titles, strict=True) if group != "none"}

    firsts = {f'"{group}"': pages[0][1] for group, pages in GROUPS.items()}
    wait_until(small, lambda: named() == firsts)  # the style sheet comes after the page
    assert named() == firsts


# Loses what the first press of a link asks the server for, as a run of another page at the same
# time does, and counts the presses that a link is given.
LOSE_FIRST = """
const send = WebSocket.prototype.send;
window.given = 0;
window.addEventListener("click", (event) => {
  if (event.target.closest("[data-testid=stTopNavLink]")) window.given += 1;
}, true);
WebSocket.prototype.send = function (message) {
  const isOfLink = window.event?.type === "click" && window.given === 1;
  return isOfLink ? undefined : send.call(this, message);
};
"""


def test_a_link_whose_page_is_lost_on_the_way_is_pressed_again(browser: Browser, app_address: str):
    context = browser.new_context()
    context.set_default_timeout(WAIT_MS)
    page = context.new_page()
    page.add_init_script(LOSE_FIRST)
    page.goto(f"{app_address}/?product=F-100")
    expect(page.get_by_role("heading", name="Products", level=1)).to_be_visible()
    at_rest(page)
    page.get_by_test_id("stTopNavLink").filter(has_text="Pace").click()
    expect(page.get_by_role("heading", name="Pace", level=1)).to_be_visible()
    assert page.evaluate("window.given") > 1
    context.close()
