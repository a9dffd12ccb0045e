"""Undo and redo by key: with a cell chosen, with a cell open, with nothing chosen, and fast."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from stationflow.model import Author, Product, Task
from stationflow.storage import Store, open_store
from tests.browser.conftest import WAIT_MS, served
from tests.browser.grid_driving import choose_cell, grid_ready, settled, type_here
from tests.browser.hands import wait_until

pytestmark = pytest.mark.browser

STEPS = 10
NAME_COLUMN, TIME_COLUMN = 2, 3
NAMES = [f"Fit part {n}" for n in range(1, STEPS + 1)]
OLD = [30 + n for n in range(1, STEPS + 1)]  # 31 s, 32 s, ... 40 s before the edits
NEW = [50 + n for n in range(1, STEPS + 1)]


@pytest.fixture(scope="module")
def served_store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Store, str]]:
    """Return a store, and the address of the app on it."""
    path = tmp_path_factory.mktemp("undo") / "store.db"
    opened = open_store(f"sqlite:///{path}")
    with served(Path(path)) as address:
        yield opened, address
    opened.close()


class Edited:
    """A product of ten tasks, whose times were edited one after the other, on its Tasks page."""

    def __init__(self, store: Store, code: str, page: Page) -> None:
        self.store, self.code, self.page = store, code, page

    @property
    def times(self) -> list[float | None]:
        return [(task.time_ms or 0) / 1000 for task in self.store.draft(self.code).product.tasks]

    @property
    def names(self) -> list[str]:
        return [task.name for task in self.store.draft(self.code).product.tasks]

    def expect_times(self, times: list[float]) -> None:
        """Wait until the store holds these times."""
        wait_until(self.page, lambda: self.times == times)
        assert self.times == times

    def rest(self) -> None:
        """Give what was pressed the time to do harm."""
        self.page.wait_for_timeout(1500)
        settled(self.page)


@pytest.fixture
def edited(browser: Browser, served_store: tuple[Store, str]) -> Iterator[Edited]:
    store, address = served_store
    code = f"U-{len(store.products())}"
    tasks = tuple(
        Task(number=f"{10 * n}", name=name, time_ms=1000 * old)
        for n, (name, old) in enumerate(zip(NAMES, OLD, strict=True), start=1)
    )
    now = datetime.now(UTC)
    draft = store.add_product(Product(code=code, tasks=tasks), {}, by=Author("ana", now))
    for place, new in enumerate(NEW):
        tasks = (*tasks[:place], replace(tasks[place], time_ms=1000 * new), *tasks[place + 1 :])
        product = replace(draft.product, tasks=tasks)
        draft = store.save(product, base=draft.checksum, by=Author("ana", now))
    context = browser.new_context(viewport={"width": 1600, "height": 1000})
    context.set_default_timeout(WAIT_MS)
    page = context.new_page()
    page.goto(f"{address}/tasks?product={code}")
    grid_ready(page)
    page.locator("[data-hears=keys]").wait_for(state="attached")
    yield Edited(store, code, page)
    context.close()


def click_elsewhere(page: Page) -> None:
    """Click where nothing is: it closes and stores a cell that was opened unseen."""
    page.get_by_role("heading", name="Tasks", level=1).click()


def test_a_step_is_undone_with_nothing_chosen(edited):
    edited.page.keyboard.press("Control+z")
    edited.expect_times([*NEW[:-1], OLD[-1]])


def test_a_step_is_undone_with_a_cell_chosen(edited):
    choose_cell(edited.page, NAME_COLUMN)
    edited.page.keyboard.press("Control+z")
    edited.expect_times([*NEW[:-1], OLD[-1]])


@pytest.mark.parametrize("key", ["Control+z", "Control+y", "Alt+z", "Alt+y"])
def test_no_key_of_undo_is_typed_into_the_chosen_cell(edited, key):
    choose_cell(edited.page, NAME_COLUMN)
    edited.page.keyboard.press(key)
    edited.rest()
    click_elsewhere(edited.page)
    edited.rest()
    assert edited.names == NAMES


def test_in_an_open_cell_the_key_is_the_text_s_own(edited):
    choose_cell(edited.page, NAME_COLUMN)
    edited.page.keyboard.press("Enter")
    editor = edited.page.locator(".gdg-input")
    expect(editor).to_have_value(NAMES[0])
    edited.page.keyboard.press("End")
    edited.page.keyboard.type("x")
    edited.page.keyboard.press("Control+z")
    expect(editor).to_have_value(NAMES[0])
    edited.rest()
    assert edited.times == NEW


def test_in_a_text_field_the_key_is_the_text_s_own(edited):
    edited.page.goto(edited.page.url.replace("/tasks", "/pace"))
    field = edited.page.get_by_label("Good units wanted")
    field.click()
    edited.page.keyboard.press("Control+z")
    edited.rest()
    assert edited.times == NEW


@pytest.mark.parametrize(
    ("undo", "redo"),
    [
        ("Control+z", "Control+y"),
        ("Control+z", "Control+Shift+z"),
        ("Meta+z", "Meta+Shift+z"),
    ],
)
def test_a_step_is_brought_back(edited, undo, redo):
    edited.page.keyboard.press(undo)
    edited.expect_times([*NEW[:-1], OLD[-1]])
    edited.page.keyboard.press(redo)
    edited.expect_times(NEW)


def shown_toasts(page: Page) -> Callable[[], list[str]]:
    """Begin to note every sentence that shows at the edge of the page."""
    page.evaluate(
        """() => {
          window.noted = new Set();
          new MutationObserver(() => {
            for (const toast of document.querySelectorAll("[data-testid=stToast]"))
              window.noted.add(toast.innerText);
          }).observe(document.body, {childList: true, subtree: true, characterData: true});
        }"""
    )
    return lambda: page.evaluate("() => [...window.noted]")


def test_ten_quick_presses_are_ten_steps_and_each_says_what_it_took_back(edited):
    said = shown_toasts(edited.page)
    choose_cell(edited.page, NAME_COLUMN)
    for _ in range(STEPS):
        edited.page.keyboard.press("Control+z")
    edited.expect_times(OLD)
    edited.rest()
    expected = {f"Task {10 * n}, time: {old:.0f} s again" for n, old in enumerate(OLD, start=1)}
    assert {text.splitlines()[-1] for text in said()} == expected


def test_presses_while_the_page_is_drawn_are_all_steps(edited):
    for _ in range(STEPS):  # slower than presses are gathered: each comes into a running page
        edited.page.keyboard.press("Control+z")
        edited.page.wait_for_timeout(320)
    edited.expect_times(OLD)
    edited.rest()
    assert edited.times == OLD


def test_a_cell_typed_just_before_is_what_the_key_takes_back(edited):
    choose_cell(edited.page, TIME_COLUMN)
    type_here(edited.page, "99")
    edited.page.keyboard.press("Control+z")
    edited.rest()
    edited.expect_times(NEW)


def test_after_a_reload_a_press_is_one_step(edited):
    for _ in range(3):
        edited.page.keyboard.press("Control+z")
    edited.expect_times([*NEW[:-3], *OLD[-3:]])
    edited.page.reload()
    grid_ready(edited.page)
    edited.page.keyboard.press("Control+z")
    edited.expect_times([*NEW[:-4], *OLD[-4:]])
    edited.rest()
    assert edited.times == [*NEW[:-4], *OLD[-4:]]
