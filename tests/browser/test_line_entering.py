"""What is entered about the whole line by hand, on the Line page with plans in force."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from stationflow.actions.plans.plan_keeping import balance_and_keep
from stationflow.model import Author, BalanceSettings, Fault, Machine, MachineKind
from stationflow.storage import Store, open_store
from tests.browser.conftest import served
from tests.browser.grid_driving import choose_cell, grid_ready, type_here
from tests.browser.hands import WAIT_MS, press_until, settled, wait_until
from tests.small_products import LAMP

pytestmark = pytest.mark.browser

PRODUCT = replace(
    LAMP,
    machines=(Machine(name="Press", kind=MachineKind.PRESS, task="20", piece_ms=1000),),
    faults=(Fault(code="F1", gate="50"),),
)
CODE = PRODUCT.code
PIECES_COLUMN, TEXT_COLUMN = 5, 2
RULE = BalanceSettings(method="ranked-positional-weight")


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """Return a store in which the table lamp has a plan in force, and serve it."""
    path = tmp_path_factory.mktemp("entering") / "store.db"
    opened = open_store(f"sqlite:///{path}")
    by = Author("ana", datetime.now(UTC))
    balance_and_keep(opened, opened.add_product(PRODUCT, {}, by=by), "main", RULE, by=by)
    with served(Path(path)) as address:
        opened.served_at = address  # type: ignore[attr-defined]
        yield opened
    opened.close()


@pytest.fixture
def entering(browser: Browser, store: Store) -> Iterator[Page]:
    """Open the tab Enter in a window of 1280 pixels."""
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    context.set_default_timeout(WAIT_MS)
    page = context.new_page()
    page.goto(f"{store.served_at}/line?product={CODE}")  # type: ignore[attr-defined]
    expect(page.get_by_text("By formula")).to_be_visible()
    settled(page)
    page.get_by_role("tab", name="Enter", exact=True).click()
    expect(page.get_by_text("How units move")).to_be_visible()
    settled(page)
    yield page
    context.close()


def open_table(page: Page, tab: str, heading: str) -> None:
    """Open a tab of what is entered, and wait for its table."""
    press_until(
        page.get_by_text(heading).first, page.get_by_role("tab", name=tab, exact=True).click
    )
    grid_ready(page)


def test_what_one_types_oneself_is_never_told_as_the_change_of_another(
    entering: Page, store: Store
):
    def pieces() -> float:
        return store.draft(CODE).product.machines[0].pieces

    open_table(entering, "Machines", "Inserters and presses")
    choose_cell(entering, PIECES_COLUMN)
    type_here(entering, "12")
    wait_until(entering, lambda: pieces() == 12)
    open_table(entering, "Faults", "A code for each place")
    choose_cell(entering, TEXT_COLUMN)
    type_here(entering, "Dark")
    wait_until(entering, lambda: store.draft(CODE).product.faults[0].text == "Dark")
    open_table(entering, "Machines", "Inserters and presses")
    choose_cell(entering, PIECES_COLUMN)
    type_here(entering, "14")
    wait_until(entering, lambda: pieces() == 14)
    assert (pieces(), store.draft(CODE).product.faults[0].text) == (14, "Dark")
    entering.wait_for_timeout(6000)  # longer than the page takes to look for the saves of others
    for words in ("had changed", "saved version", "conflict"):
        expect(entering.get_by_text(words)).to_have_count(0)


def test_one_field_of_the_packing_after_the_other_is_stored(entering: Page, store: Store):
    press_until(
        entering.get_by_text("Gross mass (kg)").first,
        entering.get_by_role("tab", name="Packing", exact=True).click,
    )
    settled(entering)
    for label, text in (("Gross mass", "4,2"), ("Length", "400"), ("Height", "250")):
        field = entering.locator(f'input[aria-label^="{label} ("]').first
        field.fill(text)
        field.press("Enter")
        settled(entering)

    def packed() -> tuple[float | None, ...]:
        made = store.draft(CODE).product.packing
        return made.gross_kg, made.length_mm, made.height_mm

    wait_until(entering, lambda: packed() == (4.2, 400, 250))
    assert packed() == (4.2, 400, 250)
