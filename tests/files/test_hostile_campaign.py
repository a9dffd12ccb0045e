"""Files made to hurt are opened or refused within the limits; nothing outside them changes."""

import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = [pytest.mark.campaign, pytest.mark.timeout(3600)]

ROOT = Path(__file__).parents[2]
RUN = ("-m", "tests.benchmarks.hostile", "--mutated", "120", "--seconds", "30")
"""Three times the processor time that is promised: on a busy machine everything takes longer."""


def test_no_file_goes_beyond_the_limits_or_ends_in_a_trace():
    done = subprocess.run([sys.executable, *RUN], cwd=ROOT, capture_output=True, text=True)
    assert (done.returncode, done.stdout.partition("wrong: ")[2].splitlines()[0]) == (0, "0")
