"""The app is killed at random moments of an engineer's typing; what the page showed is kept."""

import random
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from subprocess import Popen

import pytest
from playwright.sync_api import Browser, Error, Page, expect

from stationflow.model import Author, Product, Task
from stationflow.storage import open_store
from tests.browser.conftest import started
from tests.browser.hands import settled, type_into

pytestmark = [pytest.mark.browser, pytest.mark.campaign, pytest.mark.timeout(900)]

CODE = "K-1"
SAVES = 100
SEED = 20_261_125
TIME_COLUMN, ROWS = 3, 8
WAIT_MS = 6_000


@dataclass(frozen=True, slots=True)
class Shown:
    """The times that a page showed as kept, by task in the order of typing, and the kills."""

    times: tuple[tuple[str, int], ...]
    kills: int


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the file of a store with a product of some tasks."""
    made = tmp_path_factory.mktemp("killed") / "store.db"
    store = open_store(f"sqlite:///{made}")
    tasks = tuple(
        Task(number=str(10 * n), name=f"Fit {n}", time_ms=1000) for n in range(1, ROWS + 1)
    )
    store.add_product(Product(code=CODE, tasks=tasks), {}, by=Author("ana", datetime.now(UTC)))
    store.close()
    return made


@contextmanager
def doomed(server: "Popen[bytes]", seconds: float) -> Iterator[None]:
    """Kill a server so many seconds from now, wherever it is in its work."""
    clock = threading.Timer(seconds, server.kill)
    clock.start()
    try:
        yield
    finally:
        clock.cancel()
        server.kill()
        server.wait()


def typed_until_killed(page: Page, draw: random.Random, turn: int) -> list[tuple[str, int]]:
    """Type times into cells until the app is gone; return those the page showed as kept."""
    shown = []
    while True:
        turn += 1
        row = draw.randrange(ROWS)
        try:
            type_into(page, TIME_COLUMN, row, str(turn))
            # The picture is drawn from the store after the save.
            expect(page.get_by_text(f"{turn}.0 s").first).to_be_attached(timeout=WAIT_MS)
        except (Error, AssertionError):
            return shown
        shown.append((str(10 * (row + 1)), 1000 * turn))


@pytest.fixture(scope="module")
def shown(browser: Browser, path: Path) -> Shown:
    """Kill the app again and again until it has shown `SAVES` edits as kept."""
    draw = random.Random(SEED)
    times: list[tuple[str, int]] = []
    kills = 0
    while len(times) < SAVES:
        server, address = started(path)
        context = browser.new_context(viewport={"width": 1600, "height": 1000})
        page = context.new_page()
        page.set_default_timeout(WAIT_MS)
        page.goto(f"{address}/tasks?product={CODE}", timeout=60_000)
        page.locator(f'[data-testid="glide-cell-{TIME_COLUMN}-0"]').first.wait_for(
            state="attached", timeout=60_000
        )
        settled(page, seconds=60)
        with doomed(server, draw.uniform(8, 20)):
            times += typed_until_killed(page, draw, 1000 * kills + 1000)
        context.close()
        kills += 1
    return Shown(tuple(times), kills)


def test_the_app_was_killed_several_times(shown: Shown):
    assert shown.kills >= 5


def test_every_edit_that_was_shown_is_in_the_store(shown: Shown, path: Path):
    store = open_store(f"sqlite:///{path}")
    draft = store.draft(CODE)
    kept = set()
    while True:
        kept |= {(task.number, task.time_ms) for task in draft.product.tasks}
        if not draft.undo_to:
            break
        draft = store.undo(CODE, by=Author("ana", datetime.now(UTC)))
    store.close()
    assert set(shown.times) - kept == set()


def test_the_file_of_the_store_is_whole(shown: Shown, path: Path):
    with sqlite3.connect(path) as file:
        assert file.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
