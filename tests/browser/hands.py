"""What an engineer's hands do in the app: choose pages and rows, type into cells."""

import re
import time
from collections.abc import Callable
from typing import Literal

from playwright.sync_api import Download, Locator, Page, TimeoutError, expect

WAIT_MS = 90_000  # as long as what a test waits for may take on a machine with much else to do
BALANCE_S = 240  # as long as a balance may take on a machine that compiles the search first


def settled(page: Page, seconds: float | None = None) -> None:
    """Wait until the app has nothing more to do; `seconds`: as long as that, not as usual."""
    done = "[data-testid=stApp][data-test-script-state=notRunning]"
    page.wait_for_selector(done, timeout=None if seconds is None else 1000 * seconds)


def at_rest(page: Page, seconds: float | None = None) -> None:
    """Wait until no run has come for a while: one may ask for the next; `seconds`: at most."""
    page.evaluate("window.restSince = performance.now()")
    page.wait_for_function(
        """() => {
            const state = document.querySelector("[data-testid=stApp]").dataset.testScriptState;
            if (state !== "notRunning") window.restSince = performance.now();
            return performance.now() - window.restSince > 1500;
        }""",
        timeout=None if seconds is None else 1000 * seconds,
    )


def balanced(page: Page) -> None:
    """Wait until a plan of the line is shown, and no balance runs that may bring a newer one.

    The search is compiled on a new machine; until then a plan of the rules stands, not stored.
    """
    at_rest(page, BALANCE_S)  # the page may still show the plan from before the press
    of_stored_plan = page.get_by_role("button", name=re.compile("^(In|Put in) force$"))
    expect(of_stored_plan).to_be_visible(timeout=1000 * BALANCE_S)
    at_rest(page, BALANCE_S)


def press_until(
    shown: Locator, press: Callable[[], None], state: Literal["visible", "attached"] = "visible"
) -> None:
    """Press until something shows: a page still being drawn may move from under a hand."""
    for _ in range(5):
        press()
        try:
            shown.first.wait_for(state=state, timeout=6000)
        except TimeoutError:
            continue
        return
    shown.first.wait_for(state=state)


def wait_until(page: Page, holds: Callable[[], bool], seconds: float = WAIT_MS / 1000) -> None:
    """Wait until something holds that no page shows, such as an edit that was stored.

    Whether it does in the end is for the test to say.
    """
    until = time.monotonic() + seconds
    while not holds() and time.monotonic() < until:
        page.wait_for_timeout(100)


def downloaded(page: Page, press: Callable[[], None], ending: str) -> Download:
    """Press until a file of a kind comes down (see `press_until`).

    One that was asked for by an earlier press, and comes late, is of another kind.
    """

    def is_meant(begun: Download) -> bool:
        return begun.suggested_filename.endswith(f".{ending.lower()}")

    for _ in range(4):
        try:
            with page.expect_download(is_meant, timeout=8000) as begun:
                press()
        except TimeoutError:
            continue
        return begun.value
    with page.expect_download(is_meant) as begun:
        press()
    return begun.value


def go(page: Page, title: str) -> None:
    """Choose a page in the navigation."""
    page.get_by_test_id("stTopNavLink").filter(has_text=title).click()
    expect(page.get_by_role("heading", name=title, level=1)).to_be_visible()
    settled(page)


def click_row(page: Page, text: str) -> None:
    """Choose the row of a list that shows a text: click the marker at its left edge."""
    cell = page.locator('[data-testid^="glide-cell-"]').filter(has_text=re.compile(f"^{text}$"))
    cell.first.wait_for(state="attached")
    row = int(cell.first.get_attribute("data-testid").rsplit("-", 1)[1])
    box = page.get_by_test_id("data-grid-canvas").first.bounding_box()
    page.mouse.click(box["x"] + 15, box["y"] + 35 * row + 53)
    settled(page)


def cell_text(page: Page, column: int, row: int) -> str:
    cell = page.locator(f'[data-testid="glide-cell-{column}-{row}"]').first
    cell.wait_for(state="attached")
    return cell.inner_text()


def type_into(page: Page, column: int, row: int, text: str) -> None:
    """Type into a cell of the first table, by keyboard as an engineer does."""
    shown = cell_text(page, column, row)
    canvas = page.get_by_test_id("data-grid-canvas").first
    editor = page.locator(".gdg-input")
    for _ in range(5):
        canvas.click(position={"x": 60, "y": 53}, force=True)  # a scroller lies over it
        page.wait_for_timeout(150)
        for _ in range(column - 1):
            page.keyboard.press("ArrowRight", delay=30)
        for _ in range(row):
            page.keyboard.press("ArrowDown", delay=30)
        page.keyboard.press("Enter", delay=30)
        editor.wait_for(state="visible")
        if editor.input_value() == shown:
            break
        page.keyboard.press("Escape")  # the first click had opened another cell
    editor.fill(text)
    page.keyboard.press("Enter")
    editor.wait_for(state="detached")
    settled(page)
