"""Commands `export` and `chart`. Values are worked out by hand from the small products."""

import errno
import io
import json
import os
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from stationflow.actions.showing.exporting import What
from stationflow.cli.commands import EXPORTED
from stationflow.files.csv_text import read_csv
from stationflow.files.product.product_folder import read_product_folder

INSTANCE = """<number of tasks>
3
<cycle time>
10
<task times>
1 6
2 3
3 5
<precedence relations>
1,2
<end>
"""


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    """Return a plan of the lamp on three stations."""
    file = tmp_path / "plan.json"
    stations = [["10", "20"], ["30", "40"], ["50"]]
    numbered = [{"number": n, "tasks": tasks} for n, tasks in enumerate(stations, 1)]
    file.write_text(json.dumps({"line": "main", "limit": 60, "stations": numbered}))
    return file


@pytest.fixture
def instance(tmp_path: Path) -> Path:
    """Return a published instance of three tasks."""
    file = tmp_path / "three.alb"
    file.write_text(INSTANCE)
    return file


def test_the_command_names_what_can_be_exported():
    assert tuple(what.value for what in What) == EXPORTED


def test_tasks_are_written_as_csv(run: Any, lamp: Path, tmp_path: Path):
    out = tmp_path / "tasks.csv"
    assert run("export", lamp, "--what", "tasks", "--out", out).code == 0
    assert [row[0] for row in read_csv(out.read_bytes())][1:] == ["10", "20", "30", "40", "50"]


def test_stations_of_a_plan_are_written_as_workbook(
    run: Any, lamp: Path, plan: Path, tmp_path: Path
):
    out = tmp_path / "stations.XLSX"
    assert run("export", lamp, "--what", "stations", "--plan", plan, "--out", out).code == 0
    sheet = load_workbook(io.BytesIO(out.read_bytes()))["Stations"]
    assert [cell.value for cell in sheet["B"]] == ["Load (s)", 55, 55, 40]


def test_stations_without_a_plan_are_refused_in_a_sentence(run: Any, lamp: Path, tmp_path: Path):
    ran = run("export", lamp, "--what", "stations", "--out", tmp_path / "s.csv")
    assert (ran.code, "no plan in force" in ran.out) == (1, True)


def test_nothing_is_written_without_a_plan(run: Any, lamp: Path, tmp_path: Path):
    run("export", lamp, "--what", "stations", "--out", tmp_path / "s.csv")
    assert not (tmp_path / "s.csv").exists()


def test_findings_of_a_broken_draft_are_written(run: Any, broken: Path, tmp_path: Path):
    assert run("export", broken, "--what", "findings", "--out", tmp_path / "f.csv").code == 0


def test_what_cannot_be_exported_is_wrong_usage(run: Any, lamp: Path, tmp_path: Path):
    ran = run("export", lamp, "--what", "cards", "--out", tmp_path / "f.csv")
    assert (ran.code, "give one of tasks, parts" in " ".join(ran.err.split())) == (2, True)


@pytest.mark.parametrize("command", [("export", "--what", "tasks"), ("chart",)])
def test_another_ending_is_wrong_usage(
    run: Any, lamp: Path, tmp_path: Path, command: tuple[str, ...]
):
    assert run(command[0], lamp, *command[1:], "--out", tmp_path / "f.doc").code == 2


def test_an_unknown_line_is_refused_in_a_sentence(run: Any, lamp: Path, tmp_path: Path):
    ran = run("export", lamp, "--what", "tasks", "--line", "x", "--out", tmp_path / "f.csv")
    assert (ran.code, "no such line" in ran.out) == (1, True)


def test_a_folder_that_is_not_there_is_refused_in_a_sentence(run: Any, lamp: Path, tmp_path: Path):
    ran = run("export", lamp, "--what", "tasks", "--out", tmp_path / "no" / "f.csv")
    assert (ran.code, "cannot be written" in ran.err) == (1, True)


def test_tasks_of_an_instance_are_written_in_file_units(run: Any, instance: Path, tmp_path: Path):
    out = tmp_path / "tasks.csv"
    run("export", instance, "--what", "tasks", "--out", out)
    assert list(read_csv(out.read_bytes()))[:2] == [
        ["Number", "Time (unit)", "Predecessors"],
        ["1", "6", ""],
    ]


def test_an_instance_has_no_parts(run: Any, instance: Path, tmp_path: Path):
    ran = run("export", instance, "--what", "parts", "--out", tmp_path / "p.csv")
    assert (ran.code, "holds no parts" in ran.out) == (1, True)


def test_the_load_chart_of_an_instance_is_drawn_from_a_plan(
    run: Any, instance: Path, tmp_path: Path
):
    plan = tmp_path / "p.json"
    stations = [{"number": 1, "tasks": ["1", "2"]}, {"number": 2, "tasks": ["3"]}]
    plan.write_text(json.dumps({"line": "main", "limit": 10, "stations": stations}))
    out = tmp_path / "load.svg"
    assert run("chart", instance, "--plan", plan, "--out", out).code == 0
    assert "Station 1, task 2 , 3" in out.read_text()


@pytest.mark.parametrize(("ending", "start"), [("png", b"\x89PNG"), ("pdf", b"%PDF")])
def test_the_load_chart_is_drawn_as_picture(
    run: Any, lamp: Path, plan: Path, tmp_path: Path, ending: str, start: bytes
):
    out = tmp_path / f"load.{ending}"
    assert run("chart", lamp, "--plan", plan, "--out", out).code == 0
    assert out.read_bytes().startswith(start)


def test_the_load_chart_without_a_plan_is_refused_in_a_sentence(
    run: Any, lamp: Path, tmp_path: Path
):
    ran = run("chart", lamp, "--out", tmp_path / "load.svg")
    assert (ran.code, "no plan in force" in ran.out) == (1, True)


def test_what_was_written_is_told_as_one_json_document(run: Any, lamp: Path, tmp_path: Path):
    out = tmp_path / "matrix.csv"
    ran = run("export", lamp, "--what", "matrix", "--out", out, "--json")
    assert ran.document["file"] == str(out)


WRITERS = {
    "export": ("--what", "tasks", "--out", "f.csv"),
    "diagram": ("--out", "f.svg"),
    "chart": ("--out", "f.svg"),
    "cards": ("--out", "f.html"),
}


@pytest.mark.parametrize("command", WRITERS)
def test_a_full_disk_leaves_the_file_of_the_last_run(
    command: str, run: Any, lamp: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    *options, name = WRITERS[command]
    plan = tmp_path / "plan.json"
    plan.write_text(run("balance", lamp, "--method", "largest-candidate", "--json").out, "utf-8")
    if command != "export":
        options = ["--plan", plan, *options]
    out = tmp_path / name
    assert run(command, lamp, *options, out).code == 0
    before = out.read_bytes()
    write = Path.write_bytes

    def write_half(path: Path, data: bytes) -> int:
        if not path.is_relative_to(tmp_path):
            return write(path, data)
        write(path, data[: len(data) // 2])
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(Path, "write_bytes", write_half)
    ran = run(command, lamp, *options, out)
    assert (ran.code, out.read_bytes() == before) == (1, True)
    assert f"{out} cannot be written: No space left on device." in ran.err


def test_a_whole_product_is_written_as_a_folder_that_says_the_same(run, lamp, tmp_path):
    ran = run("export", lamp, "--folder", tmp_path / "out")
    again = read_product_folder(tmp_path / "out")
    assert (ran.code, again.product) == (0, read_product_folder(lamp).product)


def test_a_folder_that_holds_anything_is_not_written_to(run, lamp):
    assert run("export", lamp, "--folder", lamp).code == 2


@pytest.mark.parametrize("more", [["--what", "tasks"], ["--out", "a.csv"]])
def test_a_folder_is_written_whole_or_not_at_all(run, lamp, tmp_path, more):
    assert run("export", lamp, "--folder", tmp_path / "out", *more).code == 2


def test_an_export_without_what_out_and_folder_is_wrong_usage(run, lamp):
    assert run("export", lamp).code == 2
