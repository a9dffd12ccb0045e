"""The JSON of a balanced line. The textbook balance is worked out by hand beside it."""

import json
import math
from dataclasses import replace
from pathlib import Path

import pytest
from small_plans import answer, changed, station

from stationflow.balancing.given_stations import GivenStation
from stationflow.files.plan_document import plan_document, read_plan_document
from stationflow.model import (
    Confirmation,
    Direction,
    Goal,
    OperatorWork,
    Pins,
    Side,
    Stopped,
    note,
)

# Loads 40, 50 and 30 against a limit of 60: 120 / (3 x 60) = 2/3 efficiency;
# smoothness sqrt((50-40)^2 + 0 + (50-30)^2) = sqrt(500) = 22.36.
BALANCED = answer(
    station(1, ("10", "20"), 40.0),
    station(2, ("30",), 50.0, operators=2),
    station(3, ("40",), 30.0),
    method="comsoal",
    engine="stationflow 0.1.0",
    direction=Direction.FORWARDS,
    limit=60.0,
    lower_bound=2,
    seed=1,
    trials=10,
)
WITHOUT_PLAN = answer(limit=60.0)
FIELDS = [
    "source", "line", "goal", "method", "engine", "direction", "ending", "limits_kept",
    "stations", "station_count", "limit", "stations_asked", "stations_asked_from", "pins",
    "takt_time", "operating_takt", "cycle_time", "lower_bound",
    "balance_efficiency", "balance_delay", "smoothness_index", "time_unit", "seed", "trials",
    "cores", "nodes", "memory_mb", "stopped", "then", "runtime_s",
    "confirmation", "findings",
]  # fmt: skip


def test_the_document_has_the_fields_that_are_promised():
    assert list(plan_document("pump", BALANCED)) == FIELDS


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("source", "pump"),
        ("goal", "fewest-stations"),
        ("ending", "found"),
        ("direction", "forwards"),
        ("station_count", 3),
        ("limit", 60.0),
        ("takt_time", None),
        ("cycle_time", 50.0),
        ("balance_efficiency", pytest.approx(2 / 3)),
        ("balance_delay", pytest.approx(1 / 3)),
        ("smoothness_index", pytest.approx(22.360679, abs=1e-6)),
        ("time_unit", "s"),
    ],
)
def test_a_field_says_what_was_worked_out(field: str, value: object):
    assert plan_document("pump", BALANCED)[field] == value


def test_a_station_lists_tasks_work_and_operators():
    assert plan_document("pump", BALANCED)["stations"][1] == {
        "number": 2,
        "place": "2",
        "side": None,
        "copies": 1,
        "tasks": ["30"],
        "work": 50.0,
        "work_by_model": {},
        "operators": 2,
        "operator_work": [
            {"operator": 1, "tasks": [{"task": "30", "start": 0.0}]},
            {"operator": 2, "tasks": []},
        ],
    }


@pytest.mark.parametrize(
    "field",
    ["ending", "station_count", "cycle_time", "balance_efficiency", "balance_delay"],
)
def test_without_a_plan_a_field_is_null(field: str):
    assert plan_document("pump", WITHOUT_PLAN)[field] is None


def test_without_a_limit_the_cycle_time_is_the_base():
    # 120 / (3 x 50) = 0.8
    free = changed(answer(*BALANCED.stations), stations=3)
    assert plan_document("pump", free)["balance_efficiency"] == pytest.approx(0.8)


def test_how_far_a_search_went_is_written():
    searched = changed(BALANCED, nodes=1234, memory_mb=56.5, stopped=Stopped.MEMORY)
    document = plan_document("pump", searched)
    written = (document["nodes"], document["memory_mb"], document["stopped"])
    assert written == (1234, 56.5, "memory")


def test_a_confirmation_is_written_with_all_its_fields():
    said = Confirmation(engine="ortools 9.15", agrees=None, said="It could not.", runtime_s=2.5)
    assert plan_document("pump", BALANCED, said)["confirmation"] == {
        "engine": "ortools 9.15",
        "agrees": None,
        "said": "It could not.",
        "runtime_s": 2.5,
    }


def test_a_finding_is_written_with_all_its_fields():
    result = answer(
        findings=(note("time-rounded", "Task 10", "It was rounded.", "Nothing to do."),)
    )
    assert plan_document("pump", result)["findings"] == [
        {
            "severity": "note",
            "code": "time-rounded",
            "where": "Task 10",
            "message": "It was rounded.",
            "hint": "Nothing to do.",
        }
    ]


def test_a_document_is_read_back():
    plan, _ = read_plan_document(json.dumps(plan_document("pump", BALANCED)))
    assert plan is not None
    held = [(station.number, station.tasks) for station in plan.stations]
    assert held == [(1, ("10", "20")), (2, ("30",)), (3, ("40",))]


def test_where_a_station_stands_and_who_works_there_is_read_back():
    hall = replace(
        station(2, ("30", "40"), 50.0),
        place="A 12",
        side=Side.LEFT,
        copies=2,
        operators=(OperatorWork(tasks=(("30", 0),)), OperatorWork(tasks=(("40", 12_500),))),
    )
    written = plan_document("pump", answer(BALANCED.stations[0], hall, limit=60.0))
    plan, _ = read_plan_document(json.dumps(written))
    assert plan is not None
    assert plan.stations[1] == GivenStation(
        2,
        ("30", "40"),
        place="A 12",
        side=Side.LEFT,
        copies=2,
        operators=((("30", 0.0),), (("40", 12.5),)),
    )


# Two operators, nobody says who does what: the first does all, as in older documents.
def test_a_number_of_operators_alone_is_read_back():
    text = '{"line": "main", "stations": [{"number": 1, "tasks": ["10"], "operators": 2}]}'
    plan, _ = read_plan_document(text)
    assert plan is not None
    assert plan.stations[0].operators == ((("10", 0.0),), ())


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"place": 12}, "Its place is '12'; it must be text in quotes."),
        ({"side": "up"}, "Its side is 'up'; it must be null or one of left, right, either."),
        ({"side": ["left"]}, "Its side is \"['left']\"; it must be null"),
        ({"copies": 0}, "Its copies are '0'; it must be whole, from 1."),
        ({"copies": None}, "Its copies are 'None'; it must be whole"),
        ({"operators": 1.5}, "Its operators are '1.5'; it must be whole, from 1 to 99."),
        ({"operators": 10**9}, "it must be whole, from 1 to 99."),
        ({"operator_work": "10"}, "Its operator_work must be a list"),
        ({"operator_work": [{"tasks": [{"task": "10"}]}]}, "with their starts, from 0"),
        ({"operator_work": [{"tasks": [{"task": "10", "start": -1}]}]}, "with their starts"),
        ({"operator_work": [{"tasks": [{"task": "10", "start": math.nan}]}]}, "with their starts"),
        ({"operator_work": []}, "Task '10' must stand once in its tasks and once"),
        (
            {"operator_work": [{"tasks": [{"task": "10", "start": 0}]}] * 2},
            "Task '10' must stand once in its tasks and once",
        ),
        (
            {"operators": 2, "operator_work": [{"tasks": [{"task": "10", "start": 0}]}]},
            "Its operators are 2, but its operator_work is of 1.",
        ),
    ],
)
def test_a_value_of_a_station_that_cannot_be_read_is_a_finding(said: dict[str, object], words: str):
    stations = [{"number": 1, "tasks": ["10"], **said}]
    plan, findings = read_plan_document(json.dumps({"line": "main", "stations": stations}))
    assert (plan, [f.where for f in findings]) == (None, ["plan, station 1"])
    assert words in findings[0].message


def test_what_a_document_says_beyond_a_plan_is_not_looked_at():
    stations = [{"number": 1, "tasks": ["10"], "work": "?", "colour": 3}]
    text = json.dumps({"line": "main", "stations": stations, "author": None})
    assert read_plan_document(text)[1] == ()


def test_line_and_stations_are_enough(tmp_path: Path):
    path = tmp_path / "plan.json"
    path.write_text('{"line": "main", "stations": [{"number": 1, "tasks": ["10"]}]}', "utf-8")
    plan, _ = read_plan_document(path)
    assert plan is not None
    assert (plan.line, [station.tasks for station in plan.stations]) == ("main", [("10",)])


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "3",
        "[" * 100_000,
        '{"line": "main"}',
        '{"line": "main", "stations": []}',
        '{"stations": [{"number": 1, "tasks": []}]}',
        '{"line": "main", "stations": [1]}',
        '{"line": "main", "stations": [{"number": 0, "tasks": []}]}',
        '{"line": "main", "stations": [{"number": true, "tasks": []}]}',
        '{"line": "main", "stations": [{"number": 1, "tasks": [10]}]}',
        '{"line": "main", "stations": [{"number": 1, "tasks": []}, {"number": 1, "tasks": []}]}',
    ],
)
def test_a_document_that_is_no_plan_is_a_finding(text: str):
    plan, findings = read_plan_document(text)
    assert (plan, {f.code for f in findings}) == (None, {"plan-file-broken"})


def test_a_document_that_is_not_there_is_a_finding(tmp_path: Path):
    _, findings = read_plan_document(tmp_path / "gone.json")
    assert [f.code for f in findings] == ["plan-file-broken"]


ALL_LINES = json.dumps(
    {
        "lines": [
            {"line": "board", "stations": [{"number": 1, "tasks": ["B1"]}]},
            {"line": "main", "stations": [{"number": 1, "tasks": ["10"]}]},
        ]
    }
)


@pytest.mark.parametrize(("asked", "line"), [(None, "main"), ("board", "board")])
def test_of_all_lines_the_one_asked_for_is_read_or_the_main_line(asked: str | None, line: str):
    plan, findings = read_plan_document(ALL_LINES, asked)
    assert (plan and plan.line, findings) == (line, ())


def test_the_only_line_of_a_list_is_meant():
    text = json.dumps({"lines": json.loads(ALL_LINES)["lines"][:1]})
    plan, _ = read_plan_document(text)
    assert plan is not None
    assert plan.line == "board"


def test_a_line_that_is_not_among_all_lines_is_a_finding():
    _, findings = read_plan_document(ALL_LINES, "case")
    assert [f.message for f in findings] == [
        "It has no plan for line case; its lines are: board, main."
    ]


def test_a_plan_of_another_line_is_a_finding():
    text = json.dumps(json.loads(ALL_LINES)["lines"][0])
    _, findings = read_plan_document(text, "main")
    assert [f.message for f in findings] == ["The plan is for line board, not for line main."]


@pytest.mark.parametrize(
    ("said", "goal", "limit", "stations"),
    [
        ({"limit": 60}, Goal.FEWEST_STATIONS, 60.0, None),
        ({"takt": 60}, Goal.FEWEST_STATIONS, 60.0, None),  # the older word
        ({"limit": 55, "takt": 60}, Goal.FEWEST_STATIONS, 55.0, None),
        ({"limit": None}, Goal.SHORTEST_CYCLE, None, 1),
        ({"goal": "shortest-cycle"}, Goal.SHORTEST_CYCLE, None, 1),
        ({"limit": None, "stations_asked": 4}, Goal.SHORTEST_CYCLE, None, 4),
        ({"goal": "feasible", "limit": 60, "stations_asked": 3}, Goal.FEASIBLE, 60.0, 3),
        ({"goal": "best-efficiency", "limit": None}, Goal.BEST_EFFICIENCY, None, 1),
        ({}, Goal.FEWEST_STATIONS, None, None),  # the demand is to set the limit
    ],
)
def test_the_question_of_a_plan_is_read(said, goal, limit, stations):
    text = json.dumps({"line": "main", "stations": [{"number": 1, "tasks": ["10"]}], **said})
    plan, _ = read_plan_document(text)
    assert plan is not None
    assert (plan.asked.goal, plan.asked.limit, plan.asked.stations) == (goal, limit, stations)


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("limit", "soon", "Its limit is 'soon'; it must be null or a number above 0."),
        ("limit", 0, "it must be null or a number above 0."),
        ("takt", -60, "Its takt is '-60'"),
        ("goal", "best", "it must be null or one of fewest-stations, shortest-cycle"),
        ("direction", "up", "it must be null or one of forwards, backwards, both."),
        ("seed", 1.5, "Its seed is '1.5'; it must be null or a whole number."),
        ("runtime_s", "long", "Its runtime_s is 'long'; it must be null or a number from 0."),
        ("stations_asked", 0, "it must be null or a whole number from 1."),
        ("engine", 3, "it must be null or text in quotes."),
        ("pins", {"tasks": {"10": "three"}}, 'it must be null or like {"tasks": {"10": 3}'),
        ("pins", [2], 'it must be null or like {"tasks": {"10": 3}'),
    ],
)
def test_what_a_plan_says_of_its_question_and_cannot_be_read_is_a_finding(key, value, words):
    stations = [{"number": 1, "tasks": ["10"]}]
    plan, findings = read_plan_document(
        json.dumps({"line": "main", "stations": stations, key: value})
    )
    assert (plan, len(findings)) == (None, 1)
    assert words in findings[0].message


def test_what_was_asked_and_done_for_a_plan_is_read_back():
    free = changed(
        BALANCED,
        limit=None,
        stations=3,
        cores=2,
        pins=Pins(tasks=(("30", 2),), stations=(3,)),
        nodes=7,
        memory_mb=1.5,
        runtime_s=2.5,
    )
    plan, _ = read_plan_document(json.dumps(plan_document("pump", free)))
    assert plan is not None
    assert (plan.asked, plan.effort) == (
        replace(free.asked, direction=Direction.FORWARDS, trials=None),
        free.effort,
    )


def test_stations_are_read_in_line_order():
    held = [{"number": 2, "tasks": ["20"]}, {"number": 1, "tasks": ["10"]}]
    plan, _ = read_plan_document(json.dumps({"line": "main", "stations": held}))
    assert plan is not None
    assert [station.number for station in plan.stations] == [1, 2]


def test_a_station_says_its_work_for_each_model():
    held = replace(station(1, ("10",), 40.0), model_ticks=(("A", 38_000), ("B", 44_500)))
    document = plan_document("pump", answer(held, limit=60.0))
    assert document["stations"][0]["work_by_model"] == {"A": 38.0, "B": 44.5}
