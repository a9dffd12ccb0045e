"""`line` counts the whole line, draws it, and prints its reports and fault cards."""

import json
from dataclasses import replace

import pypdfium2
import pytest
from small_products import LAMP, write_folder

from stationflow.model import DropProcedure, Fault, PackForm, Packing, QualityKind, QualityStep

RULE = ("--method", "largest-candidate")


@pytest.fixture
def plans(run, board_lamp, tmp_path):
    """Write the plans of lamp and board as `balance --all-lines --json` prints them."""
    path = tmp_path / "plans.json"
    path.write_text(run("balance", board_lamp, "--all-lines", *RULE, "--json").out, "utf-8")
    return path


def pages(path) -> list[str]:
    document = pypdfium2.PdfDocument(path.read_bytes())
    return [" ".join(p.get_textpage().get_text_bounded().split()) for p in document]


def test_it_ends_with_zero_when_every_line_has_a_plan(run, board_lamp, plans):
    assert run("line", board_lamp, "--plan", plans).code == 0


def test_without_a_plan_in_force_it_ends_with_one_and_says_what_to_do(run, board_lamp):
    ran = run("line", board_lamp, "--json")
    told = [f for f in ran.document["findings"] if f["code"] == "no-plan"]
    assert (ran.code, len(told)) == (1, 2)
    assert "Balance the line and put the plan in force" in told[0]["hint"]


def test_a_plan_of_one_line_leaves_the_other_to_its_plan_in_force(run, board_lamp, tmp_path):
    path = tmp_path / "main.json"
    path.write_text(run("balance", board_lamp, *RULE, "--json").out, "utf-8")
    ran = run("line", board_lamp, "--plan", path, "--json")
    assert [f["where"] for f in ran.document["findings"] if f["code"] == "no-plan"] == [
        "Line board"
    ]
    assert next(line["stations"] for line in ran.document["lines"]) > 0


def test_the_document_has_lines_output_worth_and_every_number_opened(run, board_lamp, plans):
    document = run("line", board_lamp, "--plan", plans, "--json").document
    assert [line["line"] for line in document["lines"]] == ["main", "board"]
    assert document["output_per_h"] <= document["ideal_per_h"]
    assert {"formula", "worked", "source"} <= set(document["numbers"][0])
    gains = [value["gain_per_h"] for value in document["worth"]]
    assert gains == sorted(gains, reverse=True)


def test_parallel_lines_stand_beside_one_fast_line(run, board_lamp, plans):
    document = run("line", board_lamp, "--plan", plans, "--json").document
    # 150 s of work, and 60 s between tasks 30 and 50: four stations in 60 s, as one is left between
    # them; two on each of two lines; on three lines 50 finds no place behind 30 at one station.
    assert [option["stations"] for option in document["parallel_lines"]] == [4, 4, 6]


def test_what_rests_on_a_cell_that_was_not_read_is_left_out(run, board_lamp, plans):
    header = board_lamp / "product.toml"
    main, places, board = header.read_text("utf-8").rpartition("buffer_places = ")
    header.write_text(f'{main}{places}"4 or 5"{board.removeprefix("0")}', "utf-8")
    ran = run("line", board_lamp, "--plan", plans, "--json")
    assert (ran.code, ran.document["output_per_h"], ran.document["worth"]) == (1, None, [])
    main, board = ran.document["lines"]
    assert (main["through_s"] is None, board["through_s"]) == (False, None)
    told = [f["message"] for f in ran.document["findings"] if f["code"] == "value-not-read"]
    assert told[0].startswith("'4 or 5' was not read")
    said = run("line", board_lamp, "--plan", plans).out
    assert "'4 or 5' was not read" in said
    assert "Good units an hour" not in said


def test_the_report_opens_the_takt_time(run, board_lamp, plans):
    said = run("line", board_lamp, "--plan", plans).out
    assert "takt time: 60 s" in said  # 480 units in 28 800 s


@pytest.mark.parametrize(
    ("ending", "start"), [("svg", b"<svg"), ("png", b"\x89PNG"), ("pdf", b"%PDF")]
)
def test_the_drawing_is_written_as(run, board_lamp, plans, tmp_path, ending, start):
    out = tmp_path / f"line.{ending}"
    assert run("line", board_lamp, "--plan", plans, "--out", out).code == 0
    assert out.read_bytes().startswith(start)


def test_the_recommendation_is_one_page(run, board_lamp, plans, tmp_path):
    out = tmp_path / "one.pdf"
    assert run("line", board_lamp, "--plan", plans, "--recommendation", out).code == 0
    (said,) = pages(out)
    assert "480 good units a day" in said
    assert "Good units an hour" in said


def test_the_report_holds_formula_and_source_of_every_number(run, board_lamp, plans, tmp_path):
    out = tmp_path / "report.pdf"
    document = run("line", board_lamp, "--plan", plans, "--report", out, "--json").document
    said = "".join("".join(pages(out)).split())
    missing = [n["name"] for n in document["numbers"] if "".join(n["formula"].split()) not in said]
    assert missing == []


def test_fault_cards_are_printed_for_tests_with_faults(run, tmp_path):
    tests = tuple(
        replace(task, quality=QualityStep(kind=QualityKind.FUNCTION_TEST, first_pass_share=0.9))
        if task.number == "50"
        else task
        for task in LAMP.tasks
    )
    faults = (Fault(code="F1", text="Lamp is dark", gate="50", reaction="Change the bulb."),)
    folder = write_folder(tmp_path, replace(LAMP, tasks=tests, faults=faults))
    out = tmp_path / "faults.pdf"
    run("line", folder, "--fault-cards", out)
    (said,) = pages(out)
    assert "F1 Lamp is dark" in said


def test_without_faults_there_is_no_fault_card_and_it_says_what_to_enter(run, lamp, tmp_path):
    ran = run("line", lamp, "--fault-cards", tmp_path / "faults.pdf")
    assert ran.code == 1
    assert "Enter faults with their tests" in ran.err


def test_the_form_of_the_drop_test_is_printed(run, tmp_path):
    packing = Packing(gross_kg=12.5, form=PackForm.BOX, drop_procedure=DropProcedure.ISTA_1A)
    folder = write_folder(tmp_path, replace(LAMP, packing=packing))
    out = tmp_path / "drops.pdf"
    run("line", folder, "--drop-test", out)
    assert "Drop height 610 mm" in " ".join(pages(out))  # ISTA 1A, 10 to below 19 kg


def test_without_a_procedure_there_is_no_drop_test_and_it_says_what_to_enter(run, lamp, tmp_path):
    ran = run("line", lamp, "--drop-test", tmp_path / "drops.pdf")
    assert ran.code == 1
    assert "There is no drop test" in ran.err


@pytest.mark.parametrize(
    "wrong",
    [("--out", "line.txt"), ("--report", "report.docx"), ("--paper", "a9"), ("--plan",)],
)
def test_wrong_usage_ends_with_two(run, lamp, wrong):
    assert run("line", lamp, *wrong).code == 2


def test_a_file_that_is_no_plan_is_a_finding(run, lamp, tmp_path):
    path = tmp_path / "plan.json"
    path.write_text("not a plan", "utf-8")
    ran = run("line", lamp, "--plan", path, "--json")
    assert ran.code == 1
    assert "plan-file-broken" in {f["code"] for f in ran.document["findings"]}


def test_a_plan_for_a_line_the_product_has_not_is_a_finding(run, lamp, tmp_path):
    path = tmp_path / "plan.json"
    path.write_text(json.dumps({"line": "x", "stations": [{"number": 1, "tasks": ["10"]}]}))
    ran = run("line", lamp, "--plan", path, "--json")
    assert (ran.code, "unknown-line" in {f["code"] for f in ran.document["findings"]}) == (1, True)


def test_a_broken_draft_is_told_not_traced(run, broken):
    ran = run("line", broken, "--json")
    assert ran.code == 1
    assert ran.document["findings"]
