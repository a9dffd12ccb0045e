"""`rebalance`: from an old plan to a new limit with the fewest moves, and the JSON contract."""

import json
from dataclasses import replace

import pytest
from small_products import LAMP, write_folder

from stationflow.model import TaskLimits

# The lamp: 10 (30 s), 20 (25), 30 (35), 40 (20), 50 (40); 10 before 20 and 30, both before 40
# before 50. By hand, from the four stations below to a limit of 60 s, three stations (150 / 60):
# the last is 40 and 50 (60 s) or 50 alone, and the 110 s before it are at most 60 at a station:
# 10 20 | 30 40 | 50 or 10 20 | 30 | 40 50. 20 leaves its station in both: one move at least, and
# with 30 and 40 staying together one is enough.
FOUR = {1: ["10"], 2: ["20"], 3: ["30", "40"], 4: ["50"]}


def a_plan(**more):
    stations = more.pop("stations", FOUR)
    listed = [{"number": number, "tasks": tasks} for number, tasks in stations.items()]
    return {"line": "main", "stations": listed} | more


@pytest.fixture
def old(tmp_path):
    """Return a function that writes an old plan and says where."""

    def write(document):
        path = tmp_path / "old.json"
        path.write_text(json.dumps(document), "utf-8")
        return path

    return write


@pytest.fixture
def made(run, lamp, old):
    """Return the document of the lamp rebalanced from its four stations at 60 s."""
    return run("rebalance", lamp, "--from", old(a_plan()), "--limit", "60", "--json").document


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("line", "main"),
        ("goal", "fewest-moves"),
        ("method", "rebalance"),
        ("ending", "optimal"),
        ("station_count", 3),
        ("limit", 60.0),
        ("takt_time", None),
        ("cycle_time", 55.0),
        ("lower_bound", 1),
        ("moves", [{"task": "20", "from": 2, "to": 1}]),
        ("move_count", 1),
        ("fewest_moves_proved", True),
        ("closed", [2]),
        ("added", []),
        ("gone", []),
        ("findings", []),
    ],
)
def test_the_document_says(made, field, value):
    assert made[field] == value


@pytest.mark.parametrize(
    ("pins", "moves", "stations"),
    # With 20 at the second station only 10 fits before it, 30 beside it, and 40 and 50 come last;
    # with 10 at the first nothing changes.
    [
        ({"tasks": {"20": 2}, "stations": []}, 2, [["10"], ["20", "30"], ["40", "50"]]),
        ({"tasks": {"10": 1}, "stations": []}, 1, [["10", "20"], ["30", "40"], ["50"]]),
    ],
)
def test_what_the_old_plan_pins_stays(run, lamp, old, pins, moves, stations):
    path = old(a_plan(pins=pins))
    document = run("rebalance", lamp, "--from", path, "--limit", "60", "--json").document
    assert (document["pins"], document["move_count"]) == (pins, moves)
    assert [station["tasks"] for station in document["stations"]] == stations


def test_stations_are_numbered_anew_and_say_what_they_were(made):
    said = [(s["number"], s["was"], s["tasks"]) for s in made["stations"]]
    assert said == [(1, 1, ["10", "20"]), (2, 3, ["30", "40"]), (3, 4, ["50"])]


def test_what_balance_printed_can_be_taken_as_it_is(run, lamp, tmp_path):
    printed = run("balance", lamp, "--json").out
    path = tmp_path / "plan.json"
    path.write_text(printed, "utf-8")
    document = run("rebalance", lamp, "--from", path, "--json").document
    assert (document["move_count"], document["fewest_moves_proved"]) == (0, True)


def test_the_document_of_all_lines_gives_the_line_asked_for(run, board_lamp, tmp_path):
    path = tmp_path / "plans.json"
    path.write_text(run("balance", board_lamp, "--all-lines", "--json").out, "utf-8")
    ran = run("rebalance", board_lamp, "--from", path, "--line", "board", "--json")
    assert (ran.document["line"], ran.document["move_count"]) == ("board", 0)


def test_without_limit_and_stations_the_demand_sets_the_limit(run, lamp, old):
    document = run("rebalance", lamp, "--from", old(a_plan()), "--json").document
    assert (document["limit"], document["takt_time"], document["move_count"]) == (60.0, 60.0, 1)


def test_a_number_of_stations_alone_asks_for_the_shortest_cycle_first(run, lamp, old):
    ran = run("rebalance", lamp, "--from", old(a_plan()), "--stations", 3, "--json")
    # With three stations no cycle is under 55 s (small_products), reached by the plan above.
    assert (ran.document["cycle_time"], ran.document["limit"]) == (55.0, None)
    assert ran.document["move_count"] == 1


def test_with_both_the_moves_are_fewest_whatever_the_stations(run, lamp, old):
    ran = run("rebalance", lamp, "--from", old(a_plan()), "--limit", 60, "--stations", 4, "--json")
    assert (ran.document["station_count"], ran.document["move_count"]) == (4, 0)


def test_too_few_stations_are_impossible_with_the_reason(run, lamp, old):
    ran = run("rebalance", lamp, "--from", old(a_plan()), "--limit", 60, "--stations", 2, "--json")
    document = ran.document
    assert (ran.code, document["ending"], document["stations"]) == (1, "impossible", [])
    assert "2 x 60 = 120 s" in document["findings"][0]["message"]


def test_limits_that_cannot_hold_are_named(run, tmp_path, old):
    tasks = [
        replace(LAMP.tasks[0], limits=TaskLimits(station=2)),
        replace(LAMP.tasks[1], limits=TaskLimits(station=1)),
        *LAMP.tasks[2:],
    ]
    folder = write_folder(tmp_path / "clash", replace(LAMP, tasks=tuple(tasks)))
    ran = run("rebalance", folder, "--from", old(a_plan()), "--json")
    assert (ran.code, ran.document["ending"]) == (1, "impossible")
    assert {finding["code"] for finding in ran.document["findings"]} == {"limits-clash"}


def test_new_tasks_and_tasks_that_are_gone_are_listed_and_no_moves(run, lamp, old):
    stations = {1: ["10", "05"], 2: ["20"], 4: ["40", "50"]}
    document = run(
        "rebalance", lamp, "--from", old(a_plan(stations=stations)), "--limit", 60, "--json"
    ).document
    assert (document["added"], document["gone"]) == (["30"], ["05"])
    assert "30" not in {move["task"] for move in document["moves"]}
    assert {f["code"] for f in document["findings"]} == {"tasks-added", "tasks-gone"}


@pytest.mark.parametrize(
    ("document", "said"),
    [
        (a_plan(stations={1: ["10", "20"], 2: ["20"]}), "It has task 20 more than once."),
        (a_plan(stations={1: ["a"], 2: ["b"]}), "It has none of the tasks of line main."),
        (a_plan(line="board"), "The product has no such line; its lines are: main."),
        ({"line": "main", "stations": [{"number": 0, "tasks": []}]}, "it must be whole, from 1."),
        (
            {"line": "main", "stations": [{"number": 1, "tasks": []}] * 2},
            "Station 1 stands there more than once.",
        ),
        ([], "It does not name the line."),
    ],
)
def test_an_old_plan_that_cannot_be_used_is_a_sentence(run, lamp, old, document, said):
    ran = run("rebalance", lamp, "--from", old(document), "--json")
    assert (ran.code, ran.document["ending"], ran.document["goal"]) == (1, None, "fewest-moves")
    assert any(said in finding["message"] for finding in ran.document["findings"])


def test_a_file_that_is_not_there_is_a_sentence(run, lamp, tmp_path):
    ran = run("rebalance", lamp, "--from", tmp_path / "none.json", "--json")
    assert ran.code == 1
    assert "It cannot be read" in ran.document["findings"][0]["message"]


@pytest.mark.parametrize(
    "wrong",
    [
        (),
        ("--from", "x.json", "--limit", "0"),
        ("--from", "x.json", "--stations", "3..4"),
        ("--from", "x.json", "--stations", "0"),
        ("--from", "x.json", "--seconds", "0"),
        ("--from", "x.json", "--weights", "work=1"),
        ("--from", "x.json", "--weights", "moves=0"),
    ],
)
def test_wrong_usage_ends_with_two(run, lamp, wrong):
    assert run("rebalance", lamp, *wrong).code == 2


def test_an_instance_without_cycle_time_asks_for_a_limit(run, tmp_path, old):
    instance = tmp_path / "open.alb"
    instance.write_text("<number of tasks>\n1\n<task times>\n1 4\n<precedence relations>\n<end>\n")
    plan = old(a_plan(stations={1: ["1"]}))
    assert run("rebalance", instance, "--from", plan).code == 2
    assert run("rebalance", instance, "--from", plan, "--limit", 4).code == 0


def test_without_json_the_cut_over_is_listed_in_order(run, lamp, old):
    out = run("rebalance", lamp, "--from", old(a_plan()), "--limit", 60).out
    assert "1 task moves. Proven: no such plan moves fewer." in out
    assert "Closed: old station 2." in out
    assert "Renumbered: old station 3 is now 2, 4 is now 3." in out
    assert (
        "Step 1: Bring Screwdriver to station 1. Move task 20 from station 2 to station 1. "
        "Take Screwdriver away from station 2. Close station 2."
    ) in out


def test_weights_can_ask_for_fewer_cards_instead_of_fewer_moves(run, lamp, old):
    plan = old(a_plan())
    ran = run(
        "rebalance", lamp, "--from", plan, "--limit", 60, "--weights", "cards=1", "--json"
    ).document
    # 10 20 | 30 40 | 50: one list is another; that of the other plan, 10 20 | 30 | 40 50: all are.
    assert (ran["lower_bound"], ran["upheaval"]["cards"]) == (1, 1)
    assert ran["fewest_moves_proved"] is False
