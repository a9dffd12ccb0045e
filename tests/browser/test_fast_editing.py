"""Two hundred cells typed one after the other, without waiting for the page, are all kept."""

import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from stationflow.model import Author, Product, Task
from stationflow.model.schema.tables import TABLE
from stationflow.storage import Store, open_store
from tests.browser.conftest import WAIT_MS, served
from tests.browser.grid_driving import (
    HEAD,
    MARKER,
    ROW_HEIGHT,
    choose_cell,
    grid_ready,
    type_here,
)
from tests.browser.hands import wait_until

pytestmark = pytest.mark.browser

TASKS = 100  # two cells of each: two hundred edits
TIME_COLUMN, NAME_COLUMN = 3, 2
NUMBER_WIDTH = next(
    column.grid.width for column in TABLE["tasks"].columns if column.grid and column.grid.is_pinned
)
LINE = Product(
    code="FAST",
    tasks=tuple(
        Task(number=str(n), name=f"Fit part {n}", time_ms=1000) for n in range(1, TASKS + 1)
    ),
)


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """Return a store with a line of a hundred tasks."""
    path = tmp_path_factory.mktemp("fast") / "store.db"
    opened = open_store(f"sqlite:///{path}")
    opened.add_product(LINE, {}, by=Author("ana", datetime.now(UTC)))
    with served(Path(path)) as address:
        opened.served_at = address  # type: ignore[attr-defined]
        yield opened
    opened.close()


@pytest.fixture(scope="module")
def typed(browser: Browser, store: Store) -> dict[str, tuple[float, str]]:
    """Type two hundred cells; return what the store then holds of each task."""
    page = opened(browser, store)
    choose_cell(page, TIME_COLUMN)
    for n in range(1, TASKS + 1):
        type_here(page, f"{n}.5")
    choose_column_top(page)
    for n in range(1, TASKS + 1):
        type_here(page, f"Typed {n}")
    last = f"Typed {TASKS}"
    wait_until(page, lambda: store.draft("FAST").product.tasks[-1].name == last, seconds=240)
    held = {t.number: (t.time_ms, t.name) for t in store.draft("FAST").product.tasks}
    page.context.close()
    return held


def opened(browser: Browser, store: Store) -> Page:
    """Return the Tasks page in a new window."""
    context = browser.new_context(viewport={"width": 1600, "height": 1000})
    context.set_default_timeout(WAIT_MS)
    page = context.new_page()
    page.goto(f"{store.served_at}/tasks?product=FAST")  # type: ignore[attr-defined]
    grid_ready(page)
    return page


def choose_column_top(page: Page) -> None:
    """Go to the name of the first task."""
    page.keyboard.press("Control+Home")
    for _ in range(NAME_COLUMN - 1):
        page.keyboard.press("ArrowRight")


def test_every_time_that_was_typed_is_kept(typed):
    expected = {str(n): 1000 * n + 500 for n in range(1, TASKS + 1)}
    assert {number: time_ms for number, (time_ms, _) in typed.items()} == expected


def test_every_name_that_was_typed_is_kept(typed):
    expected = {str(n): f"Typed {n}" for n in range(1, TASKS + 1)}
    assert {number: name for number, (_, name) in typed.items()} == expected


def test_a_table_that_takes_the_focus_late_loses_no_letter(browser, store, typed):
    page = opened(browser, store)
    page.evaluate(
        """() => {
          const soon = window.requestAnimationFrame;
          window.requestAnimationFrame = draw => soon(() => setTimeout(draw, 150));
        }"""
    )
    first_name = {"x": MARKER + NUMBER_WIDTH + 60, "y": HEAD + ROW_HEIGHT // 2}
    page.get_by_test_id("data-grid-canvas").first.dblclick(position=first_name, force=True)
    page.locator("textarea.gdg-input:focus").wait_for()
    page.keyboard.press("Control+a")
    page.keyboard.type("Fit the long cover", delay=40)
    page.keyboard.press("Enter")
    wait_until(page, lambda: store.draft("FAST").product.tasks[0].name == "Fit the long cover")
    page.context.close()
    assert store.draft("FAST").product.tasks[0].name == "Fit the long cover"


def test_two_thousand_pasted_rows_become_tasks_quickly(browser, store, typed):
    page = opened(browser, store)
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    rows = "\n".join(f"{n}\tPasted {n}\t2,5\t" for n in range(1001, 3001))
    page.evaluate("text => navigator.clipboard.writeText(text)", rows)
    choose_cell(page, 1)
    page.keyboard.press("Control+ArrowDown")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Control+v")
    until = time.monotonic() + 120
    while len(store.draft("FAST").product.tasks) < TASKS + 2000 and time.monotonic() < until:
        page.wait_for_timeout(200)
    page.context.close()
    added = store.draft("FAST").product.tasks[TASKS:]
    assert (len(added), {t.time_ms for t in added}) == (2000, {2500})
