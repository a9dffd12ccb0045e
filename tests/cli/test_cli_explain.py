"""The command explain, through the last door."""

import json
from dataclasses import replace

import pytest
from small_products import LAMP, write_folder

from stationflow.model import Calendar, Demand


@pytest.fixture
def plan(run, lamp, tmp_path):
    """Return the file of a plan of the lamp."""
    made = run("balance", lamp, "--method", "ranked-positional-weight", "--json")
    path = tmp_path / "plan.json"
    path.write_text(made.out, "utf-8")
    return path


def test_without_a_word_the_numbers_are_listed(run, lamp, plan):
    assert "balance-efficiency-on-the-limit" in run("explain", lamp, "--plan", plan).out


def test_a_word_opens_a_number(run, lamp, plan):
    said = run("explain", lamp, "takt-time", "--plan", plan).out
    assert "28 800 s x 1 / 480 = 60.000 s" in said  # by hand: 480 min a day for 480 lamps


def test_the_competing_definition_is_told(run, lamp, plan):
    assert "Many books mean the limit" in run("explain", lamp, "cycle-time", "--plan", plan).out


def test_the_cross_check_is_told(run, lamp, plan):
    assert "Agrees:" in run("explain", lamp, "station-2", "--plan", plan).out


def test_a_plan_from_a_file_gets_its_bound_and_gap(run, lamp, plan):
    said = run("explain", lamp, "gap", "--plan", plan).out
    assert "3 / 3 - 1 = 0" in said  # three stations, and 150 / 60 s needs three, by hand


def test_several_words_open_several_numbers(run, lamp):
    document = run("explain", lamp, "takt-time", "station-time", "--json").document
    assert [n["key"] for n in document["numbers"]] == ["takt-time", "station-time"]


def test_the_document_holds_each_side_of_a_number(run, lamp):
    number = run("explain", lamp, "takt-time", "--json").document["numbers"][0]
    assert {"key", "name", "where", "value", "unit", "formula", "worked", "source", "other",
            "check"} == set(number)  # fmt: skip


def test_an_unknown_word_is_wrong_usage(run, lamp):
    assert run("explain", lamp, "colour").code == 2


def test_an_unknown_word_names_what_comes_near(run, lamp):
    assert "takt-time" in run("explain", lamp, "tackt-time").err


@pytest.mark.parametrize("word", ["balance-efficiency", "gap", "station-2", "limit", "stations"])
def test_a_word_that_needs_a_plan_says_so(run, lamp, word):
    asked = run("explain", lamp, word, "--json")
    errors = [f for f in asked.document["findings"] if f["severity"] == "error"]
    assert (asked.code, [f["code"] for f in errors]) == (1, ["no-plan"])
    assert "give a plan file" in errors[0]["hint"]


@pytest.mark.parametrize(
    "word",
    ["takt-time", "operating-takt", "workers", "overtime", "starts-per-week", "bound-half-limit"],
)
@pytest.mark.parametrize(
    ("lacking", "code"),
    [({"demand": Demand()}, "no-demand"), ({"calendar": Calendar()}, "no-working-time")],
    ids=["demand", "calendar"],
)
def test_a_word_of_a_pace_that_lacks_demand_or_calendar_is_a_finding(
    run, tmp_path, word, lacking, code
):
    folder = write_folder(tmp_path, replace(LAMP, **lacking))
    asked = run("explain", folder, word, "--json")
    assert (asked.code, asked.document["numbers"]) == (1, [])
    assert code in [f["code"] for f in asked.document["findings"] if f["severity"] == "error"]


def test_what_a_word_does_give_is_opened_beside_what_is_missing(run, tmp_path):
    folder = write_folder(tmp_path, replace(LAMP, demand=Demand()))
    asked = run("explain", folder, "order-strength", "takt-time", "--json")
    assert (asked.code, [n["key"] for n in asked.document["numbers"]]) == (1, ["order-strength"])


@pytest.mark.parametrize("word", ["limit", "balance-efficiency-on-the-limit"])
def test_a_plan_without_a_limit_says_that_it_has_none(run, lamp, tmp_path, word):
    made = run("balance", lamp, "--stations", 2, "--method", "ranked-positional-weight", "--json")
    path = tmp_path / "free.json"
    path.write_text(made.out, "utf-8")
    asked = run("explain", lamp, word, "--plan", path, "--json")
    errors = [f["code"] for f in asked.document["findings"] if f["severity"] == "error"]
    assert (asked.code, errors) == (1, ["no-limit"])


def test_another_line_is_asked_for(run, board_lamp):
    document = run("explain", board_lamp, "takt-time", "--line", "board", "--json").document
    assert (document["line"], document["numbers"][0]["value"]) == ("board", 30)


def test_an_unknown_line_is_a_finding(run, lamp):
    asked = run("explain", lamp, "--line", "moon", "--json")
    assert (asked.code, asked.document["findings"][0]["code"]) == (1, "unknown-line")


def test_a_broken_draft_says_what_to_cure(run, broken):
    asked = run("explain", broken, "--json")
    assert "no-demand" in [f["code"] for f in asked.document["findings"]]


def test_a_plan_file_that_is_none_is_a_finding(run, lamp, tmp_path):
    path = tmp_path / "none.json"
    path.write_text(json.dumps([1]), "utf-8")
    assert run("explain", lamp, "--plan", path).code == 1
