"""From a stranger's spreadsheet to printed cards by hand: clicks and typed fields are counted."""

import sys
from dataclasses import dataclass, field
from pathlib import Path

import pypdfium2
import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from stationflow.model import Product
from stationflow.storage import open_store
from tests.browser.conftest import served
from tests.browser.grid_driving import choose_cell, grid_ready, type_here
from tests.browser.hands import WAIT_MS, at_rest, balanced, downloaded, go, settled, wait_until

sys.path.insert(0, str(Path(__file__).parents[1] / "files"))
from dirty_sheets import DirtySheet, dirty_workbook

pytestmark = pytest.mark.browser

CODE, NAME = "L-4", "Line 4 as it was sent"
LIMIT_S = "160"
TIME_COLUMN = 3
MISSING_S = "12.5"
"""What is typed for the two tasks whose time could not be read."""
TYPES = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
ANSWERS = (
    "Give the others new numbers",
    "Minutes and seconds: 1:15 is 75 s",
    "A range: all tasks from one to the other",
    "Yes, zeros were lost",
    "None: leave the arrow out",
    "Read",
)
HEIGHT = 800
CLICKS, FIELDS = 16, 5
"""What the way took when it was recorded, file choice and page changes included."""


@dataclass
class Engineer:
    """The hands of the engineer, and how much they had to do."""

    page: Page
    clicks: int = 0
    fields: int = 0
    pages: list[str] = field(default_factory=list)

    def click(self, what: Locator) -> None:
        """Click."""
        what.click()
        self.clicks += 1
        settled(self.page)

    def enter(self, what: Locator, text: str) -> None:
        """Type into a field."""
        what.fill(text)
        what.press("Tab")
        self.fields += 1
        settled(self.page)

    def go(self, title: str) -> None:
        """Choose a page."""
        go(self.page, title)
        self.clicks += 1


@dataclass(frozen=True, slots=True)
class Done:
    """What came of the way."""

    sheet: DirtySheet
    product: Product
    undone: Product
    success: tuple[float, float]  # from where to where its sentence stands in the window
    printed: str
    clicks: int
    fields: int


@pytest.fixture(scope="module")
def done(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Done:
    """Go the whole way once."""
    folder = tmp_path_factory.mktemp("import")
    sheet = dirty_workbook()
    with served(folder / "store.db") as address:
        page = browser.new_context(viewport={"width": 1280, "height": HEIGHT}).new_page()
        page.set_default_timeout(WAIT_MS)
        page.goto(address)
        settled(page)
        hands = Engineer(page)
        success = brought_in(hands, sheet)
        product = stored(folder)
        timed(hands, product, folder)
        printed = cards(hands, folder)
        undone = taken_back(page, folder)
        page.context.close()
    return Done(sheet, product, undone, success, printed, hands.clicks, hands.fields)


def stored(folder: Path) -> Product:
    """Return the product as the store has it."""
    store = open_store(f"sqlite:///{folder}/store.db")
    product = store.draft(CODE).product
    store.close()
    return product


def brought_in(hands: Engineer, sheet: DirtySheet) -> tuple[float, float]:
    """Upload the sheet, answer its questions, bring it in as a new product.

    Return where the sentence of success stands, once nothing moves any more.
    """
    page = hands.page
    hands.go("Import")
    page.set_input_files(
        "[data-testid=stFileUploader] input[type=file]",
        files=[{"name": sheet.name, "mimeType": TYPES, "buffer": sheet.content}],
    )
    hands.clicks += 1
    expect(page.get_by_text("6 must be answered")).to_be_visible()
    for answer in ANSWERS:
        hands.click(page.get_by_text(answer, exact=True))
    expect(page.get_by_text("none has to be answered")).to_be_visible()
    hands.enter(page.get_by_label("Code of the new product"), CODE)
    hands.enter(page.get_by_label("Its name"), NAME)
    hands.click(page.get_by_role("button", name="Bring in 80 tasks"))
    said = page.get_by_text(f"80 tasks came into {CODE}")
    expect(said).to_be_visible()
    settled(page)
    box = said.bounding_box()
    return box["y"], box["y"] + box["height"]


def timed(hands: Engineer, product: Product, folder: Path) -> None:
    """Enter the times that the sheet does not tell."""
    page = hands.page
    hands.go("Tasks")
    grid_ready(page)
    missing = [row for row, task in enumerate(product.tasks) if task.time_ms is None]
    assert missing == list(range(missing[0], missing[-1] + 1))  # Enter leads from one to the next
    choose_cell(page, TIME_COLUMN, missing[0])
    hands.clicks += 1
    for _ in missing:
        type_here(page, MISSING_S)
        settled(page)
        hands.fields += 1
    wait_until(page, lambda: all(task.time_ms is not None for task in stored(folder).tasks))
    settled(page)


def cards(hands: Engineer, folder: Path) -> str:
    """Balance the line for a limit, print the cards, return their text."""
    page = hands.page
    hands.go("Balance")
    hands.click(page.get_by_text("Fewest stations for a limit I give"))
    hands.enter(page.get_by_role("textbox", name="Limit of a station"), LIMIT_S)
    hands.click(page.get_by_role("button", name="Balance the line", exact=True))
    balanced(page)
    expect(page.get_by_test_id("stVegaLiteChart").first).to_be_visible()
    hands.go("Cards")
    button = page.get_by_role("button", name="Print the cards (PDF)")
    downloaded(page, button.click, "pdf").save_as(folder / "cards.pdf")
    hands.clicks += 1
    pdf = pypdfium2.PdfDocument((folder / "cards.pdf").read_bytes())
    return " ".join(text.get_textpage().get_text_bounded() for text in pdf)


def taken_back(page: Page, folder: Path) -> Product:
    """Undo the typed times and the import; return what is left."""
    go(page, "Tasks")
    undo = page.get_by_role("button", name="Undo")
    while undo.is_enabled():
        before = stored(folder)
        undo.click()
        wait_until(page, lambda before=before: stored(folder) != before)
        at_rest(page)
    return stored(folder)


def test_the_sheet_holds_at_least_fifteen_kinds_of_dirt(done: Done):
    assert len(done.sheet.kinds) >= 15


def test_what_came_in_is_said_in_sight(done: Done):
    top, end = done.success
    assert 0 <= top < end <= HEIGHT


def test_the_tasks_in_the_store_are_the_truth(done: Done):
    assert done.product.tasks == done.sheet.truth


def test_every_task_stands_on_a_card(done: Done):
    printed = "".join(done.printed.split())
    assert [t.name for t in done.product.tasks if "".join(t.name.split()) not in printed] == []


def test_the_whole_import_is_taken_back_by_undo(done: Done):
    assert done.undone.tasks == ()


def test_the_way_takes_so_many_clicks_and_typed_fields(done: Done):
    assert (done.clicks, done.fields) == (CLICKS, FIELDS)
