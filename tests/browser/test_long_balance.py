"""A long balance in Chromium: watched, left, reloaded, seen elsewhere, stopped, its plan kept."""

import re
from dataclasses import dataclass

import pytest
from playwright.sync_api import Browser, Page, expect
from small_products import ANA

from stationflow.model import BalanceSettings, Calendar, Demand, Product, Shift, Task
from stationflow.storage import open_store
from tests.browser.conftest import WAIT_MS as USUAL_MS
from tests.browser.conftest import served
from tests.browser.hands import settled

pytestmark = pytest.mark.browser

# 300 tasks, two of which fit into a station: too many to prove a cycle shortest in that time.
LONG = Product(
    code="L-700",
    name="Three hundred tasks",
    calendar=Calendar(shifts=(Shift(name="day", start="07:00", end="15:00"),)),
    demand=Demand(quantity=20),
    tasks=tuple(
        Task(
            number=str(10 * i),
            name=f"Fit part {i}",
            time_ms=1000 * (300 + i * 7919 % 401),
            predecessors=tuple(str(10 * j) for j in (i - 9, i - 14) if j > 0 and i % 3),
        )
        for i in range(1, 301)
    ),
)
STATIONS, SECONDS, MEMORY_MIB = 150, 600, 8192  # memory for as long as the time may last
BUSY = re.compile("Balancing line main, Exact")
WAIT_MS = 3 * USUAL_MS  # the balance itself keeps one of few cores busy


@dataclass(frozen=True)
class Seen:
    """What was seen on the way."""

    after_change: str
    after_reload: str
    elsewhere: str
    stored: list[BalanceSettings]
    heading: str


def go(page: Page, title: str) -> None:
    """Choose a page in the navigation."""
    page.get_by_test_id("stTopNavLink").filter(has_text=title).click()
    expect(page.get_by_role("heading", name=title, level=1)).to_be_visible(timeout=WAIT_MS)
    settled(page)


def progress(page: Page) -> str:
    """Return what the Balance page says of the running job."""
    said = page.get_by_text(BUSY).first
    expect(said).to_be_visible(timeout=WAIT_MS)
    return said.inner_text()


def ask(page: Page) -> None:
    """Ask for the shortest cycle by the exact method, ten minutes long."""
    page.get_by_text("Shortest cycle for a number of stations").click()
    settled(page)
    for label, value in (
        ("Number of stations", STATIONS),
        ("Time limit (s)", SECONDS),
        ("Memory (MiB)", MEMORY_MIB),
    ):
        field = page.get_by_label(label, exact=True)
        field.fill(str(value))
        field.press("Enter")
        settled(page)
    page.get_by_role("button", name="Balance the line").click()


@pytest.fixture(scope="module")
def seen(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Seen:
    """Start the balance, leave it, reload, look from a second browser, stop it there."""
    path = tmp_path_factory.mktemp("long") / "store.db"
    store = open_store(f"sqlite:///{path}")
    store.add_product(LONG, {}, **ANA)
    with served(path) as address:
        first, second = browser.new_context(), browser.new_context()
        for context in (first, second):
            context.set_default_timeout(WAIT_MS)
        page, other = first.new_page(), second.new_page()
        page.goto(f"{address}/balance?product=L-700")
        settled(page)
        ask(page)
        progress(page)
        go(page, "Pace")
        heading = page.locator(".st-key-jobs-quiet")
        expect(heading).to_contain_text("L-700 main", timeout=WAIT_MS)
        quiet = heading.inner_text()
        go(page, "Balance")
        after_change = progress(page)
        page.reload()
        after_reload = progress(page)
        other.goto(f"{address}/balance?product=L-700")
        elsewhere = progress(other)
        expect(other.get_by_text(re.compile("best so far"))).to_be_visible(timeout=WAIT_MS)
        other.get_by_role("button", name="Stop and keep the best").click()
        expect(other.get_by_text(BUSY)).to_have_count(0, timeout=WAIT_MS)
        expect(other.get_by_test_id("stVegaLiteChart").first).to_be_visible(timeout=WAIT_MS)
        stored = [plan.asked for plan in store.plans("L-700")]
        first.close()
        second.close()
    store.close()
    return Seen(after_change, after_reload, elsewhere, stored, quiet)


def test_a_long_balance_goes_on_when_the_page_is_left(seen: Seen):
    assert BUSY.search(seen.after_change)


def test_a_long_balance_survives_a_reload(seen: Seen):
    assert BUSY.search(seen.after_reload)


def test_a_long_balance_is_seen_in_a_second_browser(seen: Seen):
    assert BUSY.search(seen.elsewhere)


def test_a_running_balance_is_said_quietly_on_other_pages(seen: Seen):
    assert "L-700 main" in seen.heading


def test_what_a_stopped_balance_found_is_kept_as_a_plan(seen: Seen):
    assert [(s.method, s.stations, s.seconds) for s in seen.stored] == [
        ("exact", STATIONS, SECONDS)
    ]
