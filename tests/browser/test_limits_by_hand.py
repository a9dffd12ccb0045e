"""Every limit is entered by mouse and by keyboard, and arrives in the stored product."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, TimeoutError, expect
from small_products import LAMP, put_in

from stationflow.actions.opening.starting import open_store_at
from stationflow.balancing.limits.kinds import LIMITS
from stationflow.model import (
    Equipment,
    Line,
    Product,
    StationSetting,
    StationTime,
    TaskLimits,
    TimeLag,
)
from stationflow.model.schema.columns import Column
from stationflow.model.schema.tables import TABLE
from stationflow.storage import Store
from tests.browser.conftest import served
from tests.browser.grid_driving import HEAD, MARKER, ROW_HEIGHT
from tests.browser.hands import WAIT_MS, press_until, settled, wait_until

pytestmark = pytest.mark.browser

WAYS = ("mouse", "keyboard")
FIRST, SECOND, THIRD = (task.number for task in LAMP.tasks[:3])
# Label of each field of the form, and what is typed; an empty text ticks a box.
FORM = {
    "Only at station": "3",
    "Not before station": "2",
    "Not after station": "4",
    "Zone": "wet",
    "Needs equipment": "press",
    "Together: label of a group that shares a station": "pair",
    "Not at the same station as": SECOND,
    "Other operator than": THIRD,
    "Skill or certificate": "welder",
    "How the unit lies": "face down",
    "Working height (mm)": "950",
    "Width at the line (mm)": "600",
    "Lifted by hand (kg)": "12.5",
    "Static-protected area": "",
    "High-voltage guard": "",
    "Lifts in one unit": "2",
}
ENTERED = TaskLimits(
    station=3,
    earliest_station=2,
    latest_station=4,
    zone="wet",
    equipment=("press",),
    together="pair",
    apart=(SECOND,),
    independent_of=(THIRD,),
    skill="welder",
    attitude="face down",
    working_height_mm=950,
    space_mm=600,
    lift_kg=12.5,
    static_safe=True,
    guarded=True,
    lifts=2,
)
STATION = StationSetting(
    number=2,
    operators=2,
    copies=2,
    target_share=0.9,
    zone="wet",
    equipment=("press",),
    equipment_possible=("oven",),
    equipment_barred=("saw",),
    skills=("welder",),
    width_mm=1500,
    static_safe=True,
    guarded=True,
)
# What is typed into the cells of the first row, from the left, and the record that comes of it.
ROWS = {
    "Stations": (
        ("2", "2", "2", "0.9", "wet", "press", "oven", "saw", "welder", "1500", "yes", "yes"),
        STATION,
    ),
    "Equipment": (
        ("press", "2", None, None, "900", "yes"),
        Equipment(name="press", quantity=2, cost=900, shared=True),
    ),
    "Times between tasks": (
        (FIRST, SECOND, "5", "90", "1", "3"),
        TimeLag(
            before=FIRST,
            after=SECOND,
            shortest_ms=5000,
            longest_ms=90_000,
            least_stations=1,
            most_stations=3,
        ),
    ),
    "Times at stations": (("2", "12.5"), StationTime(station=2, time_ms=12_500)),
    "Lines": (
        (*(None,) * 8, "1.5", "1.2", "4", "150", "15", "6", "60"),
        Line(
            repositioning_ms=1500,
            pitch_m=1.2,
            turn_ms=4000,
            height_range_mm=150,
            lift_kg=15,
            lifts_per_min=6,
            lifted_kg_per_min=60,
        ),
    ),
}


GRIDS = {
    "Stations": "stations",
    "Equipment": "equipment",
    "Times between tasks": "lags",
    "Times at stations": "details",
    "Lines": "lines",
}
NAMES = {**GRIDS, "Times at stations": "station_times"}


def records(product: Product, title: str) -> tuple[object, ...]:
    """Return the rows of a table as they are stored."""
    line = product.lines[0]
    return {
        "Stations": line.stations,
        "Equipment": product.equipment,
        "Times between tasks": product.lags,
        "Times at stations": product.tasks[0].station_times,
        "Lines": (replace(line, stations=()),),
    }[title]


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Store]]:
    """Return the address of the app and its store, in which each way has a lamp of its own."""
    path: Path = tmp_path_factory.mktemp("limits") / "store.db"
    store = open_store_at(f"sqlite:///{path}")
    for way in WAYS:
        put_in(store, replace(LAMP, code=way))
    with served(path) as address:
        yield address, store


@pytest.fixture
def window(browser: Browser) -> Iterator[Page]:
    """Return a window in which whole tables are in sight."""
    context = browser.new_context(viewport={"width": 2400, "height": 1700})
    page = context.new_page()
    page.set_default_timeout(WAIT_MS)
    yield page
    context.close()


def reach(page: Page, label: str, way: str) -> None:
    """Go to a field of the form: by the mouse, or by Tab until it has the focus."""
    if way == "mouse":
        box = page.get_by_text(label, exact=True)
        field = page.get_by_label(label, exact=True)
        (box if FORM[label] == "" else field).click()
        return
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.ariaLabel") == label:
            return
    raise AssertionError(f"Tab does not reach {label}")


@pytest.mark.parametrize("way", WAYS)
def test_every_limit_of_a_task_is_entered_in_its_form_and_stored(window: Page, app, way: str):
    address, store = app
    window.goto(f"{address}/tasks?product={way}")
    settled(window)
    window.get_by_role("tab", name="Limits").click()
    window.get_by_label("Only at station").wait_for()
    settled(window)
    above = window.get_by_text("Where and how the task may be done")
    window.get_by_role("tab", name="Limits").focus()
    for label, typed in FORM.items():
        before = store.draft(way).checksum
        reach(window, label, way)
        window.keyboard.type(typed, delay=TYPED)
        window.wait_for_timeout(HAND)
        if is_list(window):
            window.get_by_role("option").first.wait_for()
            if way == "mouse":
                window.get_by_role("option").first.click()
            else:
                window.keyboard.press("Enter")
        elif typed and way == "mouse":
            above.click()
        elif way == "keyboard":
            window.keyboard.press("Enter" if typed else "Space")
        wait_until(window, partial(_is_newer, store, way, before))
        settled(window)
        if way == "keyboard":  # it keeps the focus
            window.wait_for_function(f"document.activeElement.ariaLabel === {label!r}")
    assert store.draft(way).product.tasks[0].limits == ENTERED


def _is_newer(store: Store, code: str, checksum: str) -> bool:
    return store.draft(code).checksum != checksum


def test_the_form_tried_here_has_every_limit_a_machine_keeps():
    tried = {c.field for c in TABLE["limits"].columns if c.form and _label(c) in FORM}
    assert {name for kind in LIMITS for name in kind.task_fields} <= tried


def _label(column: Column) -> str:
    unit = f" ({column.unit})" if column.unit else ""
    return f"{column.form.label}{unit}" if column.form else ""


def is_list(page: Page) -> bool:
    """Return whether the field that has the focus is chosen from a list."""
    return bool(page.evaluate("document.activeElement.role === 'combobox'"))


def canvas_of(page: Page, table: str) -> Locator:
    return page.locator(f'[class*="st-key-grid-{GRIDS[table]}"]').get_by_test_id("data-grid-canvas")


def cells_of(canvas: Locator) -> Locator:
    """Return what a screen reader is told of a table's cells, and where they are found."""
    return canvas.locator("xpath=ancestor::*[@data-testid='stDataFrame'][1]")


def open_table(page: Page, address: str, way: str, table: str) -> Locator:
    """Show a table; return its canvas."""
    page.goto(f"{address}/{'pace' if table == 'Lines' else 'tasks'}?product={way}")
    settled(page)
    if table != "Lines":
        page.get_by_role("tab", name=table, exact=True).click()
    canvas = canvas_of(page, table).first
    canvas.wait_for()
    settled(page)
    page.wait_for_timeout(500)
    canvas.scroll_into_view_if_needed()
    return canvas


HAND = 250  # ms from one key or press to another
TYPED = 40  # ms from one letter to the next
TOLD = 400  # ms in which a table tells what was typed
IS_OPEN = "!!document.activeElement?.matches('#portal input, #portal textarea')"


def opened(page: Page, press: Callable[[], None]) -> None:
    """Press until a cell can be typed into: the first press in an empty row only makes the row."""
    for _ in range(4):
        press()
        try:
            page.wait_for_function(IS_OPEN, timeout=2000)
        except TimeoutError:
            settled(page)
            continue
        return
    raise AssertionError("no cell opens")


def type_by_keys(page: Page, canvas: Locator, cells: tuple[str | None, ...]) -> None:
    """Fill the first row from its first cell, by keys alone."""

    def moved(key: str, column: int) -> None:
        """Press an arrow until a cell of the first row is the chosen one."""
        chosen = f'[data-testid="glide-cell-{column}-0"][aria-selected=true]'
        spot = cells_of(canvas).locator(chosen)
        press_until(spot, partial(page.keyboard.press, key), state="attached")

    canvas.focus()
    for column, typed in enumerate(cells, start=1):
        if typed is not None:
            opened(page, partial(page.keyboard.press, "Enter"))
            page.keyboard.press("Control+a")
            page.keyboard.type(typed, delay=TYPED)
            page.wait_for_timeout(HAND)
            page.keyboard.press("Enter")
            page.wait_for_function(f"!({IS_OPEN})")
            page.wait_for_timeout(TOLD)
            settled(page)
            moved("ArrowUp", column)
        if column < len(cells):
            moved("ArrowRight", column + 1)


def type_by_mouse(
    page: Page, canvas: Locator, cells: tuple[str | None, ...], widths: list[int]
) -> None:
    """Fill the first row: a double click opens each cell, and a click elsewhere closes it."""
    room = canvas.bounding_box()["width"] - MARKER - sum(widths)
    x, more = MARKER, max(0, room / len(widths))  # what is left over is shared out to the columns
    for typed, width in zip(cells, (width + more for width in widths), strict=False):
        if typed is not None:
            at = {"x": x + width / 2, "y": HEAD + ROW_HEIGHT / 2}
            opened(page, partial(canvas.dblclick, position=at, force=True))
            page.keyboard.press("Control+a")
            page.keyboard.type(typed, delay=TYPED)
            page.wait_for_timeout(HAND)
            if page.locator("#portal [role=combobox]").count():
                page.get_by_role("option", name=typed, exact=True).click()
            else:
                canvas.click(position={"x": MARKER / 2, "y": HEAD / 2}, force=True)
            page.wait_for_function(f"!({IS_OPEN})")
            settled(page)
        x += width


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("table", ROWS)
def test_every_limit_in_a_table_is_entered_and_stored(window: Page, app, way: str, table: str):
    address, store = app
    canvas = open_table(window, address, way, table)
    cells, record = ROWS[table]
    if way == "keyboard":
        type_by_keys(window, canvas, cells)
    else:
        shown = [c.grid for c in TABLE[NAMES[table]].columns if c.grid and not c.grid.part]
        type_by_mouse(window, canvas, cells, [each.width for each in shown])
    wait_until(window, lambda: records(store.draft(way).product, table) == (record,))
    assert records(store.draft(way).product, table) == (record,)


def test_a_choice_drawn_anew_under_a_finger_is_taken(window: Page, app):
    """The table draws an open list anew when the mouse that left a row is told to it late."""
    address, store = app
    put_in(store, replace(LAMP, code="hovered"))
    canvas = open_table(window, address, "hovered", "Times between tasks")
    first_cell = {"x": MARKER + 60, "y": HEAD + ROW_HEIGHT / 2}
    opened(window, partial(canvas.dblclick, position=first_cell, force=True))
    choice = window.get_by_role("option", name=SECOND, exact=True)
    choice.hover()
    window.wait_for_timeout(HAND)
    pressed = choice.element_handle()
    window.mouse.down()
    at = canvas.bounding_box()
    where = {"clientX": at["x"] + first_cell["x"], "clientY": at["y"] + first_cell["y"]}
    canvas.dispatch_event("pointermove", where)
    window.wait_for_function("choice => !choice.isConnected", arg=pressed)
    window.mouse.up()
    window.wait_for_function(f"!({IS_OPEN})")
    expect(cells_of(canvas).get_by_test_id("glide-cell-1-0")).to_have_text(SECOND)
