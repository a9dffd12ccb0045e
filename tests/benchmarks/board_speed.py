"""Time from letting a tile go to the new result of the station board, in Chromium.

Run with the tests' install and a Chromium: python -m tests.benchmarks.board_speed
"""

import argparse
import shutil
import statistics
import sys
import tempfile
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from stationflow.actions.plans.plan_keeping import balance_and_keep
from stationflow.model import Author, BalanceSettings, Product, TaskLimits
from stationflow.storage import open_store
from tests.benchmarks.page_speed import made_product
from tests.browser.conftest import OPTIONS, served
from tests.browser.hands import settled

SIZES = (12, 90, 300)
TIMES = 15
RULE = BalanceSettings(method="ranked-positional-weight")

# A tile is taken up by mouse, brought over the station before or after its own and let go. Measured
# in the window itself: until the tile is drawn there, and until Python's result is.
WATCH = """() => {
    const board = document.querySelector('.board') || [...document.querySelectorAll('*')]
        .map((e) => e.shadowRoot?.querySelector('.board')).find(Boolean);
    window.board = board;
    window.times = null;
    board.addEventListener('pointerup', () => {
        const begun = performance.now(), taken = board.dataset.taken;
        const tasks = (c) => [...c.querySelectorAll('.tile')].map((t) => t.dataset.task).join();
        const where = () => [...board.querySelectorAll('.column')].map(tasks).join('|');
        const before = where();
        const times = (window.times = { tile: null, result: null });
        const look = () => {
            if (times.tile === null && where() !== before) times.tile = performance.now() - begun;
            if (board.dataset.taken !== taken) times.result = performance.now() - begun;
            else requestAnimationFrame(look);
        };
        Promise.resolve().then(look);
    }, true);
}"""
OPEN = """() => {
    const { board } = window, own = board.own;
    for (const tile of board.querySelectorAll('.tile')) {
        const at = own.board.where[tile.dataset.task];
        if (!at) continue;
        for (const to of [at.station + 1, at.station - 1]) {
            const column = board.querySelector(`.column[data-station="${to}"]`);
            if (column && !window.tried?.has(tile.dataset.task)) {
                (window.tried ??= new Set()).add(tile.dataset.task);
                tile.scrollIntoView({ block: 'nearest', inline: 'center' });
                const box = (e) => { const b = e.getBoundingClientRect();
                    return [b.left + b.width / 2, b.top + b.height / 2]; };
                return [box(tile), box(column.querySelector('.plot'))];
            }
        }
    }
    return null;
}"""


def limited(product: Product) -> Product:
    """Return a product with limits on a third of its tasks."""
    tasks = tuple(
        replace(task, limits=TaskLimits(latest_station=len(product.tasks), apart=(before.number,)))
        if at % 3 == 0 and at > 30
        else task
        for at, (task, before) in enumerate(
            zip(product.tasks, product.tasks[-30:] + product.tasks, strict=False)
        )
    )
    return replace(product, code=f"{product.code}-L", tasks=tasks)


def drops(page: Page) -> tuple[list[float], list[float]]:
    """Return the ms of tile and result for tiles let go at a neighbouring station."""
    page.evaluate(WATCH)
    tiles: list[float] = []
    results: list[float] = []
    while len(results) < TIMES:
        found = page.evaluate(OPEN)
        if found is None:
            break
        (x, y), (to_x, to_y) = found
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(to_x, to_y, steps=5)
        if page.evaluate(
            "() => !window.board.own.carry?.to || Boolean(window.board.own.carry.to.no)"
        ):
            page.keyboard.press("Escape")
            page.mouse.up()
            continue
        page.mouse.up()
        page.wait_for_function("() => window.times && window.times.result !== null")
        times = page.evaluate("() => window.times")
        tiles.append(times["tile"])
        results.append(times["result"])
        page.wait_for_timeout(200)
    return tiles, results


def main() -> None:
    """Measure and print."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--sizes", type=int, nargs="*", default=SIZES)
    sizes = ask.parse_args().sizes
    products = [p for size in sizes for p in (made_product(size), limited(made_product(size)))]
    by = Author("bench", datetime.now(UTC))
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        path = Path(folder) / "store.db"
        store = open_store(f"sqlite:///{path}")
        for product in products:
            balance_and_keep(store, store.add_product(product, {}, by=by), "main", RULE, by=by)
        chromium = driver.chromium.launch(executable_path=shutil.which("chromium"), args=OPTIONS)
        with served(path) as address:
            for product in products:
                page = chromium.new_page(viewport={"width": 1280, "height": 800})
                page.set_default_timeout(60_000)
                page.goto(f"{address}/balance?product={product.code}")
                settled(page)
                page.get_by_role("tab", name="Board").click()
                page.locator(".board .tile").first.wait_for()
                settled(page)
                tiles, results = drops(page)
                sys.stdout.write(
                    f"{product.code}: {len(results)} drops, tile median "
                    f"{statistics.median(tiles):.0f} ms, worst {max(tiles):.0f} ms; result median "
                    f"{statistics.median(results):.0f} ms, worst {max(results):.0f} ms\n"
                )
                sys.stdout.flush()
                page.close()
        chromium.close()


if __name__ == "__main__":
    main()
