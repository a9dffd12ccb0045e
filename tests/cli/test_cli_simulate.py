"""`simulate` gives output with its limits, what each station did, and what limits the line."""

import pytest

RULE = ("--method", "largest-candidate")
SHORT = ("--hours", 2, "--replications", 3)


@pytest.fixture
def plans(run, board_lamp, tmp_path):
    """Write the plans of lamp and board as `balance --all-lines --json` prints them."""
    path = tmp_path / "plans.json"
    path.write_text(run("balance", board_lamp, "--all-lines", *RULE, "--json").out, "utf-8")
    return path


@pytest.fixture
def document(run, board_lamp, plans):
    ran = run("simulate", board_lamp, "--plan", plans, *SHORT, "--json")
    assert ran.code == 0
    return ran.document


def test_the_mean_lies_between_its_limits(document):
    told = document["output_per_h"]
    assert told["low"] <= told["mean"] <= told["high"]


def test_a_line_without_scatter_and_stops_makes_one_unit_each_pace(document):
    """480 units in 28 800 s: one in 60 s, no task scatters, nothing stops."""
    assert document["output_per_h"]["mean"] == pytest.approx(60, rel=0.02)


def test_little_s_law_holds_for_units_under_way(document):
    """Under way = rate x time in system (Little 1961)."""
    rate = document["output_per_h"]["mean"] / 3600
    assert document["wip"] == pytest.approx(rate * document["time_in_system_s"], rel=0.05)


def test_the_shares_of_each_station_add_up_to_one(document):
    names = ("worked", "blocked", "starved", "stopped")
    sums = [sum(each[name] for name in names) for each in document["stations"]]
    assert sums == pytest.approx([1.0] * len(sums))
    assert {each["line"] for each in document["stations"]} == {"main", "board"}


def test_the_same_seed_gives_the_same_answer(run, board_lamp, plans, document):
    again = run("simulate", board_lamp, "--plan", plans, *SHORT, "--seed", 1, "--json").document
    assert again == document


def test_the_text_names_the_limits_and_the_stations(run, board_lamp, plans):
    said = run("simulate", board_lamp, "--plan", plans, *SHORT).out
    assert "95 % limits of the mean" in said
    assert "main 1" in said


def test_without_a_plan_in_force_it_ends_with_one_and_says_what_to_do(run, lamp):
    ran = run("simulate", lamp, *SHORT, "--json")
    assert ran.code == 1
    told = [f for f in ran.document["findings"] if f["code"] == "no-plan"]
    assert "Balance the line and put the plan in force" in told[0]["hint"]


@pytest.mark.parametrize(
    "wrong", [("--hours", 0), ("--replications", 0), ("--seed", -1), ("--hours", "x")]
)
def test_wrong_usage_ends_with_two(run, lamp, wrong):
    assert run("simulate", lamp, *wrong).code == 2
