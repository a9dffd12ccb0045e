"""The chosen task by hand: a click in the diagram finds its row; split and merge with undo."""

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from stationflow import read_product
from tests.browser import hands
from tests.browser.hands import settled

pytestmark = pytest.mark.browser

CODE = "CC-900"  # the largest demo product: its table is longer than its frame
FAR = 200  # a row that is out of sight at first

TOOLS = ".st-key-task-tools"
TABLE = ".st-key-task-table"


@pytest.fixture(scope="module")
def numbers() -> list[str]:
    """Return the task numbers of the product's main line, in listed order."""
    folder = Path(__file__).parents[2] / "demo_products"
    found = (read_product(path)[0] for path in sorted(folder.iterdir()))
    product = next(product for product in found if product.code == CODE)
    return [task.number for task in product.tasks_of(product.main_line.name)]


@pytest.fixture
def tasks(page: Page, app_address: str) -> Page:
    page.goto(f"{app_address}/tasks?product={CODE}")
    settled(page)
    expect(page.locator(f"{TABLE} .dvn-scroller")).to_be_attached()
    page.wait_for_selector("g.node")
    page.get_by_role("button", name="Show the whole diagram").click()
    hands.at_rest(page)
    at_rest(page)
    return page


def at_rest(page: Page) -> None:
    """Wait until the diagram stands: it is drawn again once its frame has told its width."""
    seen = None
    for _ in range(60):
        box = node(page, FAR).bounding_box()
        if box is not None and box == seen:
            return
        seen = box
        page.wait_for_timeout(500)


def node(page: Page, row: int):
    return page.locator(f'g.node[id^="n{row}_"]')


def click(page: Page, row: int) -> None:
    box = node(page, row).bounding_box()
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)


def expect_chosen(page: Page, number: str) -> None:
    box = page.locator(f"{TOOLS} [data-testid=stSelectbox] input")
    page.wait_for_function(
        "([box, start]) => (box.value || box.closest('[data-testid=stSelectbox]').innerText)"
        ".trim().startsWith(start)",
        arg=[box.element_handle(), f"{number} "],
    )
    settled(page)


def test_a_click_in_the_diagram_chooses_the_task(tasks, numbers):
    click(tasks, FAR)
    expect_chosen(tasks, numbers[FAR])


def test_the_row_of_the_task_clicked_comes_into_sight(tasks, numbers):
    click(tasks, FAR)
    expect_chosen(tasks, numbers[FAR])
    # only rows in sight are in the table behind the canvas
    cell = tasks.locator(f'{TABLE} [data-testid="glide-cell-1-{FAR}"]')
    expect(cell).to_have_text(numbers[FAR])


def test_the_task_clicked_is_outlined(tasks):
    click(tasks, FAR)
    expect(node(tasks, FAR)).to_have_class("node chosen")


def test_dragging_the_diagram_chooses_nothing(tasks):
    box = node(tasks, FAR).bounding_box()
    tasks.mouse.move(box["x"] + 5, box["y"] + 5)
    tasks.mouse.down()
    tasks.mouse.move(box["x"] + 60, box["y"] + 40, steps=5)
    tasks.mouse.up()
    tasks.wait_for_timeout(600)
    assert "chosen" not in (node(tasks, FAR).get_attribute("class") or "")


def test_the_arrow_keys_choose_the_next_task(tasks, numbers):
    click(tasks, FAR)
    expect_chosen(tasks, numbers[FAR])
    tasks.keyboard.press("ArrowDown")
    expect_chosen(tasks, numbers[FAR + 1])


def test_a_split_and_a_merge_are_each_undone_at_one_press(tasks, numbers):
    count = tasks.get_by_text(f"{len(numbers)} tasks on this line")
    more = tasks.get_by_text(f"{len(numbers) + 1} tasks on this line")
    fewer = tasks.get_by_text(f"{len(numbers) - 1} tasks on this line")
    expect(count).to_be_visible()

    tasks.locator(f"{TOOLS} .st-key-tasks-split button").click()
    tasks.get_by_role("button", name="Split the task").click()
    expect(more).to_be_visible()
    expect(tasks.locator("g.node")).to_have_count(len(numbers) + 1)  # the diagram follows
    settled(tasks)
    tasks.get_by_role("button", name="Undo").click()
    expect(count).to_be_visible()
    settled(tasks)

    tasks.locator(f"{TOOLS} .st-key-tasks-merge button").click()
    choice = tasks.locator(".st-key-tasks-merge-with input")
    choice.fill(numbers[1])
    choice.press("Enter")
    do = tasks.get_by_role("button", name="Merge the tasks")
    expect(do).to_be_enabled()
    tasks.keyboard.press("Tab")
    do.click()
    expect(fewer).to_be_visible()
    settled(tasks)
    tasks.get_by_role("button", name="Undo").click()
    expect(count).to_be_visible()
