"""The diagram beside the table in a window of 1280 x 800: readable, found, chosen, pasted into."""

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from small_products import put_in

from stationflow.model import Line, Product, Task
from stationflow.storage import Store, open_store
from tests.browser.conftest import WAIT_MS, served
from tests.browser.grid_driving import HEAD, ROW_HEIGHT, grid_ready
from tests.browser.hands import settled, wait_until

pytestmark = pytest.mark.browser

READABLE = 10.9  # pixels; letters of 11 as the layout program writes them
TABLE = ".st-key-task-table"
FIND = "Find a task in the diagram by number or name"


def steps(code: str, tasks: int) -> Product:
    """Return a product of steps of two tasks side by side, each pair after the one before."""
    made = [
        Task(
            number=f"{10 * (n + 1)}",
            name=f"Fit heater base number {n + 1} to the lid",
            time_ms=10_000,
            predecessors=(f"{10 * max(n - 1, 1)}",) if n else (),
        )
        for n in range(tasks)
    ]
    return Product(code=code, lines=(Line(name="main"),), tasks=tuple(made))


@pytest.fixture(scope="module")
def served_store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Store, str]]:
    path = tmp_path_factory.mktemp("diagram") / "store.db"
    opened = open_store(f"sqlite:///{path}")
    for code, tasks in (("K-36", 36), ("K-300", 300), ("K-2", 2)):
        put_in(opened, steps(code, tasks))
    with served(Path(path)) as address:
        yield opened, address
    opened.close()


@pytest.fixture
def window(browser: Browser) -> Iterator[Page]:
    context = browser.new_context(
        viewport={"width": 1280, "height": 800}, permissions=["clipboard-read", "clipboard-write"]
    )
    context.set_default_timeout(WAIT_MS)
    yield context.new_page()
    context.close()


def opened(window: Page, served_store: tuple[Store, str], code: str) -> Page:
    window.goto(f"{served_store[1]}/tasks?product={code}")
    grid_ready(window)
    window.wait_for_selector("g.node")
    return window


def letters(page: Page) -> float:
    """Return the size of the smallest letters of the nodes on the screen, in pixels."""
    scale = page.locator(".paper").evaluate("e => new DOMMatrix(getComputedStyle(e).transform).a")
    sizes = page.locator("g.node text").evaluate_all(
        "all => all.map(e => parseFloat(e.getAttribute('font-size')))"
    )
    return min(sizes) * scale


def is_in_the_frame(page: Page, number: str) -> bool:
    """Return whether a task lies inside the frame of the diagram."""
    node = page.locator(f'g.node[id$="_{number}"]').bounding_box()
    frame = page.locator(".frame").bounding_box()
    return all(
        frame[at] <= node[at] and node[at] + node[size] <= frame[at] + frame[size]
        for at, size in (("x", "width"), ("y", "height"))
    )


def click_row(page: Page, row: int, x: int = 60) -> None:
    canvas = page.locator(f"{TABLE} canvas").first
    canvas.click(position={"x": x, "y": HEAD + ROW_HEIGHT * row + 16}, force=True)


@pytest.mark.parametrize("code", ["K-36", "K-300"])
def test_words_in_the_diagram_can_be_read_as_it_opens(window, served_store, code):
    assert letters(opened(window, served_store, code)) >= READABLE


def test_no_task_of_thirty_six_lies_beside_the_frame_as_it_opens(window, served_store):
    page = opened(window, served_store, "K-36")
    frame = page.locator(".frame").bounding_box()
    boxes = [node.bounding_box() for node in page.locator("g.node").all()]
    assert max(box["x"] + box["width"] for box in boxes) <= frame["x"] + frame["width"]


@pytest.mark.parametrize("typed", ["2500", "number 250 to"])
def test_a_task_typed_into_the_search_is_chosen_and_in_sight(window, served_store, typed):
    page = opened(window, served_store, "K-300")
    page.get_by_label(FIND).fill(typed)
    page.keyboard.press("Enter")
    expect(page.locator('g.node[id$="_2500"]')).to_have_class("node found chosen")
    assert is_in_the_frame(page, "2500")
    assert letters(page) >= READABLE


def test_the_row_chosen_in_the_table_is_marked_and_in_sight(window, served_store):
    page = opened(window, served_store, "K-300")
    click_row(page, 15)
    expect(page.locator('g.node[id$="_160"]')).to_have_class("node chosen")
    assert is_in_the_frame(page, "160")


def test_a_row_pressed_again_after_another_task_was_chosen_elsewhere_is_chosen(
    window, served_store
):
    page = opened(window, served_store, "K-36")
    chosen = page.locator("g.node.chosen")
    click_row(page, 4)
    expect(chosen).to_have_attribute("id", re.compile("_50$"))
    page.locator('g.node[id$="_90"]').click()
    expect(chosen).to_have_attribute("id", re.compile("_90$"))
    click_row(page, 4, x=200)  # the row that was told last
    expect(chosen).to_have_attribute("id", re.compile("_50$"))


def test_a_row_chosen_by_the_arrow_keys_is_marked(window, served_store):
    page = opened(window, served_store, "K-36")
    click_row(page, 2)
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    expect(page.locator('g.node[id$="_50"]')).to_have_class("node chosen")


def test_the_toolbar_of_a_table_covers_no_button(window, served_store):
    page = opened(window, served_store, "K-36")
    page.mouse.move(300, 400)
    bar = page.locator(f"{TABLE} [data-testid=stElementToolbar]")
    expect(bar).to_be_visible()
    shown = bar.bounding_box()
    covered = [
        button.inner_text()
        for button in page.locator("button:not([kind=elementToolbar])").all()
        if (box := button.bounding_box())
        and box["x"] < shown["x"] + shown["width"]
        and shown["x"] < box["x"] + box["width"]
        and box["y"] < shown["y"] + shown["height"]
        and shown["y"] < box["y"] + box["height"]
    ]
    assert covered == []


def test_rows_pasted_below_the_table_become_tasks(window, served_store):
    store = served_store[0]
    page = opened(window, served_store, "K-2")
    rows = "a1\\tFit lid\\t7,5\\t10\\na2\\tFit base\\t8.25\\ta1\\na3\\tTest\\t9\\ta1-a2"
    page.evaluate(f"navigator.clipboard.writeText('{rows}')")
    click_row(page, 2)  # the empty row below the last: its cell opens
    page.locator(".gdg-input").wait_for()
    page.keyboard.press("Control+v")
    wait_until(page, lambda: len(store.draft("K-2").product.tasks) == 5)
    pasted = store.draft("K-2").product.tasks[2:]
    assert [(t.number, t.name, t.time_ms, t.predecessors) for t in pasted] == [
        ("a1", "Fit lid", 7_500, ("10",)),
        ("a2", "Fit base", 8_250, ("a1",)),
        ("a3", "Test", 9_000, ("a1", "a2")),
    ]
    settled(page)


def test_a_pasted_line_that_there_is_not_is_told(window, served_store):
    store = served_store[0]
    two = replace(steps("K-L", 2), lines=(Line(name="main"), Line(name="board", feeds="main")))
    put_in(store, two)
    page = opened(window, served_store, "K-L")
    rows = "b1\\tFit lid\\t7,5\\t\\tboard\\nb2\\tFit base\\t8,5\\t\\tbord"
    page.evaluate(f"navigator.clipboard.writeText('{rows}')")
    click_row(page, 2)
    page.locator(".gdg-input").wait_for()
    page.keyboard.press("Control+v")
    wait_until(page, lambda: len(store.draft("K-L").product.tasks) == 4)
    told = page.get_by_text("Row 4, Line: 'bord' is none of main, board.")
    told.wait_for()
    settled(page)
    expect(told).to_be_visible()
    assert store.draft("K-L").product.tasks[2].line == "board"


def test_a_list_of_what_was_not_taken_takes_no_mark_and_no_choice(window, served_store):
    page = opened(window, served_store, "K-36")
    page.evaluate("navigator.clipboard.writeText('soon\\n'.repeat(12))")
    click_row(page, 0)
    for _ in range(2):
        page.keyboard.press("ArrowRight")
    page.keyboard.press("Control+v")
    expect(page.get_by_text("cells were not taken")).to_be_visible()
    settled(page)
    tables = page.locator(f"{TABLE} [data-testid=stDataFrame]")
    expect(tables).to_have_count(2)
    expect(tables.last.locator(".chosen-row")).to_have_count(1)
    expect(tables.first.locator(".chosen-row")).to_have_count(0)
