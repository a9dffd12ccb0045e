"""The app as a server of its own, and Chromium in front of it."""

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

from tests.browser.hands import WAIT_MS

ROOT = Path(__file__).parents[2]
expect.set_options(timeout=WAIT_MS)
# A sandbox and a graphics card are not to be had in a container; the rest keeps Chromium itself
# from calling anybody.
OPTIONS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip


def free_port() -> int:
    """Return a port nobody listens on."""
    with socket.socket() as made:
        made.bind(("127.0.0.1", 0))
        port: int = made.getsockname()[1]
        return port


@contextmanager
def served(store: Path) -> Iterator[str]:
    """Serve the app on a store until the end; yield its address."""
    server, address = started(store)
    try:
        yield address
    finally:
        server.terminate()
        try:
            server.wait(10)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()


def started(store: Path) -> "tuple[subprocess.Popen[bytes], str]":
    """Start a server and wait until it answers; try again where its port was taken meanwhile."""
    for _ in range(3):
        port = free_port()
        server = subprocess.Popen(
            [sys.executable, "-m", "streamlit", "run", "app.py"],
            cwd=ROOT,
            env={
                **os.environ,
                "STATIONFLOW_DATABASE": f"sqlite:///{store}",
                "STREAMLIT_SERVER_PORT": str(port),
                "STREAMLIT_SERVER_HEADLESS": "true",
            },
            stdout=subprocess.DEVNULL,  # what goes wrong stands in the report of the test
        )
        address = f"http://127.0.0.1:{port}"
        if _answers(address, server):
            return server, address
        server.kill()
        server.wait()
    raise TimeoutError("the app did not start in three tries")


def _answers(address: str, server: "subprocess.Popen[bytes]") -> bool:
    """Wait until the server answers; return False when it ended or stayed silent for 60 s."""
    until = time.monotonic() + 60
    while server.poll() is None and time.monotonic() < until:
        try:
            with urllib.request.urlopen(f"{address}/_stcore/health", timeout=1) as answer:
                if answer.read() == b"ok":
                    return True
        except (urllib.error.URLError, TimeoutError, ConnectionError):
            pass
        time.sleep(0.1)
    return False


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Return Chromium as the system has it."""
    with sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=shutil.which("chromium"), args=OPTIONS)
        yield started
        started.close()


@pytest.fixture(scope="session")
def app_address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Return the address of the app on a new store."""
    with served(tmp_path_factory.mktemp("browser") / "store.db") as address:
        yield address


@pytest.fixture
def page(browser: Browser, app_address: str) -> Iterator[Page]:
    """Return a new window."""
    context = browser.new_context(viewport={"width": 1600, "height": 1000})
    context.set_default_timeout(WAIT_MS)
    yield context.new_page()
    context.close()
