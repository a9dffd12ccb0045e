"""The command curve, through the last door."""

import json

import pytest
from small_products import BOARD_LAMP, EMPTY, write_folder

# Five tasks of 30, 25, 35, 20 and 40 s, by hand: in two stations 10 30 | 20 40 50 of 85 s, in
# three 10 20 | 30 40 | 50 of 55 s, in four 10 | 30 | 20 40 | 50 of 45 s.
LAMP_POINTS = [(1, 150.0), (2, 85.0), (3, 55.0), (4, 45.0), (5, 40.0)]

ALB = """<number of tasks>
3
<cycle time>
5
<task times>
1 3
2 4
3 2
<precedence relations>
1,2
<end>
"""


def points(document: dict) -> list[tuple[int, float]]:
    return [(point["stations"], point["cycle_time"]) for point in document["points"]]


def test_every_number_of_stations_has_its_shortest_cycle(run, lamp):
    document = run("curve", lamp, "--json").document
    assert points(document) == LAMP_POINTS
    assert all(point["proven"] for point in document["points"])


def test_the_answer_to_the_demand_is_named(run, lamp):
    document = run("curve", lamp, "--json").document
    assert (document["limit"], document["answer"], document["answer_proven"]) == (60, 3, 3)


def test_the_table_marks_the_answer(run, lamp):
    (marked,) = [row for row in run("curve", lamp).out.splitlines() if "<- demand" in row]
    assert marked.split()[:3] == ["3", "55.0", "s"]


def test_the_words_say_what_the_demand_needs_and_where_it_is_flat(run, lamp):
    said = run("curve", lamp).out
    assert "Demand asks for 60.0 s: 3 stations keep it" in said
    assert "From 5 stations on it is flat: the longest task takes 40.0 s" in said


def test_each_point_brings_its_plan(run, lamp):
    document = run("curve", lamp, "--json").document
    assert document["points"][2]["plan"] == [["10", "20"], ["30", "40"], ["50"]]


def test_a_line_is_chosen(run, tmp_path):
    document = run(
        "curve", write_folder(tmp_path, BOARD_LAMP), "--line", "board", "--json"
    ).document
    assert points(document) == [(1, 38.0), (2, 26.0), (3, 14.0)]  # 12, 14 and 12 s in a row


def test_a_published_instance_has_a_curve_and_its_own_limit(run, tmp_path):
    (tmp_path / "three.alb").write_text(ALB, "utf-8")
    document = run("curve", tmp_path / "three.alb", "--json").document
    # By hand: 3 before 4, and 2 anywhere; 3 + 2 | 4.
    assert (points(document), document["answer"]) == ([(1, 9.0), (2, 5.0), (3, 4.0)], 2)


def test_a_broken_draft_has_no_curve(run, broken):
    ran = run("curve", broken, "--json")
    assert (ran.code, ran.document["points"]) == (1, [])


def test_a_product_without_tasks_says_so(run, tmp_path):
    ran = run("curve", write_folder(tmp_path, EMPTY))
    assert (ran.code, "It has no tasks." in ran.out) == (1, True)


def test_an_unknown_line_ends_with_one(run, lamp):
    assert run("curve", lamp, "--line", "nowhere").code == 1


@pytest.mark.parametrize(
    "options",
    [
        ("--seconds", "-1"),
        ("--seconds-each", "0"),
        ("--cores", "0"),
        ("--memory", "1"),
        ("--limit", "60"),
    ],
)
def test_options_out_of_range_are_wrong_usage(run, lamp, options):
    assert run("curve", lamp, *options).code == 2


def test_points_are_told_on_the_way(run, lamp):
    events = [
        json.loads(row) for row in run("curve", lamp, "--progress", "--json").err.splitlines()
    ]
    assert {event["event"] for event in events} == {"point"}
    last = {event["stations"]: event["cycle_time"] for event in events}
    assert sorted(last.items()) == LAMP_POINTS


def test_a_balance_says_why_it_cannot_be_less(run, lamp):
    said = run("balance", lamp, "--method", "most-followers").out
    assert "Not fewer than 3 stations: the work content of 150 s needs 3 at 60 s" in said
