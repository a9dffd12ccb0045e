"""The Line page by hand: the drawing, a simulation beside the page, the line over time."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import served
from tests.browser.hands import balanced, downloaded, go, press_until, settled

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def app_address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Return the address of an app of its own: no plan of another test is in force there."""
    with served(tmp_path_factory.mktemp("line") / "store.db") as address:
        yield address


@pytest.fixture
def line(page: Page, app_address: str) -> Page:
    """Open the Line page of the small fan, with a plan in force."""
    page.goto(f"{app_address}/balance?product=F-100")
    expect(page.get_by_role("heading", name="Balance", level=1)).to_be_visible()
    settled(page)
    page.get_by_role("button", name="Balance the line", exact=True).click()
    balanced(page)
    go(page, "Line")
    return page


def test_the_drawing_shows_every_station_and_finds_one_by_its_task(line: Page):
    drawing = line.get_by_role("img", name="Drawing of the whole line")
    expect(drawing).to_be_visible()
    stations = drawing.locator("g.node")
    expect(stations).to_have_count(5)  # the plan of the fan's thirteen tasks
    search = line.get_by_role("searchbox")
    search.fill("motor")
    expect(drawing.locator("g.node.found")).to_have_count(1)


def test_the_drawing_for_the_wall_comes_down_as_a_pdf(line: Page):
    line.get_by_role("button", name="Download").click()
    pdf = line.get_by_role("button", name="PDF", exact=True).first
    expect(pdf).to_be_visible()
    assert downloaded(line, pdf.click, "pdf").path().read_bytes().startswith(b"%PDF")


def test_a_simulation_runs_beside_the_page_and_its_line_is_stepped(line: Page):
    line.get_by_role("tab", name="Flow").click()
    run = line.get_by_role("button", name="Simulate", exact=True)
    expect(run).to_be_visible()
    settled(line)
    run.click()
    expect(line.get_by_text("In brackets the limits")).to_be_visible(timeout=300_000)
    settled(line)
    step = line.get_by_role("button", name="Step ▶")
    press_until(step, line.get_by_role("tab", name="The line over time").click)
    clock = line.locator("output")
    expect(clock).to_have_text("0:00:00")
    for _ in range(4):
        step.click()
    expect(clock).not_to_have_text("0:00:00")
    expect(line.locator(".box .state").first).not_to_have_text("empty")
