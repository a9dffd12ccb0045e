"""`balance`: exit codes and the JSON contract."""

import json
from dataclasses import replace

import pytest
from small_products import BOARD_LAMP, LAMP, MOVABLE, write_folder

from stationflow.balancing.methods import METHODS
from stationflow.model import Confirmation

KEYS = [
    "source", "line", "goal", "method", "engine", "direction",
    "ending", "limits_kept", "stations", "station_count", "limit", "stations_asked",
    "stations_asked_from", "pins", "takt_time", "operating_takt",
    "cycle_time", "lower_bound", "balance_efficiency", "balance_delay", "smoothness_index",
    "time_unit", "seed", "trials", "cores", "nodes", "memory_mb", "stopped", "then", "runtime_s",
    "confirmation", "findings",
]  # fmt: skip
STATION = [
    "number", "place", "side", "copies", "tasks", "work", "work_by_model", "operators",
    "operator_work",
]  # fmt: skip
RULE = ("--method", "largest-candidate")
INSTANCE = """<number of tasks>
3
{cycle}<task times>
1 4
2 3
3 2

<precedence relations>
1,2
2,3

<end>
"""


@pytest.fixture
def instance(tmp_path):
    path = tmp_path / "three.alb"
    path.write_text(INSTANCE.format(cycle="<cycle time>\n5\n"), "utf-8")
    return path


@pytest.fixture
def instance_without_cycle_time(tmp_path):
    path = tmp_path / "open.alb"
    path.write_text(INSTANCE.format(cycle=""), "utf-8")
    return path


def test_the_document_has_the_fields_of_the_contract_in_order(run, lamp):
    assert list(run("balance", lamp, *RULE, "--json").document) == KEYS


# Worked out by hand, see small_products.LAMP: 28 800 s a day for 480 lamps is one in 60 s;
# three stations, so efficiency 150 / (3 x 60) = 0.8333 and delay one less that.
@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("line", "main"),
        ("goal", "fewest-stations"),
        ("method", "largest-candidate"),
        ("ending", "optimal"),
        ("station_count", 3),
        ("limit", 60.0),
        ("takt_time", 60.0),
        ("operating_takt", 60.0),
        ("lower_bound", 3),
        ("balance_efficiency", pytest.approx(150 / 180)),
        ("balance_delay", pytest.approx(30 / 180)),
        ("time_unit", "s"),
        ("seed", None),
        ("trials", 0),
        ("cores", 1),
        ("stopped", None),
        ("confirmation", None),
        ("findings", []),
    ],
)
def test_a_balance_at_the_pace_says(run, lamp, field, value):
    assert run("balance", lamp, *RULE, "--json").document[field] == value


def test_the_source_is_named_as_it_was_given(run, lamp):
    assert run("balance", lamp, *RULE, "--json").document["source"] == str(lamp)


def test_the_cycle_time_is_the_largest_load(run, lamp):
    document = run("balance", lamp, *RULE, "--json").document
    assert document["cycle_time"] == max(s["work"] for s in document["stations"])


def test_the_smoothness_index_is_taken_from_the_largest_load(run, lamp):
    document = run("balance", lamp, *RULE, "--json").document
    loads = [s["work"] for s in document["stations"]]
    # Smoothness index = sqrt(sum of (largest load - load)^2), Moodie and Young (1965).
    expected = sum((max(loads) - load) ** 2 for load in loads) ** 0.5
    assert document["smoothness_index"] == pytest.approx(expected)


def test_a_station_has_number_tasks_work_and_operators(run, lamp):
    stations = run("balance", lamp, *RULE, "--json").document["stations"]
    assert [list(s) for s in stations] == [STATION] * 3


def test_stations_are_numbered_from_one(run, lamp):
    stations = run("balance", lamp, *RULE, "--json").document["stations"]
    assert [s["number"] for s in stations] == [1, 2, 3]


def test_task_numbers_are_text(run, lamp):
    stations = run("balance", lamp, *RULE, "--json").document["stations"]
    assert sorted(n for s in stations for n in s["tasks"]) == ["10", "20", "30", "40", "50"]


def test_the_runtime_is_a_number_of_seconds(run, lamp):
    assert 0 < run("balance", lamp, *RULE, "--json").document["runtime_s"] < 30


def test_a_balance_that_is_done_ends_with_zero(run, lamp):
    assert run("balance", lamp, *RULE).code == 0


def test_without_json_the_text_names_the_stations(run, lamp):
    assert "3 stations" in run("balance", lamp, *RULE).out


@pytest.mark.parametrize("method", list(METHODS))
def test_every_method_needs_three_stations(run, lamp, method):
    assert run("balance", lamp, "--method", method, "--json").document["station_count"] == 3


def test_without_a_method_the_exact_one_is_used(run, lamp):
    assert run("balance", lamp, "--json").document["method"] == "exact"


@pytest.mark.parametrize("direction", ["forwards", "backwards"])
def test_a_rule_says_its_direction(run, lamp, direction):
    ran = run("balance", lamp, *RULE, "--direction", direction, "--json")
    assert ran.document["direction"] == direction


def test_of_both_directions_the_kept_one_is_named(run, lamp):
    assert run("balance", lamp, *RULE, "--json").document["direction"] in ("forwards", "backwards")


def test_comsoal_has_no_direction(run, lamp):
    assert run("balance", lamp, "--method", "comsoal", "--json").document["direction"] is None


def test_comsoal_says_its_seed(run, lamp):
    ran = run("balance", lamp, "--method", "comsoal", "--seed", 7, "--json")
    assert ran.document["seed"] == 7


def test_a_takt_given_is_the_limit(run, lamp):
    assert run("balance", lamp, *RULE, "--limit", "75.5", "--json").document["limit"] == 75.5


def test_a_takt_given_leaves_the_takt_time_empty(run, lamp):
    assert run("balance", lamp, *RULE, "--limit", "75", "--json").document["takt_time"] is None


def test_stations_alone_ask_for_the_shortest_cycle(run, lamp):
    document = run("balance", lamp, "--stations", 3, "--json").document
    assert (document["goal"], document["cycle_time"]) == ("shortest-cycle", 55.0)  # by hand


def test_the_bound_of_the_shortest_cycle_is_a_time(run, lamp):
    assert run("balance", lamp, "--stations", 3, "--json").document["lower_bound"] == 55.0


def test_takt_and_stations_together_ask_whether_it_is_possible(run, lamp):
    document = run("balance", lamp, "--stations", 3, "--limit", 55, "--json").document
    assert (document["goal"], document["ending"]) == ("feasible", "optimal")


def test_what_is_impossible_ends_with_one(run, lamp):
    # 150 s of work do not fit into two stations of 60 s.
    assert run("balance", lamp, "--stations", 2, "--limit", 60).code == 1


@pytest.mark.parametrize(
    "field",
    ["station_count", "cycle_time", "balance_efficiency", "balance_delay", "smoothness_index"],
)
def test_without_a_plan_this_is_null(run, lamp, field):
    ran = run("balance", lamp, "--stations", 2, "--limit", 60, "--json")
    assert ran.document[field] is None


def test_without_a_plan_there_are_no_stations(run, lamp):
    assert run("balance", lamp, "--stations", 2, "--limit", 60, "--json").document["stations"] == []


def test_the_bound_is_a_number_even_without_a_plan(run, lamp):
    document = run("balance", lamp, "--stations", 2, "--limit", 60, "--json").document
    assert isinstance(document["lower_bound"], int | float)


def test_impossible_is_the_ending_of_what_is_proved_impossible(run, lamp):
    document = run("balance", lamp, "--stations", 2, "--limit", 60, "--json").document
    assert document["ending"] == "impossible"


def test_what_is_impossible_has_a_finding(run, lamp):
    document = run("balance", lamp, "--stations", 2, "--limit", 60, "--json").document
    assert [f["severity"] for f in document["findings"]] == ["error"]


def test_the_finding_of_what_is_impossible_has_ways_out(run, lamp):
    document = run("balance", lamp, "--stations", 2, "--limit", 60, "--json").document
    assert "each tried: (1) Allow 3 stations instead of 2" in document["findings"][0]["hint"]


def test_a_task_longer_than_the_takt_is_named(run, too_long):
    document = run("balance", too_long, *RULE, "--json").document
    assert ("task-longer-than-limit", "Task 50") in [
        (f["code"], f["where"]) for f in document["findings"]
    ]


def test_a_range_asks_for_the_best_efficiency(run, lamp):
    ran = run("balance", lamp, "--stations", "1..4", "--best-efficiency", "--json")
    # One station of 150 s has no idle time at all.
    assert (ran.document["goal"], ran.document["station_count"]) == ("best-efficiency", 1)


def test_data_errors_end_with_one(run, broken):
    assert run("balance", broken, *RULE).code == 1


def test_data_errors_print_the_same_document(run, broken):
    assert list(run("balance", broken, *RULE, "--json").document) == KEYS


def test_data_errors_leave_the_ending_null(run, broken):
    assert run("balance", broken, *RULE, "--json").document["ending"] is None


def test_a_finding_has_the_fields_of_the_contract(run, broken):
    findings = run("balance", broken, *RULE, "--json").document["findings"]
    assert {tuple(f) for f in findings} == {("severity", "code", "where", "message", "hint")}


def test_every_data_error_of_the_draft_is_listed(run, broken):
    findings = run("balance", broken, *RULE, "--json").document["findings"]
    assert {
        "precedence-circle",
        "task-without-time",
        "unknown-predecessor",
        "duplicate-task",
    } <= {f["code"] for f in findings}


def test_a_feeder_is_balanced_at_its_own_pace(run, board_lamp):
    document = run("balance", board_lamp, "--line", "board", *RULE, "--json").document
    # Two boards a lamp in 60 s: 30 s; 38 s of work in steps of 12, 14, 12 s need two stations.
    assert (document["limit"], document["station_count"]) == (30.0, 2)


def test_all_lines_are_printed_in_one_list(run, board_lamp):
    document = run("balance", board_lamp, "--all-lines", *RULE, "--json").document
    assert [each["line"] for each in document["lines"]] == ["main", "board"]


@pytest.fixture
def bought_board(tmp_path):
    """Return the folder of the lamp whose boards are bought in."""
    lines = (BOARD_LAMP.lines[0], replace(BOARD_LAMP.lines[1], bought_in=True))
    return write_folder(tmp_path, replace(BOARD_LAMP, lines=lines, tasks=LAMP.tasks))


def test_a_bought_in_line_is_left_out_of_all_lines(run, bought_board):
    document = run("balance", bought_board, "--all-lines", *RULE, "--json").document
    assert [each["line"] for each in document["lines"]] == ["main"]


def test_a_bought_in_line_that_is_asked_for_is_told_so(run, bought_board):
    document = run("balance", bought_board, "--line", "board", *RULE, "--json").document
    assert [f["code"] for f in document["findings"]] == ["line-bought-in"]


def test_all_lines_is_the_only_key_of_the_list(run, board_lamp):
    document = run("balance", board_lamp, "--all-lines", *RULE, "--json").document
    assert list(document) == ["lines"]


def test_a_line_that_is_not_there_is_a_finding(run, lamp):
    document = run("balance", lamp, "--line", "other", *RULE, "--json").document
    assert [f["code"] for f in document["findings"]] == ["unknown-line"]


def test_an_instance_is_balanced_at_its_own_cycle_time(run, instance):
    document = run("balance", instance, "--json").document
    # Times 4, 3, 2 in a row at 5: [1], [2, 3].
    assert [s["tasks"] for s in document["stations"]] == [["1"], ["2", "3"]]


def test_times_of_an_instance_are_in_its_own_unit(run, instance):
    assert run("balance", instance, "--json").document["time_unit"] == "unit"


def test_an_instance_without_cycle_time_is_wrong_usage(run, instance_without_cycle_time):
    assert run("balance", instance_without_cycle_time).code == 2


def test_an_instance_without_cycle_time_can_be_given_a_takt(run, instance_without_cycle_time):
    assert run("balance", instance_without_cycle_time, "--limit", 9).code == 0


@pytest.mark.parametrize(
    "options",
    [
        ("--method", "largest-candidate", "--trials", "10"),
        ("--method", "largest-candidate", "--seconds", "10"),
        ("--method", "largest-candidate", "--seed", "1"),
        ("--method", "largest-candidate", "--cores", "1"),
        ("--method", "comsoal", "--direction", "both"),
        ("--method", "comsoal", "--cores", "2"),
        ("--method", "exact", "--trials", "10"),
        ("--method", "exact", "--direction", "forwards"),
        ("--method", "guesswork"),
        ("--limit", "0"),
        ("--limit", "-5"),
        ("--limit", "nan"),
        ("--limit", "inf"),
        ("--limit", "soon"),
        ("--limit", "1e300"),
        ("--stations", "0"),
        ("--stations", "two"),
        ("--stations", "4..9"),
        ("--stations", "9..4", "--best-efficiency"),
        ("--stations", "4", "--best-efficiency"),
        ("--best-efficiency",),
        ("--limit", "60", "--stations", "2..4", "--best-efficiency"),
        ("--seconds", "0"),
        ("--method", "comsoal", "--trials", "0"),
        ("--method", "comsoal", "--seed", "-1"),
        ("--cores", "0"),
        ("--memory", "3"),
        ("--memory", "much"),
        ("--nodes", "0"),
        ("--method", "comsoal", "--memory", "512"),
        ("--method", "largest-candidate", "--nodes", "5"),
        ("--direction", "sideways"),
        ("--line", "main", "--all-lines"),
        ("--line", "main", "--joint"),
        ("--all-lines", "--joint"),
        ("--joint", "--limit", "60"),
        ("--joint", "--stations", "3"),
        ("--joint", "--confirm"),
        ("--colour", "red"),
    ],
    ids=" ".join,
)
def test_wrong_usage_ends_with_two(run, lamp, options):
    assert run("balance", lamp, *options).code == 2


def test_wrong_usage_is_told_on_standard_error(run, lamp):
    ran = run("balance", lamp, *RULE, "--trials", 10)
    assert "does not use trials" in " ".join(ran.err.replace("│", " ").split())


def test_too_little_memory_is_told_with_the_least(run, lamp):
    said = " ".join(run("balance", lamp, "--memory", 3).err.replace("│", " ").split())
    assert "memory must be at least 64 MiB, got 3." in said


def test_wrong_usage_prints_nothing_on_standard_output(run, lamp):
    assert run("balance", lamp, *RULE, "--trials", 10, "--json").out == ""


def test_bounds_on_the_search_are_taken(run, lamp):
    ran = run("balance", lamp, "--memory", 64, "--nodes", 1_000_000, "--cores", 1, "--json")
    assert (ran.code, ran.document["station_count"]) == (0, 3)


@pytest.mark.parametrize(
    "options",
    [(), ("--stations", "3"), ("--stations", "2..3", "--best-efficiency"), RULE],
    ids=" ".join,
)
def test_a_second_solver_agrees(run, lamp, options):
    ran = run("balance", lamp, *options, "--confirm", "--json")
    assert (ran.code, ran.document["confirmation"]["agrees"]) == (0, True)


def test_what_a_second_solver_says_stands_in_the_text(run, lamp):
    said = run("balance", lamp, "--confirm").out
    assert "CP-SAT 9.15 agrees: no plan has fewer than 3 stations." in said


def test_a_second_solver_agrees_that_something_is_impossible(run, lamp):
    ran = run("balance", lamp, "--stations", 2, "--limit", 60, "--confirm", "--json")
    assert (ran.code, ran.document["confirmation"]["agrees"]) == (1, True)


def test_a_second_solver_hears_every_line(run, board_lamp):
    lines = run("balance", board_lamp, "--all-lines", "--confirm", "--json").document["lines"]
    assert [each["confirmation"]["agrees"] for each in lines] == [True, True]


def test_data_errors_are_not_confirmed(run, broken):
    assert run("balance", broken, "--confirm", "--json").document["confirmation"] is None


def test_an_instance_is_confirmed(run, instance):
    assert run("balance", instance, "--confirm", "--json").document["confirmation"]["agrees"]


def test_a_contradiction_ends_with_one(run, lamp, monkeypatch):
    said = Confirmation(engine="e", agrees=False, said="It found a plan of 2 stations.")
    monkeypatch.setattr("stationflow.actions.plans.confirming.confirm", lambda *_, **__: said)
    ran = run("balance", lamp, "--confirm")
    assert (ran.code, said.said in ran.out) == (1, True)


def test_a_solver_that_could_not_tell_ends_with_zero(run, lamp, monkeypatch):
    said = Confirmation(engine="e", agrees=None, said="It could not tell within 1 s.")
    monkeypatch.setattr("stationflow.actions.plans.confirming.confirm", lambda *_, **__: said)
    assert run("balance", lamp, "--confirm").code == 0


def test_a_source_that_is_not_there_is_wrong_usage(run):
    assert run("balance", "no-such-thing").code == 2


def test_a_source_that_is_not_there_is_named(run):
    assert "no-such-thing" in run("balance", "no-such-thing").err


def test_an_empty_source_is_wrong_usage(run):
    assert run("balance", "").code == 2


def test_a_source_too_long_for_a_path_is_told(run):
    assert "cannot be looked up" in run("balance", "x" * 5000).err


def test_a_finding_names_its_place_once(run, too_long):
    assert "Task 50: Task 50" not in run("balance", too_long, *RULE).out


def test_a_source_that_cannot_be_read_ends_with_one(run, tmp_path):
    (tmp_path / "photo.gif").write_bytes(b"GIF89a")
    assert run("balance", tmp_path / "photo.gif").code == 1


def test_a_source_that_cannot_be_read_still_prints_one_document(run, tmp_path):
    (tmp_path / "book.xlsx").write_bytes(b"this is no workbook")
    ran = run("balance", tmp_path / "book.xlsx", "--json")
    assert [f["severity"] for f in ran.document["findings"]] == ["error"]


def test_progress_is_one_json_object_a_line(run, lamp):
    events = [
        json.loads(line) for line in run("balance", lamp, "--progress", "--json").err.splitlines()
    ]
    assert {e["event"] for e in events} == {"better", "bound"}


def test_progress_says_when(run, lamp):
    lines = run("balance", lamp, "--progress", "--json").err.splitlines()
    assert all(json.loads(line)["seconds"] >= 0 for line in lines)


def test_progress_leaves_the_document_alone(run, lamp):
    assert list(run("balance", lamp, "--progress", "--json").document) == KEYS


def test_the_same_seed_gives_the_same_stations(run, lamp):
    asked = ("balance", lamp, "--method", "comsoal", "--seed", 3, "--json")
    assert run(*asked).document["stations"] == run(*asked).document["stations"]


def test_a_source_that_cannot_be_read_still_gives_the_whole_document(run, tmp_path):
    broken = tmp_path / "product.xlsx"
    broken.write_bytes(b"no workbook")
    read = run("balance", str(broken), "--json")
    assert read.code == 1
    assert read.document["source"] == str(broken)
    assert read.document["ending"] is None
    assert read.document["stations"] == []
    assert read.document["station_count"] is None
    assert [finding["code"] for finding in read.document["findings"]] == ["file-broken"]


def test_a_second_goal_stands_in_the_document(run, lamp):
    document = run("balance", lamp, "--then", "smoothest", "--json").document
    (then,) = document["then"]
    assert (then["goal"], then["value"]) == ("smoothest", document["smoothness_index"])


def test_without_a_second_goal_there_is_nothing_of_it(run, lamp):
    assert run("balance", lamp, "--json").document["then"] == []


def test_a_second_goal_stands_in_the_text(run, lamp):
    assert "cheapest equipment: 0, no plan" in run("balance", lamp, "--then", "least-equipment").out


@pytest.fixture
def movable(tmp_path):
    return write_folder(tmp_path / "movable", MOVABLE)


def test_all_lines_at_once_are_one_document_with_the_moved_tasks(run, movable):
    ran = run("balance", movable, "--joint", "--json")
    document = ran.document
    assert (ran.code, document["moved"]) == (0, [{"task": "30", "from": "main", "to": "board"}])
    assert (document["total_stations"], document["lower_bound"]) == (2, 2)
    assert (document["separate_stations"], document["ending"]) == (3, "optimal")
    assert [list(line) for line in document["lines"]] == [KEYS, KEYS]


def test_all_lines_at_once_are_told_with_what_moves(run, movable):
    said = run("balance", movable, "--joint").out
    assert "Balanced one by one they need 3." in said
    assert "Task 30 moves from line main to line board." in said


def test_all_lines_at_once_without_plans_end_with_one(run, tmp_path):
    tasks = (replace(MOVABLE.tasks[0], time_ms=90_000), *MOVABLE.tasks[1:])
    ran = run("balance", write_folder(tmp_path / "f", replace(MOVABLE, tasks=tasks)), "--joint")
    assert ran.code == 1
    assert "Not every line has a plan." in ran.out


def test_a_published_instance_has_no_lines_to_be_balanced_at_once(run, instance):
    assert run("balance", instance, "--joint").code == 2
