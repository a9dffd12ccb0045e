"""How a script types into an editable table: by keyboard, as fast as the browser takes it."""

from playwright.sync_api import Page

from tests.browser.hands import settled

ROW_HEIGHT = 32
HEAD = 35
MARKER = 34  # width of the column that marks rows


def grid_ready(page: Page) -> None:
    """Wait until the first table can be typed into."""
    settled(page)
    page.locator('[data-testid="glide-cell-1-0"]').first.wait_for(state="attached")
    page.wait_for_timeout(500)


def choose_cell(page: Page, column: int, row: int = 0) -> None:
    """Choose a cell of the first table by the mouse and the arrow keys."""
    canvas = page.get_by_test_id("data-grid-canvas").first
    canvas.click(position={"x": 60, "y": HEAD + ROW_HEIGHT // 2}, force=True)
    page.wait_for_timeout(200)
    for _ in range(column - 1):
        page.keyboard.press("ArrowRight")
    for _ in range(row):
        page.keyboard.press("ArrowDown")


def type_here(page: Page, text: str) -> None:
    """Type into the chosen cell; Enter leaves the cell below chosen."""
    page.keyboard.press("Enter")
    editor = page.locator(".gdg-input")
    editor.wait_for(state="visible")
    editor.fill(text)
    page.keyboard.press("Enter")
    editor.wait_for(state="detached")
