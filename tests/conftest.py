"""What all tests share: what is left out, and the guard of the user's own store."""

import os
import shutil
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from stationflow.balancing.exact import one_at_a_time
from stationflow.cards.fonts import missing_characters

# No drawn example has to be quick: on a busy machine none is.
settings.register_profile("unhurried", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("unhurried")

ROOT = Path(__file__).parents[1]
INSTANCES = os.environ.get("STATIONFLOW_INSTANCES", "")
REQUIRE_ALL = os.environ.get("STATIONFLOW_REQUIRE", "") == "all"

# What a marked test needs beyond the README's install: whether it is there, and how to say
# that it is not.
NEEDS = {
    "instances": (
        bool(INSTANCES) and Path(INSTANCES).is_dir(),
        "published instance sets (set STATIONFLOW_INSTANCES to their folder)",
    ),
    "browser": (shutil.which("chromium") is not None, "browser tests (install chromium)"),
    "office": (
        shutil.which("soffice") is not None,
        "tests with a common spreadsheet program (install libreoffice-calc)",
    ),
    "fonts": (
        not missing_characters(["ع≤"]),
        "tests of letters and signs beyond our own font (install fonts-noto-core)",
    ),
    "campaign": (REQUIRE_ALL, "campaigns (set STATIONFLOW_REQUIRE=all)"),
}


def pytest_configure(config: pytest.Config) -> None:
    """With STATIONFLOW_REQUIRE=all, start only where everything is there."""
    missing = [said for is_met, said in NEEDS.values() if not is_met]
    if REQUIRE_ALL and missing:
        pytest.exit(f"STATIONFLOW_REQUIRE=all, but missing: {'; '.join(missing)}", returncode=1)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Deselect tests whose needs are not met."""
    left_out: dict[str, list[pytest.Item]] = {}
    for item in items:
        for need, (is_met, _) in NEEDS.items():
            if not is_met and item.get_closest_marker(need):
                left_out.setdefault(need, []).append(item)
                break
    if not left_out:
        return
    said = "; ".join(f"{len(left_out[n])} {NEEDS[n][1]}" for n in left_out)
    gone = [item for group in left_out.values() for item in group]
    config.hook.pytest_deselected(items=gone)
    items[:] = [item for item in items if item not in gone]
    config.stash[LEFT_OUT] = said
    # Every worker collects all tests; what it left out is told to the process that reports.
    getattr(config, "workeroutput", {})["left_out"] = said


LEFT_OUT = pytest.StashKey[str]()


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node) -> None:
    """Take over what a worker left out."""
    if said := getattr(node, "workeroutput", {}).get("left_out"):
        node.config.stash[LEFT_OUT] = said


def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    """Say in one line what was left out and why."""
    if said := config.stash.get(LEFT_OUT, ""):
        terminalreporter.write_line(f"left out: {said}")


@pytest.fixture(scope="session", autouse=True)
def _own_store_only(tmp_path_factory: pytest.TempPathFactory):
    """Keep every test, and every child process, away from the user's own store."""
    address = f"sqlite:///{tmp_path_factory.mktemp('store')}/guard.db"
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("STATIONFLOW_DATABASE", address)
        yield


@pytest.fixture
def own_lock(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Wait for nobody who compiles beside this test."""
    monkeypatch.setattr(one_at_a_time, "_lock_file", lambda what: tmp_path / f"{what}.lock")


@pytest.fixture(scope="session")
def instances() -> Path:
    """Return the folder of the published instance sets."""
    return Path(INSTANCES)
