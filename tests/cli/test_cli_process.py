"""The command line as a process of its own, and its last door."""

import json
import os
import re
import signal
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from small_products import write_folder

from stationflow.actions import trouble
from stationflow.balancing.methods.exact import prepare_exact
from stationflow.cli import reports
from stationflow.model import Product, Task

ROOT = Path(__file__).parents[2]
COMMANDS = ("balance", "check", "compare", "diagram", "cards")
HEAVY = {
    "altair", "graphviz", "networkx", "numba", "numpy", "openpyxl", "ortools", "pandas", "PIL",
    "pydantic", "sqlalchemy", "streamlit", "typst", "xlsxwriter",
}  # fmt: skip


def stationflow(*arguments: object, **more) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "stationflow", *map(str, arguments)]
    return subprocess.run(
        command, capture_output=True, text=True, cwd=ROOT, timeout=120, check=False, **more
    )


@pytest.fixture(scope="module")
def help_text() -> str:
    return stationflow("--help").stdout


@pytest.mark.parametrize("command", COMMANDS)
def test_help_lists(help_text, command):
    assert re.search(rf"^\W*{command}\b", help_text, re.MULTILINE)


def test_help_loads_nothing_heavy():
    code = (
        "import atexit, runpy, sys; atexit.register(lambda: print(*sys.modules, file=sys.stderr));"
        "sys.argv = ['stationflow', '--help'];"
        "runpy.run_module('stationflow', run_name='__main__')"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True
    )
    assert not {name.split(".")[0] for name in done.stderr.split()} & HEAVY


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_its_help(run, command):
    assert run(command, "--help").code == 0


def test_without_a_command_the_help_is_shown(run):
    assert "balance" in "".join((run().out, run().err))


def test_a_real_balance_prints_one_document_and_nothing_else(lamp):
    prepare_exact(lambda: None)  # that it is compiled once on a machine would be said
    done = stationflow("balance", lamp, "--json")
    assert (done.returncode, json.loads(done.stdout)["station_count"], done.stderr) == (0, 3, "")


def test_a_real_balance_that_is_impossible_ends_with_one(lamp):
    assert stationflow("balance", lamp, "--limit", 60, "--stations", 2).returncode == 1


def test_a_real_unknown_option_ends_with_two(lamp):
    assert stationflow("balance", lamp, "--colour", "red").returncode == 2


def test_words_of_other_languages_are_printed_whatever_the_locale(lamp):
    (lamp / "tasks.csv").write_text(
        "number,name,line,time_s\n10,Föhn prüfen 検査,nowhere ü,5\n", "utf-8"
    )
    done = stationflow(
        "check", lamp, "--json", env={**os.environ, "LC_ALL": "C", "PYTHONIOENCODING": "utf-8"}
    )
    assert "nowhere ü" in done.stdout


@pytest.mark.parametrize("request_to_end", [signal.SIGINT, signal.SIGTERM])
def test_a_balance_that_is_interrupted_keeps_its_best(tmp_path, request_to_end):
    tasks = tuple(
        Task(number=str(n), time_ms=1000 * (31 + n * 7 % 23 + n * n % 11)) for n in range(1, 61)
    )
    folder = write_folder(tmp_path, Product(code="L-700", tasks=tasks))
    options = ("--method", "comsoal", "--limit", "97", "--trials", "100000000", "--progress")
    command = [sys.executable, "-m", "stationflow", "balance", str(folder), "--json", *options]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT
    ) as running:
        assert running.stderr.readline() != ""  # a first plan is there
        running.send_signal(request_to_end)
        document = json.loads(running.communicate(timeout=60)[0])
    assert (running.returncode, document["ending"]) == (0, "found")


@pytest.fixture
def log(monkeypatch, tmp_path):
    """Let the log file lie in the test's own folder."""
    path = tmp_path / "trouble.log"
    monkeypatch.setattr(trouble, "_log_file", lambda: path)
    return path


@pytest.fixture
def breaks(monkeypatch):
    """Let a command fail as nobody foresaw."""

    def fail(*_arguments: object, **_more: object) -> None:
        raise ZeroDivisionError("nobody foresaw this")

    monkeypatch.setattr(reports, "report_findings", fail)


def test_an_unforeseen_error_ends_with_one(run, lamp, log, breaks):
    assert run("check", lamp).code == 1


def test_an_unforeseen_error_is_one_sentence_with_a_number(run, lamp, log, breaks):
    assert re.fullmatch(
        r"Something unforeseen happened \(number [0-9A-F]{6}\)[^\n]*\.\n", run("check", lamp).err
    )


def test_an_unforeseen_error_shows_no_traceback(run, lamp, log, breaks):
    ran = run("check", lamp)
    assert "Traceback" not in ran.out + ran.err


def test_the_number_finds_the_trace_in_the_log(run, lamp, log, breaks):
    number = re.search(r"number ([0-9A-F]{6})", run("check", lamp).err)
    assert number
    assert re.search(
        rf"trouble {number[1]}\n.*nobody foresaw this", log.read_text("utf-8"), re.DOTALL
    )


@pytest.mark.parametrize("was_there", [False, True])
def test_the_log_is_for_its_user_alone(run, lamp, log, breaks, was_there):
    if was_there:
        log.touch()
        log.chmod(0o644)
    run("check", lamp)
    assert stat.S_IMODE(log.stat().st_mode) == 0o600


def test_a_log_that_cannot_be_written_is_said(run, lamp, monkeypatch, tmp_path, breaks):
    monkeypatch.setattr(trouble, "_log_file", lambda: tmp_path)  # a folder
    assert "could not be written" in run("check", lamp).err


def test_an_interrupt_is_one_word(run, lamp, monkeypatch):
    def stop(*_arguments: object, **_more: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(reports, "report_findings", stop)
    assert run("check", lamp).err == "Stopped.\n"
