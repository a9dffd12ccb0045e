"""Run commands through the last door of the command line, in this process."""

import json
import signal
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from small_products import BOARD_LAMP, BROKEN, LAMP, TOO_LONG, write_folder

from stationflow.cli import main


@dataclass(frozen=True)
class Ran:
    """What a command left behind."""

    code: int
    out: str
    err: str

    @property
    def document(self) -> dict[str, Any]:
        """The one JSON document on standard output; anything else there fails."""
        document: dict[str, Any] = json.loads(self.out)
        return document


Run = Callable[..., Ran]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Any:
    """Return a function that runs one command and says what came out.

    The store is a new file, so that a test that touches it cannot see another's.
    """
    monkeypatch.setenv("STATIONFLOW_DATABASE", f"sqlite:///{tmp_path}/store.db")
    handlers = {s: signal.getsignal(s) for s in (signal.SIGINT, signal.SIGTERM)}

    def run_command(*arguments: object) -> Ran:
        monkeypatch.setattr(sys, "argv", ["stationflow", *map(str, arguments)])
        capsys.readouterr()
        with pytest.raises(SystemExit) as ended:
            main()
        said = capsys.readouterr()
        return Ran(int(ended.value.code or 0), said.out, said.err)

    yield run_command
    for request, handler in handlers.items():
        signal.signal(request, handler)


@pytest.fixture
def lamp(tmp_path: Path) -> Path:
    """Return the folder of the lamp."""
    return write_folder(tmp_path, LAMP)


@pytest.fixture
def board_lamp(tmp_path: Path) -> Path:
    """Return the folder of the lamp with a board feeder."""
    return write_folder(tmp_path, BOARD_LAMP)


@pytest.fixture
def broken(tmp_path: Path) -> Path:
    """Return the folder of a draft with every kind of mistake."""
    return write_folder(tmp_path, BROKEN)


@pytest.fixture
def too_long(tmp_path: Path) -> Path:
    """Return the folder of a lamp with a task longer than the takt."""
    return write_folder(tmp_path, TOO_LONG)
