"""`check`, `diagram`, `cards` and `compare`; plans as files; paths before product codes."""

import json
import re
import shutil

import pypdfium2
import pytest
from small_products import BOARD_LAMP, LAMP, put_in, write_folder

from stationflow.actions.plans.plan_keeping import balance_and_keep
from stationflow.model import Author, BalanceSettings, Product
from stationflow.storage import open_store

RULE = ("--method", "largest-candidate")


@pytest.fixture
def plan(run, lamp, tmp_path):
    """Write the plan of the lamp as `balance --json` prints it."""
    path = tmp_path / "plan.json"
    path.write_text(run("balance", lamp, *RULE, "--json").out, "utf-8")
    return path


@pytest.fixture
def stored(tmp_path):
    """Put the lamp into the store, with a plan in force."""
    store = open_store(f"sqlite:///{tmp_path}/store.db")
    draft = put_in(store, LAMP)
    settings = BalanceSettings(method="largest-candidate")
    balance_and_keep(store, draft, "main", settings, by=Author("ana", draft.at))
    yield store
    store.close()


def pages(path) -> list[str]:
    document = pypdfium2.PdfDocument(path.read_bytes())
    return [page.get_textpage().get_text_bounded() for page in document]


# -- check ----------------------------------------------------------------------------------


def test_check_of_a_good_product_ends_with_zero(run, lamp):
    assert run("check", lamp).code == 0


def test_check_of_a_broken_draft_ends_with_one(run, broken):
    assert run("check", broken).code == 1


def test_check_lists_every_mistake(run, broken):
    codes = {f["code"] for f in run("check", broken, "--json").document["findings"]}
    assert {
        "precedence-circle",
        "task-without-time",
        "unknown-predecessor",
        "duplicate-task",
    } <= codes


def test_check_names_the_source(run, lamp):
    assert run("check", lamp, "--json").document["source"] == str(lamp)


def test_check_says_what_to_do(run, broken):
    assert "Time the task, or enter an estimate." in run("check", broken).out


def test_check_counts_what_it_found(run, lamp):
    assert "0 errors" in run("check", lamp).out


# -- diagram --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ending", "start"), [("svg", b"<?xml"), ("png", b"\x89PNG"), ("pdf", b"%PDF")]
)
def test_a_diagram_is_written_as(run, lamp, tmp_path, ending, start):
    run("diagram", lamp, "--out", tmp_path / f"d.{ending}")
    assert (tmp_path / f"d.{ending}").read_bytes().startswith(start)


def test_a_diagram_names_every_task(run, lamp, tmp_path):
    run("diagram", lamp, "--out", tmp_path / "d.svg")
    svg = (tmp_path / "d.svg").read_text("utf-8")
    assert all(task.number in svg for task in LAMP.tasks)


def test_a_diagram_with_a_plan_names_the_stations(run, lamp, plan, tmp_path):
    run("diagram", lamp, "--plan", plan, "--out", tmp_path / "d.svg")
    svg = (tmp_path / "d.svg").read_text("utf-8")
    assert [f"station {n}" in svg for n in (1, 2, 3, 4)] == [True, True, True, False]


@pytest.fixture
def all_lines(run, board_lamp, tmp_path):
    """Write the plans of the lamp with a board line as `balance --all-lines --json` prints them."""
    path = tmp_path / "all.json"
    path.write_text(run("balance", board_lamp, "--all-lines", *RULE, "--json").out, "utf-8")
    return path


@pytest.mark.parametrize(("asked", "line"), [((), "main"), (("--line", "board"), "board")])
@pytest.mark.parametrize(
    ("command", "out"), [("diagram", "d.svg"), ("cards", "c.html"), ("chart", "l.svg")]
)
def test_a_plan_of_all_lines_is_taken(
    run, board_lamp, all_lines, tmp_path, command, out, asked, line
):
    file = tmp_path / out
    assert run(command, board_lamp, "--plan", all_lines, *asked, "--out", file).code == 0
    own = [task.number for task in BOARD_LAMP.tasks_of(line)]
    assert all(number in file.read_text("utf-8") for number in own)


def test_plans_of_all_lines_are_compared(run, board_lamp, all_lines):
    ran = run("compare", board_lamp, "--plan", all_lines, "--line", "board", "--json")
    assert (ran.code, ran.document["plans"][0]["line"]) == (0, "board")


def test_a_draft_with_a_circle_is_drawn(run, broken, tmp_path):
    assert run("diagram", broken, "--out", tmp_path / "d.svg").code == 0


def test_a_diagram_of_another_kind_is_wrong_usage(run, lamp, tmp_path):
    assert run("diagram", lamp, "--out", tmp_path / "d.gif").code == 2


def test_a_diagram_of_an_unknown_line_ends_with_one(run, lamp, tmp_path):
    assert run("diagram", lamp, "--line", "other", "--out", tmp_path / "d.svg").code == 1


def test_a_diagram_of_an_unknown_line_is_not_written(run, lamp, tmp_path):
    run("diagram", lamp, "--line", "other", "--out", tmp_path / "d.svg")
    assert not (tmp_path / "d.svg").exists()


def test_a_diagram_says_which_file_was_written(run, lamp, tmp_path):
    ran = run("diagram", lamp, "--out", tmp_path / "d.svg", "--json")
    assert ran.document["file"] == str(tmp_path / "d.svg")


def test_a_diagram_that_was_written_is_named_though_the_data_has_errors(run, lamp, tmp_path):
    with (lamp / "tasks.csv").open("a", encoding="utf-8") as tasks:
        tasks.write(",a task without a number\n")
    ran = run("diagram", lamp, "--out", tmp_path / "d.svg", "--json")
    severities = [finding["severity"] for finding in ran.document["findings"]]
    assert ("error" in severities, ran.document["file"]) == (True, str(tmp_path / "d.svg"))


def test_a_file_that_cannot_be_written_is_told(run, lamp, tmp_path):
    ran = run("diagram", lamp, "--out", tmp_path / "no" / "folder" / "d.svg")
    assert (ran.code, "cannot be written" in ran.err) == (1, True)


# -- cards ----------------------------------------------------------------------------------


def test_a_plan_that_balance_printed_gives_cards(run, lamp, plan, tmp_path):
    assert run("cards", lamp, "--plan", plan, "--out", tmp_path / "c.pdf").code == 0


def test_there_is_a_card_for_each_station(run, lamp, plan, tmp_path):
    run("cards", lamp, "--plan", plan, "--out", tmp_path / "c.pdf")
    assert len(pages(tmp_path / "c.pdf")) == 3


def test_the_cards_name_every_task(run, lamp, plan, tmp_path):
    run("cards", lamp, "--plan", plan, "--out", tmp_path / "c.pdf")
    text = " ".join(" ".join(pages(tmp_path / "c.pdf")).split())
    assert [t.name for t in LAMP.tasks if t.name not in text] == []


# Sheet sizes in points, 72 to the inch: A sizes by ISO 216, Letter by ANSI Y14.1.
@pytest.mark.parametrize(
    ("options", "size"),
    [
        ((), (595.3, 841.9)),
        (("--across",), (841.9, 595.3)),
        (("--portrait",), (595.3, 841.9)),
        (("--paper", "a3", "--across"), (1190.6, 841.9)),
        (("--paper", "letter", "--across"), (792.0, 612.0)),
        (("--paper", "LETTER", "--portrait"), (612.0, 792.0)),
    ],
    ids=str,
)
def test_cards_are_printed_on(run, lamp, plan, tmp_path, options, size):
    run("cards", lamp, "--plan", plan, "--out", tmp_path / "c.pdf", *options)
    page = pypdfium2.PdfDocument((tmp_path / "c.pdf").read_bytes())[0]
    assert page.get_size() == pytest.approx(size, abs=0.5)


def test_the_card_of_one_station_is_printed_alone(run, lamp, plan, tmp_path):
    run("cards", lamp, "--plan", plan, "--out", tmp_path / "c.pdf", "--station", "2")
    (page,) = pages(tmp_path / "c.pdf")
    assert re.search(r"station 2\b", page)


def test_a_station_that_the_plan_has_not_is_said(run, lamp, plan, tmp_path):
    ran = run("cards", lamp, "--plan", plan, "--out", tmp_path / "c.pdf", "--station", "9")
    assert (ran.code, "Station 9 has no card" in ran.err + ran.out) == (1, True)


def test_a_paper_that_is_not_there_is_wrong_usage(run, lamp, plan, tmp_path):
    out = tmp_path / "c.pdf"
    assert run("cards", lamp, "--plan", plan, "--out", out, "--paper", "b5").code == 2


def test_cards_in_another_kind_of_file_are_wrong_usage(run, lamp, plan, tmp_path):
    assert run("cards", lamp, "--plan", plan, "--out", tmp_path / "c.docx").code == 2


@pytest.mark.parametrize(
    ("name", "begins"),
    [("c.html", b"<!DOCTYPE html>"), ("c.xlsx", b"PK"), ("c.zip", b"PK"), ("c.pdf", b"%PDF")],
)
def test_cards_are_written_as_the_name_of_the_file_asks(run, lamp, plan, tmp_path, name, begins):
    run("cards", lamp, "--plan", plan, "--out", tmp_path / name)
    assert (tmp_path / name).read_bytes()[: len(begins)].lower() == begins.lower()


def test_the_fixed_words_follow_the_language_asked_for(run, lamp, plan, tmp_path):
    run("cards", lamp, "--plan", plan, "--out", tmp_path / "c.html", "--language", "de")
    assert 'lang="de"' in (tmp_path / "c.html").read_text("utf-8")


@pytest.mark.parametrize(
    "options", [("--language", "xx"), ("--each", "pdf"), ("--paper", "b5")], ids=" ".join
)
def test_a_wrong_dress_of_cards_is_wrong_usage(run, lamp, plan, tmp_path, options):
    assert run("cards", lamp, "--plan", plan, "--out", tmp_path / "c.pdf", *options).code == 2


def test_cards_without_a_plan_end_with_one(run, lamp, tmp_path):
    assert run("cards", lamp, "--out", tmp_path / "c.pdf").code == 1


def test_cards_without_a_plan_say_how_to_make_one(run, lamp, tmp_path):
    findings = run("cards", lamp, "--out", tmp_path / "c.pdf", "--json").document["findings"]
    hints = {f["code"]: f["hint"] for f in findings}
    assert hints["no-plan"].startswith("Balance the line")


def test_cards_of_an_unknown_line_say_that_it_is_unknown(run, lamp, tmp_path):
    ran = run("cards", lamp, "--line", "other", "--out", tmp_path / "c.pdf", "--json")
    assert [f["code"] for f in ran.document["findings"]] == ["unknown-line"]


def test_cards_of_a_product_in_the_store_come_from_the_plan_in_force(run, stored, tmp_path):
    assert run("cards", "L-100", "--out", tmp_path / "c.pdf").code == 0


def test_a_plan_in_a_product_folder_is_found(run, stored, tmp_path):
    folder = write_folder(tmp_path / "with_plan", LAMP, tuple(stored.plans("L-100")))
    assert run("cards", folder, "--out", tmp_path / "c.pdf").code == 0


def test_a_plan_made_elsewhere_needs_only_line_and_stations(run, lamp, tmp_path):
    stations = [
        {"number": 1, "tasks": ["10", "20"]},
        {"number": 2, "tasks": ["30", "40"]},
        {"number": 3, "tasks": ["50"]},
    ]
    path = tmp_path / "own.json"
    path.write_text(json.dumps({"line": "main", "stations": stations}), "utf-8")
    assert run("cards", lamp, "--plan", path, "--out", tmp_path / "c.pdf").code == 0


@pytest.mark.parametrize(
    ("stations", "code"),
    [
        ([["10", "20"], ["30", "40"]], "task-not-assigned"),
        ([["10", "20"], ["30", "40"], ["50", "10"]], "task-assigned-twice"),
        ([["20"], ["10", "30"], ["40", "50"]], "predecessor-later"),
        ([["10", "20", "30"], ["40", "50"]], "station-over-limit"),
        ([["10", "20"], ["30", "40"], ["50", "60"]], "unknown-task-in-plan"),
    ],
)
def test_a_plan_that_does_not_hold_gives_no_cards(run, lamp, tmp_path, stations, code):
    document = {
        "line": "main",
        "stations": [{"number": i, "tasks": tasks} for i, tasks in enumerate(stations, 1)],
    }
    (tmp_path / "own.json").write_text(json.dumps(document), "utf-8")
    out = tmp_path / "c.pdf"
    ran = run("cards", lamp, "--plan", tmp_path / "own.json", "--out", out, "--json")
    codes = [f["code"] for f in ran.document["findings"]]
    assert (ran.code, code in codes, out.exists()) == (1, True, False)


@pytest.mark.parametrize("content", ["", "{", "[]", "{}", '{"line": "main", "stations": 3}'])
def test_a_plan_file_that_is_broken_is_a_finding(run, lamp, tmp_path, content):
    (tmp_path / "own.json").write_text(content, "utf-8")
    ran = run("cards", lamp, "--plan", tmp_path / "own.json", "--out", tmp_path / "c.pdf", "--json")
    assert (ran.code, {f["code"] for f in ran.document["findings"]}) == (1, {"plan-file-broken"})


def test_a_plan_file_that_is_not_there_is_a_finding(run, lamp, tmp_path):
    ran = run("cards", lamp, "--plan", tmp_path / "no.json", "--out", tmp_path / "c.pdf", "--json")
    assert (ran.code, {f["code"] for f in ran.document["findings"]}) == (1, {"plan-file-broken"})


def test_an_instance_has_no_cards(run, tmp_path):
    path = tmp_path / "two.IN2"
    path.write_text("2\n4\n3\n1,2\n-1,-1\n", "utf-8")
    assert run("cards", path, "--out", tmp_path / "c.pdf").code == 1


# -- a plan without a limit -----------------------------------------------------------------


@pytest.fixture
def in_two(run, lamp, tmp_path):
    """Return a plan of two stations without a limit: 150 s of work, over the 60 s of the demand."""
    asked = ("--stations", 2, "--method", "comsoal", "--seed", 7, "--trials", 20, "--json")
    path = tmp_path / "in_two.json"
    path.write_text(run("balance", lamp, *asked).out, "utf-8")
    return path


@pytest.mark.parametrize(
    "asked",
    [
        ("compare",),
        ("explain",),
        ("cards", "--out", "cards.pdf"),
        ("diagram", "--out", "diagram.svg"),
        ("chart", "--out", "chart.svg"),
        ("export", "--what", "stations", "--out", "stations.csv"),
    ],
    ids=lambda asked: asked[0],
)
def test_a_plan_without_a_limit_is_taken_by_every_command(run, lamp, in_two, asked, tmp_path):
    command, *options = [tmp_path / o if "." in o else o for o in asked]
    ran = run(command, lamp, *options, "--plan", in_two, "--json")
    assert (ran.code, [f["message"] for f in ran.document.get("findings", [])]) == (0, [])


def test_a_plan_without_a_limit_has_no_limit_of_the_demand(run, lamp, in_two):
    compared = run("compare", lamp, "--plan", in_two, "--json").document["plans"][0]
    made = json.loads(in_two.read_text("utf-8"))
    same = ("goal", "limit", "stations_asked", "takt_time", "cycle_time", "balance_efficiency")
    assert {key: compared[key] for key in same} == {key: made[key] for key in same}


def test_a_compared_plan_keeps_how_it_was_made(run, lamp, in_two):
    compared = run("compare", lamp, "--plan", in_two, "--json").document["plans"][0]
    made = json.loads(in_two.read_text("utf-8"))
    same = ("method", "direction", "seed", "trials", "engine", "runtime_s")
    assert {key: compared[key] for key in same} == {key: made[key] for key in same}


def test_a_plan_that_does_not_hold_is_compared_with_its_own_question(run, lamp, in_two):
    document = json.loads(in_two.read_text("utf-8"))
    document["stations"].reverse()
    for number, station in enumerate(document["stations"], 1):
        station["number"] = number
    in_two.write_text(json.dumps(document), "utf-8")
    ran = run("compare", lamp, "--plan", in_two, "--json")
    compared = ran.document["plans"][0]
    said = (compared["goal"], compared["limit"], compared["stations"])
    assert (ran.code, said) == (1, ("shortest-cycle", None, []))


# -- compare --------------------------------------------------------------------------------


def test_methods_are_compared_side_by_side(run, lamp):
    ran = run("compare", lamp, "--method", "largest-candidate", "--method", "exact", "--json")
    assert [p["name"] for p in ran.document["plans"]] == ["largest-candidate", "exact"]


def test_plans_are_compared_side_by_side(run, lamp, plan, tmp_path):
    second = tmp_path / "second.json"
    shutil.copy(plan, second)
    ran = run("compare", lamp, "--plan", plan, "--plan", second, "--json")
    assert [p["name"] for p in ran.document["plans"]] == ["plan", "second"]


def test_a_compared_plan_has_the_figures_of_its_balance(run, lamp, plan):
    compared = run("compare", lamp, "--plan", plan, "--json").document["plans"][0]
    balanced = json.loads(plan.read_text("utf-8"))
    same = ("stations", "station_count", "cycle_time", "balance_efficiency", "lower_bound")
    assert {k: compared[k] for k in same} == {k: balanced[k] for k in same}


def test_a_comparison_is_a_table(run, lamp):
    out = run("compare", lamp, "--method", "largest-candidate", "--method", "exact").out
    stations = next(line for line in out.splitlines() if line.startswith("stations"))
    assert stations.split() == ["stations", "3", "3"]


def test_a_comparison_at_a_takt_uses_it(run, lamp):
    ran = run("compare", lamp, "--method", "exact", "--limit", 150, "--json")
    assert ran.document["plans"][0]["station_count"] == 1


def test_a_plan_that_does_not_hold_ends_a_comparison_with_one(run, lamp, tmp_path):
    document = {"line": "main", "stations": [{"number": 1, "tasks": ["10"]}]}
    (tmp_path / "own.json").write_text(json.dumps(document), "utf-8")
    assert run("compare", lamp, "--plan", tmp_path / "own.json").code == 1


@pytest.mark.parametrize(
    "options",
    [
        (),
        ("--plan", "a.json", "--method", "exact"),
        ("--plan", "a.json", "--limit", "9"),
        ("--method", "exact", "--stations", "4..9"),  # a range is for best efficiency
    ],
)
def test_a_comparison_of_nothing_or_of_both_is_wrong_usage(run, lamp, options):
    assert run("compare", lamp, *options).code == 2


# -- sources --------------------------------------------------------------------------------


def test_a_product_code_is_found_in_the_store(run, stored):
    assert run("check", "L-100").code == 0


def test_a_path_wins_over_an_equal_product_code(run, stored, tmp_path, monkeypatch):
    write_folder(tmp_path, Product(code="L-100", name="Empty twin"))
    monkeypatch.chdir(tmp_path)
    assert run("balance", "L-100", *RULE).code == 1  # the twin in the folder has no task


def test_a_path_never_touches_the_store(run, lamp, tmp_path):
    run("balance", lamp, *RULE)
    assert not (tmp_path / "store.db").exists()


def test_cards_of_a_path_never_touch_the_store(run, lamp, plan, tmp_path):
    run("cards", lamp, "--plan", plan, "--out", tmp_path / "c.pdf")
    assert not (tmp_path / "store.db").exists()


def test_a_balance_of_a_stored_product_adds_no_plan(run, stored):
    run("balance", "L-100", *RULE)
    assert len(stored.plans("L-100")) == 1


def test_a_new_store_has_the_demo_products_for_a_command(run):
    ran = run("check", "F-100", "--json")
    assert (ran.code, ran.document["source"]) == (0, "F-100")
