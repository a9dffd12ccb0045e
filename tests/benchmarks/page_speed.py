"""Time from a click or a typed cell to the finished picture, in Chromium.

Run with the tests' install and a Chromium: python -m tests.benchmarks.page_speed
"""

import argparse
import csv
import io
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from playwright.sync_api import Page, expect, sync_playwright

from stationflow.actions.showing.exporting import What, product_tables, table_csv, tables_xlsx
from stationflow.model import Author, Calendar, Demand, Product, Shift, Task
from stationflow.storage import open_store
from tests.benchmarks.made_lines import made_line
from tests.browser.conftest import OPTIONS, served
from tests.browser.hands import settled

SIZES = (12, 90, 300, 1000)
TIMES = 7
METHODS = ("Ranked positional weight", "COMSOAL")
OTHER_METHOD = "Largest candidate rule"


def made_product(size: int) -> Product:
    """Return a product of so many tasks, five or so to a station."""
    work = made_line(size, seed=size)
    tasks = tuple(
        Task(
            number=number,
            name=f"Fit part {number} in its place",
            time_ms=round(work.times[position] * 1000 / 60),
            predecessors=tuple(work.numbers[before] for before in work.predecessors[position]),
        )
        for position, number in enumerate(work.numbers)
    )
    return Product(
        code=f"SPEED-{size}",
        name="Made at random",
        tasks=tasks,
        calendar=Calendar(shifts=(Shift(name="day", start="07:00", end="15:00"),)),
        demand=Demand(quantity=1500),
    )


def timed(act: Callable[[], None], done: Callable[[], None]) -> float:
    """Return the seconds from an act to its finished picture."""
    start = time.perf_counter()
    act()
    done()
    return time.perf_counter() - start


def balance_times(page: Page, address: str, code: str, method: str) -> list[float]:
    """Time the click on the balance button until the chart of the new plan stands.

    Between two times another method's plan is shown, so that there is another chart to draw.
    """
    page.goto(f"{address}/balance?product={code}")
    settled(page)
    button = page.get_by_role("button", name="Balance the line", exact=True)
    taken = []
    for turn in range(2 * TIMES + 2):
        _choose(page, OTHER_METHOD if turn % 2 else method)
        before = page.evaluate(PLAN_SHOWN)
        seconds = timed(button.click, lambda was=before: _new_chart(page, was))
        if turn == 0:
            write(f"first start of {method}: {seconds:.2f} s")
        elif turn % 2 == 0:
            taken.append(seconds)
    return taken


def _choose(page: Page, method: str) -> None:
    """Choose a method of the textbooks."""
    if not page.get_by_label("Rule").first.is_visible():
        page.get_by_role("radio", name="Textbook rule").click()
        settled(page)
    page.get_by_label("Rule").first.click()
    page.get_by_role("option", name=method, exact=True).click()
    settled(page)


PLAN_SHOWN = """() => document.querySelector('input[aria-label=Plan]')?.value || ''"""


def _new_chart(page: Page, before: str) -> None:
    """Wait for the chart of another plan than before, at rest."""
    page.wait_for_function(
        f"""before => {{
        const app = document.querySelector('[data-testid=stApp]');
        const marks = document.querySelectorAll('[data-testid=stVegaLiteChart] .mark-rect path');
        const plan = ({PLAN_SHOWN})();
        return plan && plan !== before && marks.length > 0
            && app.dataset.testScriptState === 'notRunning'; }}""",
        arg=before,
    )


def edit_times(page: Page, address: str, code: str) -> list[float]:
    """Time a typed task time from Enter until the diagram shows it."""
    page.goto(f"{address}/tasks?product={code}")
    settled(page)
    page.wait_for_timeout(1500)
    taken = []
    for turn in range(TIMES):
        value = f"{20 + turn}.2"
        _open_cell(page)
        page.locator(".gdg-input").fill(value)
        # In the drawing itself: the table's own cell has the value at once.
        drawn = page.locator("g.node").first.filter(has_text=f"{value} s")
        taken.append(timed(lambda: page.keyboard.press("Enter"), lambda at=drawn: _shown(page, at)))
        settled(page)
    return taken


def _shown(page: Page, place: object) -> None:
    """Wait until a text stands in the page and the app is at rest."""
    expect(place).to_be_attached()  # type: ignore[arg-type]
    settled(page)


def _open_cell(page: Page) -> None:
    """Open the time of the first task."""
    canvas = page.get_by_test_id("data-grid-canvas").first
    for _ in range(6):
        canvas.click(position={"x": 60, "y": 53}, force=True)
        page.wait_for_timeout(150)
        for _ in range(2):
            page.keyboard.press("ArrowRight", delay=20)
        page.keyboard.press("Enter", delay=20)
        page.locator(".gdg-input").wait_for(state="visible")
        if page.locator(".gdg-input").input_value().replace(".", "").isdigit():
            return
        page.keyboard.press("Escape")


def page_times(page: Page, address: str, code: str, name: str) -> list[float]:
    """Time the change to a page and back, by the links at the top."""
    page.goto(f"{address}/products?product={code}" if name == "" else f"{address}/?product={code}")
    settled(page)
    taken = []
    for _ in range(TIMES):
        for target in ("Pace", name):
            link = page.get_by_test_id("stTopNavLink").filter(has_text=target)
            head = page.get_by_role("heading", name=target, level=1)
            seconds = timed(link.click, lambda at=head: _shown(page, at))
            if target == name:
                taken.append(seconds)
    return taken


def matrix_times(product: Product) -> None:
    """Write how long the precedence matrix takes as a file, and beside the library's own CSV."""
    table = product_tables(product, What.MATRIX)
    plain = timed(lambda: csv.writer(io.StringIO()).writerows(table.rows), lambda: None)
    for kind, make in (("CSV", table_csv), ("XLSX", lambda t: tables_xlsx([t]))):
        seconds = timed(lambda m=make: m(product_tables(product, What.MATRIX)), lambda: None)
        write(f"matrix as {kind}: {seconds:.2f} s, {seconds / plain:.1f} times plain CSV")


def said(name: str, taken: list[float]) -> None:
    """Write the median and the worst of some times."""
    write(f"{name}: median {statistics.median(taken):.2f} s, worst {max(taken):.2f} s")


def write(text: str) -> None:
    """Write a line at once."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def main() -> None:
    """Measure and print."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--sizes", type=int, nargs="*", default=SIZES)
    sizes = ask.parse_args().sizes
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        path = Path(folder) / "store.db"
        store = open_store(f"sqlite:///{path}")
        for size in sizes:
            store.add_product(made_product(size), {}, by=Author("bench", datetime.now(UTC)))
        store.close()
        chromium = driver.chromium.launch(executable_path=shutil.which("chromium"), args=OPTIONS)
        with served(path) as address:
            page = chromium.new_page(viewport={"width": 1600, "height": 1000})
            page.set_default_timeout(60_000)
            page.goto(address)
            settled(page)
            for size in sizes:
                code = f"SPEED-{size}"
                write(f"-- {size} tasks")
                matrix_times(made_product(size))
                for method in METHODS:
                    said(f"click to chart, {method}", balance_times(page, address, code, method))
                said("cell edit to diagram", edit_times(page, address, code))
                for name in ("Tasks", "Balance", "Compare", "Cards"):  # plans are of older data now
                    said(f"opening {name}", page_times(page, address, code, name))
        chromium.close()


if __name__ == "__main__":
    main()
