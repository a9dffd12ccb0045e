"""The curve in front of an engineer: it grows, comes down as files, and a click makes a plan."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from stationflow.files.csv_text import read_csv
from tests.browser.conftest import served
from tests.browser.hands import downloaded, settled

pytestmark = pytest.mark.browser

# First bytes of each kind of file, from the formats' own specifications.
STARTS = {"XLSX": b"PK", "CSV": b"\xef\xbb\xbf", "SVG": b"<svg", "PNG": b"\x89PNG", "PDF": b"%PDF"}


@pytest.fixture
def own_address(tmp_path: Path) -> Iterator[str]:
    """Return the address of an app of its own: the plan made here is for no other test."""
    with served(tmp_path / "store.db") as address:
        yield address


def test_a_click_on_a_point_of_the_curve_makes_its_plan(page: Page, own_address: str):
    page.goto(f"{own_address}/compare?product=F-100")
    tab = page.get_by_role("tab", name="Stations against cycle")
    button = page.get_by_role("button", name="Compute the curve")
    expect(tab.or_(button).first).to_be_visible()
    if tab.count():
        tab.click()
    button.click()
    chart = page.locator("[data-testid=stVegaLiteChart] canvas, [data-testid=stVegaLiteChart] svg")
    expect(page.get_by_text("12 of 12 points are proven")).to_be_visible(timeout=240_000)
    expect(chart).to_be_visible()
    before = page.get_by_role("button", name="Make the plan of 5 stations")
    expect(before).to_be_visible()  # the demand's answer, as the command line prints it
    settled(page)
    page.get_by_test_id("stPopoverButton").filter(has_text="Download the curve").click()
    offered = page.get_by_test_id("stPopoverBody").get_by_role("button")
    expect(offered).to_have_count(len(STARTS))
    files = {}
    for ending in STARTS:
        press = offered.filter(has_text=ending).click
        files[ending] = Path(downloaded(page, press, ending).path()).read_bytes()
        settled(page)
    assert {e: file[: len(STARTS[e])] for e, file in files.items()} == STARTS
    table = list(read_csv(files["CSV"]))
    assert [row[0] for row in table[-12:]] == [str(n) for n in range(1, 13)]
    page.keyboard.press("Escape")
    chart.scroll_into_view_if_needed()
    box = chart.bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + box["width"] - 40, box["y"] + box["height"] * 0.8)
    make = page.get_by_role("button", name="Make the plan of 12 stations")
    expect(make).to_be_visible()
    make.click()
    expect(page.get_by_text("12 stations, shortest cycle, from the curve").first).to_be_visible()
