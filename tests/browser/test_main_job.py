"""The main job by hand: from a demo product to printed cards, in Chromium."""

import re
from collections.abc import Iterator
from decimal import Decimal
from functools import partial
from pathlib import Path
from urllib.parse import urlsplit

import pypdfium2
import pytest
from playwright.sync_api import Browser, expect

from stationflow import read_product
from tests.browser.conftest import served
from tests.browser.hands import (
    WAIT_MS,
    balanced,
    cell_text,
    click_row,
    downloaded,
    go,
    press_until,
    settled,
    type_into,
)

pytestmark = pytest.mark.browser

FAN = read_product(Path(__file__).parents[2] / "demo_products" / "desk_fan")[0]
PAGES = ("products", "tasks", "pace", "balance", "cards")
NUMBER_COLUMN, TIME_COLUMN = 1, 3  # counted from the marker of the rows
NEW_TIME_S = "19.5"


def texts(pdf: bytes) -> list[str]:
    """Return the words of each page of a PDF, line ends as blanks."""
    document = pypdfium2.PdfDocument(pdf)
    return [" ".join(p.get_textpage().get_text_bounded().split()) for p in document]


def squeezed(text: str) -> str:
    """Return text without blanks and the marks that divide a word."""
    return re.sub(r"[\s\u200b\ufffe\u00ad-]+", "", text)


@pytest.fixture(scope="module")
def app_address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Return the address of an app of its own: no plan of another test is in force there."""
    with served(tmp_path_factory.mktemp("main_job") / "store.db") as address:
        yield address


@pytest.fixture(scope="module")
def printed(
    browser: Browser, app_address: str, tmp_path_factory: pytest.TempPathFactory
) -> list[str]:
    """Do the main job once; return the pages of the cards that came out."""
    context = browser.new_context(viewport={"width": 1600, "height": 1000})
    context.set_default_timeout(WAIT_MS)
    page = context.new_page()
    page.goto(app_address)
    settled(page)

    press_until(page.get_by_text(f"Open: {FAN.code}"), partial(click_row, page, FAN.code))

    go(page, "Tasks")
    assert cell_text(page, NUMBER_COLUMN, 1) == FAN.tasks[1].number
    type_into(page, TIME_COLUMN, 1, NEW_TIME_S)
    expect(page.locator(f'[data-testid="glide-cell-{TIME_COLUMN}-1"]').first).to_have_text(
        NEW_TIME_S
    )

    go(page, "Pace")
    wanted = page.get_by_label("Good units wanted")
    wanted.fill("1600")
    wanted.press("Tab")
    settled(page)

    go(page, "Balance")
    page.get_by_role("button", name="Balance the line").click()
    balanced(page)
    expect(page.get_by_test_id("stVegaLiteChart").first).to_be_visible()

    go(page, "Cards")
    path = tmp_path_factory.mktemp("printed") / "cards.pdf"
    button = page.get_by_role("button", name="Print the cards (PDF)")
    downloaded(page, button.click, "pdf").save_as(path)
    context.close()
    return texts(path.read_bytes())


def test_the_cards_name_the_product_on_every_page(printed):
    assert [n for n, text in enumerate(printed) if FAN.name not in text] == []


def test_the_cards_name_every_task(printed):
    everything = squeezed("".join(printed))
    assert [t.name for t in FAN.tasks if squeezed(t.name) not in everything] == []


def test_the_cards_print_the_time_that_was_typed(printed):
    task = FAN.tasks[1]
    assert re.search(rf"task {task.number} {NEW_TIME_S} s", " ".join(printed))


def test_the_times_on_the_cards_add_up_to_the_printed_loads(printed):
    everything = " ".join(printed)
    number = r"(\d+(?:\.\d+)?)"
    times = re.findall(rf"task \d+(?:, machine time)? {number} s", everything)
    loads = re.findall(rf"Work of this station {number}", everything)
    assert (len(times), sum(map(Decimal, times))) == (len(FAN.tasks), sum(map(Decimal, loads)))


def test_no_page_calls_anybody_outside(page, app_address, printed):
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("websocket", lambda socket: asked.append(socket.url))
    for name in PAGES:
        page.goto(f"{app_address}/{'' if name == 'products' else name}?product={FAN.code}")
        settled(page)
        page.wait_for_timeout(300)
    hosts = {urlsplit(url).hostname for url in asked if not url.startswith(("data:", "blob:"))}
    assert hosts == {"127.0.0.1"}
