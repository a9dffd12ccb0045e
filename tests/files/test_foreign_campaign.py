"""Two thousand broken sheets are read, or refused in a sentence; nothing else ever happens."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

pytestmark = [pytest.mark.campaign, pytest.mark.timeout(1800)]

FILES = 2000
MOST_MB = 1500
"""Bound of the memory of the process that reads them all, the store and its libraries
included: a part may unpack to 150 MB and 100,000 rows are kept."""
ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """Return what came of the files, read one after the other by one process."""
    address = f"sqlite:///{tmp_path_factory.mktemp('mutated')}/store.db"
    done = subprocess.run(
        [sys.executable, str(Path(__file__).with_name("mutated_sheets.py")), str(FILES), address],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=True,
    )
    heard: dict[str, Any] = json.loads(done.stdout)
    return heard


def test_no_file_ends_in_a_trace(said):
    assert said["traces"] == []


def test_files_are_both_read_and_refused(said):
    assert min(said["endings"]["read"], said["endings"]["refused"]) > FILES / 10


def test_whatever_is_told_is_a_sentence(said):
    told = [message for message, _ in said["sentences"]]
    assert [text for text in told if not (len(text) > 8 and text.rstrip()[-1] in ".?:")] == []


def test_memory_is_bounded(said):
    assert said["peak_mb"] < MOST_MB


def test_the_store_is_untouched(said):
    assert said["untouched"]
