"""Files downloaded from the pages in Chromium hold what the page shows."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Download, Page

from stationflow import read_product
from stationflow.files.csv_text import read_csv
from tests.browser.conftest import served
from tests.browser.hands import downloaded, go, settled

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


def test_every_press_gives_its_file_while_the_page_is_drawn_anew(balanced: Page):
    go(balanced, "Cards")
    begun: list[Download] = []
    balanced.on("download", lambda file: begun.append(file))
    large = balanced.get_by_text("Large print", exact=True)
    for press in range(12):
        balanced.get_by_role("button", name="Print the cards (PDF)").click()
        large.click()  # the whole page is drawn anew while the file is made
        settled(balanced)
        for _ in range(200):
            if len(begun) > press:
                break
            balanced.wait_for_timeout(100)
    assert [Path(file.path()).read_bytes()[:4] for file in begun] == [b"%PDF"] * 12
