"""Two browsers edit one product in turns: nothing is lost, what both changed is asked."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from stationflow.model import Author, Product, Task
from stationflow.storage import Store, open_store
from tests.browser.conftest import WAIT_MS, served
from tests.browser.grid_driving import choose_cell, grid_ready, settled, type_here
from tests.browser.hands import at_rest, wait_until

pytestmark = pytest.mark.browser

TURNS = 25  # of each of the two: fifty edits
NAME_COLUMN, TIME_COLUMN = 2, 3
LINE = Product(
    code="TWO",
    tasks=tuple(
        Task(number=str(n), name=f"Fit part {n}", time_ms=1000) for n in range(1, TURNS + 1)
    ),
)


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Store, str]]:
    """Return the store, and the address of the app on it."""
    path = tmp_path_factory.mktemp("two") / "store.db"
    opened = open_store(f"sqlite:///{path}")
    opened.add_product(LINE, {}, by=Author("ana", datetime.now(UTC)))
    with served(Path(path)) as address:
        yield opened, address
    opened.close()


def window(browser: Browser, address: str) -> Page:
    """Return the Tasks page in a browser of its own."""
    context = browser.new_context(viewport={"width": 1600, "height": 1000})
    context.set_default_timeout(WAIT_MS)
    page = context.new_page()
    page.goto(f"{address}/tasks?product=TWO")
    grid_ready(page)
    return page


def typed_last(store: Store) -> tuple[str, int | None]:
    """Return name and time of the last task as they are stored."""
    task = store.draft("TWO").product.tasks[-1]
    return task.name, task.time_ms


@pytest.fixture(scope="module")
def edited(browser: Browser, store) -> Iterator[tuple[Page, Page]]:
    """Type fifty cells, one browser the names, the other the times, in turns."""
    one, other = window(browser, store[1]), window(browser, store[1])
    choose_cell(one, NAME_COLUMN)
    choose_cell(other, TIME_COLUMN)
    for n in range(1, TURNS + 1):
        type_here(one, f"Typed {n}")
        type_here(other, f"{n}.5")
    wait_until(one, lambda: typed_last(store[0]) == (f"Typed {TURNS}", 1000 * TURNS + 500))
    settled(one)
    settled(other)
    yield one, other
    one.context.close()
    other.context.close()


def test_every_name_of_the_one_and_every_time_of_the_other_is_kept(store, edited):
    held = [(t.name, t.time_ms) for t in store[0].draft("TWO").product.tasks]
    assert held == [(f"Typed {n}", 1000 * n + 500) for n in range(1, TURNS + 1)]


def test_a_cell_both_changed_is_shown_with_both_values(store, edited):
    one, other = edited
    for page in edited:  # both look at one state
        page.reload()
        grid_ready(page)
        at_rest(page)  # the diagram tells its width, and the page is drawn anew
    choose_cell(one, TIME_COLUMN, 4)
    type_here(one, "71")
    wait_until(one, lambda: store[0].draft("TWO").product.tasks[4].time_ms == 71_000)
    choose_cell(other, TIME_COLUMN, 4)
    type_here(other, "72")
    other.get_by_role("button", name="Decide 1 conflict").click()
    dialog = other.get_by_role("dialog")
    expect(dialog.get_by_text("71 s", exact=True)).to_be_visible()
    expect(dialog.get_by_text("72 s", exact=True)).to_be_visible()
    dialog.get_by_role("button", name="Take mine").click()
    expect(dialog).to_be_hidden()
    assert store[0].draft("TWO").product.tasks[4].time_ms == 72_000


def test_a_page_says_that_the_other_saved(store, edited):
    one, _ = edited
    draft = store[0].draft("TWO")
    first, *others = draft.product.tasks
    longer = replace(draft.product, tasks=(replace(first, time_ms=73_000), *others))
    store[0].save(longer, base=draft.checksum, by=Author("ben", datetime.now(UTC)))
    one.get_by_role("button", name="ben saved version").click()
    cell = one.locator(f'[data-testid="glide-cell-{TIME_COLUMN}-0"]').first
    expect(cell).to_have_text("73")
