"""No character of a name can steer the terminal that a command prints to."""

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from small_products import LAMP, write_folder

# Clears the screen, by seven and by eight bits; sets the title of the window; overwrites the line.
HOSTILE = "x\x1b[2J\x9b2J\x1b]0;title\x07\r0 errors\x7f\x00\ny"
SEEN = r"x\u001b[2J\u009b2J\u001b]0;title\u0007\u000d0 errors\u007f\u0000\u000ay"
STEERING = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f]")


@pytest.fixture
def untimed(tmp_path: Path) -> Path:
    """Return the folder of a lamp whose first task has such a number and no time."""
    first, *others = LAMP.tasks
    tasks = (replace(first, number=HOSTILE, time_ms=None), *others)
    return write_folder(tmp_path, replace(LAMP, tasks=tasks))


@pytest.fixture
def lamp_of_hostile_names(tmp_path: Path) -> Path:
    """Return the folder of a lamp that can be balanced, with such names and one such number."""
    *others, last = LAMP.tasks
    tasks = (*others, replace(last, number=HOSTILE, name=HOSTILE))
    return write_folder(tmp_path, replace(LAMP, name=HOSTILE, tasks=tasks))


COMMANDS = {
    "check": (),
    "balance": ("--method", "largest-candidate"),
    "compare": ("--method", "largest-candidate", "--method", "most-followers"),
    "explain": (),
    "curve": ("--seconds", "1"),
}


@pytest.mark.parametrize("json", [(), ("--json",)], ids=["text", "json"])
@pytest.mark.parametrize("command", COMMANDS)
def test_what_is_printed_steers_no_terminal(
    command: str, json: tuple[str, ...], run: Any, lamp_of_hostile_names: Path
):
    ran = run(command, lamp_of_hostile_names, *COMMANDS[command], *json)
    assert not STEERING.search(ran.out + ran.err)


def test_a_name_with_control_characters_is_seen_in_full_on_its_line(run: Any, untimed: Path):
    lines = run("check", untimed).out.splitlines()
    assert [line for line in lines if line.startswith(f"error: Task {SEEN}: ")]


def test_a_json_document_says_the_name_to_the_letter(run: Any, untimed: Path):
    found = run("check", untimed, "--json").document["findings"]
    assert f"Task {HOSTILE}" in {finding["where"] for finding in found}


def test_a_refusal_steers_no_terminal(run: Any):
    ran = run("check", "x\x1b[2J\x9b2J")
    assert (ran.code, STEERING.search(ran.err)) == (2, None)
    assert r"x\u001b[2J\u009b2J: it is no file or folder" in ran.err


def test_all_that_is_printed_goes_by_one_way():
    folder = Path(__file__).parents[2] / "stationflow" / "cli"
    others = [path for path in folder.glob("*.py") if path.name not in ("terminal.py", "job.py")]
    assert [path.name for path in others if re.search(r"echo\(|print\(", path.read_text())] == []
