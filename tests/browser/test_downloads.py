"""Files downloaded from the pages in Chromium hold what the page shows."""

import subprocess
import sys
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from random import Random

import pypdfium2
import pytest
from playwright.sync_api import Browser, Download, Page, expect

from stationflow import read_product
from stationflow.files.csv_text import read_csv
from tests.browser import hands
from tests.browser.conftest import served
from tests.browser.hands import at_rest, downloaded, go, settled, wait_until

pytestmark = pytest.mark.browser

FAN = read_product(Path(__file__).parents[2] / "demo_products" / "desk_fan")[0]


@pytest.fixture(scope="module")
def window(
    browser: Browser, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[Page, str]]:
    """Return a window and the address of an app with a store of its own."""
    with served(tmp_path_factory.mktemp("downloads") / "store.db") as address:
        context = browser.new_context(viewport={"width": 1600, "height": 1000})
        yield context.new_page(), address
        context.close()


def download(page: Page, title: str, ending: str) -> Download:
    """Open the menu of downloads and ask for one kind of file of one row."""
    page.get_by_test_id("stPopoverButton").filter(has_text="Download").click()
    row = page.get_by_test_id("stPopoverBody").get_by_test_id("stHorizontalBlock")
    button = row.filter(has_text=title).get_by_role("button", name=ending, exact=True)
    return downloaded(page, button.click, ending)


def rows(begun: Download) -> list[list[str]]:
    """Return the rows of a CSV table that was downloaded."""
    return list(read_csv(Path(begun.path()).read_bytes()))


@pytest.fixture(scope="module")
def balanced(window: tuple[Page, str]) -> Page:
    """Return the Balance page with a plan of the fan."""
    page, address = window
    page.goto(f"{address}/balance?product={FAN.code}")
    settled(page)
    page.get_by_role("button", name="Balance the line").click()
    hands.balanced(page)
    page.get_by_test_id("stPopoverButton").filter(has_text="Download").wait_for()
    settled(page)
    return page


def test_stations_of_a_plan_come_down_with_every_task_once(balanced: Page):
    got = rows(download(balanced, "Stations with their loads", "CSV"))
    place = got[0].index("Tasks")
    tasks = [number for row in got[1:] for number in row[place].split("; ")]
    assert sorted(tasks) == sorted(task.number for task in FAN.tasks)


def test_the_menu_stays_open_after_a_download(balanced: Page):
    balanced.keyboard.press("Escape")
    download(balanced, "Load chart", "PNG")
    settled(balanced)
    assert balanced.get_by_test_id("stPopoverBody").is_visible()
    balanced.keyboard.press("Escape")


def test_a_file_is_named_after_product_line_and_plan(balanced: Page):
    assert (
        download(balanced, "Load chart", "PDF").suggested_filename == "F-100-main-plan-1-load.pdf"
    )


def begun_by(page: Page, presses: int, between: int = 0) -> list[Path]:
    """Press a button for a file so often, each time on a page being drawn anew; return the files.

    The finger goes down up to so many ms after the whole page is asked for, and up as late again.
    """
    go(page, "Cards")
    begun: list[Download] = []
    page.on("download", lambda file: begun.append(file))
    large = page.get_by_text("Large print", exact=True)
    wait = Random(1)
    for press in range(1, presses + 1):
        large.click()
        page.wait_for_timeout(wait.randint(0, between))
        page.get_by_role("button", name="Print the cards (PDF)").click(
            delay=wait.randint(0, between)
        )
        large.click()  # and once more while the file is made
        wait_until(page, partial(_are, begun, press))
    at_rest(page)
    if page.get_by_role("switch", name="Large print").is_checked():
        large.click()
    return [Path(file.path()) for file in begun]


def _are(files: list[Download], count: int) -> bool:
    return len(files) >= count


def test_every_press_gives_its_file_while_the_page_is_drawn_anew(balanced: Page):
    files = begun_by(balanced, 12)
    assert [path.read_bytes()[:4] for path in files] == [b"%PDF"] * 12


@pytest.fixture
def load() -> Iterator[None]:
    """Keep a core busy."""
    busy = subprocess.Popen([sys.executable, "-c", "while True: pass"])
    yield
    busy.kill()
    busy.wait()


@pytest.mark.campaign
@pytest.mark.timeout(3600)
def test_300_presses_on_a_busy_machine_give_300_files(balanced: Page, load: None):
    files = begun_by(balanced, 300, between=400)
    assert [path.read_bytes()[:4] for path in files] == [b"%PDF"] * 300


@pytest.fixture
def held(balanced: Page) -> Page:
    """Return the Balance page with a finger still on a button that was drawn anew meanwhile."""
    go(balanced, "Balance")
    button = balanced.get_by_test_id("stPopoverButton").filter(has_text="Download")
    button.wait_for()
    settled(balanced)
    balanced.get_by_role("button", name="Balance the line").click()
    before = button.element_handle()
    button.hover()
    balanced.mouse.down()
    balanced.wait_for_function("button => !button.isConnected", arg=before)
    button.wait_for()
    at_rest(balanced)
    return balanced


def test_a_button_drawn_anew_under_the_finger_takes_the_press(held: Page):
    held.mouse.up()
    expect(held.get_by_test_id("stPopoverBody")).to_be_visible()
    held.keyboard.press("Escape")


def test_a_press_given_to_a_button_drawn_anew_comes_once(held: Page):
    held.evaluate(
        "window.presses = 0; window.addEventListener('click', (event) =>"
        " (window.presses += event.target.closest('[data-testid=stPopoverButton]') ? 1 : 0))"
    )
    held.mouse.up()
    held.get_by_test_id("stPopoverBody").wait_for()
    held.wait_for_timeout(1000)  # as long as a second one could take to come
    assert held.evaluate("window.presses") == 1
    held.keyboard.press("Escape")


def test_one_card_comes_down_by_one_press(balanced: Page):
    go(balanced, "Cards")
    button = balanced.get_by_role("button", name="Print card 1")
    button.wait_for(timeout=60_000)
    settled(balanced)
    begun = downloaded(balanced, button.click, "pdf")
    document = pypdfium2.PdfDocument(begun.path())
    text = document[0].get_textpage().get_text_bounded()
    assert (begun.suggested_filename, len(document), "Set the base in the jig" in text) == (
        "F-100-main-cards-1.pdf",
        1,
        True,
    )
