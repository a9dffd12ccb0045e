"""`simulate` gives output with its limits, what each station did, and what limits the line."""

import json

import pytest

from stationflow.line.simulation import plans_at_once

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


def test_nothing_is_simulated_without_what_was_not_read(run, board_lamp, plans):
    header = board_lamp / "product.toml"
    text = header.read_text("utf-8")
    header.write_text(text.replace("join = ", 'carriers = "4 or 5"\njoin = '), "utf-8")
    ran = run("simulate", board_lamp, "--plan", plans, "--json")
    assert ran.code == 1
    assert ran.document["output_per_h"] == {"mean": None, "low": None, "high": None}
    assert (ran.document["time_in_system_s"], ran.document["wip"]) == (None, None)
    assert [f["code"] for f in ran.document["findings"]] == ["value-not-read"]
    said = run("simulate", board_lamp, "--plan", plans).out
    assert said.startswith("Nothing was simulated.")
    assert "Good units an hour" not in said


@pytest.fixture
def slow(plans, tmp_path):
    """Write the plans with all tasks of the lamp at one station of 150 s: 24 units an hour."""
    told = json.loads(plans.read_text("utf-8"))
    main = next(each for each in told["lines"] if each["line"] == "main")
    tasks = [task for station in main["stations"] for task in station["tasks"]]
    main |= {"stations": [{"number": 1, "tasks": tasks}], "limit": 150}
    path = tmp_path / "slow.json"
    path.write_text(json.dumps(told), "utf-8")
    return path


@pytest.fixture
def ranked(run, board_lamp, plans, slow):
    """Return a function that simulates both plans, and what else is asked for."""

    def simulated(*more):
        return run("simulate", board_lamp, "--plan", slow, "--plan", plans, *SHORT, *more)

    return simulated


def test_several_plans_are_ranked_by_their_output(ranked, plans, slow):
    document = ranked("--processes", 1, "--json").document
    assert [each["plan"] for each in document["plans"]] == [str(plans), str(slow)]


def test_each_plan_but_the_best_has_its_difference_to_it(ranked, plans, slow):
    """24 - 60 units an hour; nothing scatters."""
    (told,) = ranked("--processes", 1, "--json").document["differences"]
    assert (told["plan"], told["best"]) == (str(slow), str(plans))
    assert told["more_per_h"]["mean"] == pytest.approx(-36, rel=0.02)


def test_each_of_several_plans_has_the_document_it_has_alone(ranked, document):
    best = ranked("--processes", 1, "--json").document["plans"][0]
    assert {name: best[name] for name in document} == document


def test_the_text_ranks_the_plans_with_limits_and_difference(ranked, plans):
    said = ranked("--processes", 1).out
    row = next(line for line in said.splitlines() if line.startswith("2. "))
    assert "same random numbers" in said
    assert f"1. {plans}" in said
    assert row.count(" to ") == 2


def test_a_cluster_gives_the_same_ranking(ranked):
    from distributed import LocalCluster

    with LocalCluster(
        n_workers=1,
        threads_per_worker=1,
        processes=False,
        protocol="tcp",
        dashboard_address=None,
        worker_dashboard_address=None,
    ) as cluster:
        shared_out = ranked("--cluster", cluster.scheduler_address, "--json").document
    assert shared_out == ranked("--processes", 1, "--json").document


@pytest.mark.parametrize(
    ("address", "problem"),
    # Nobody listens at port 9 (discard) of a machine that does not offer it.
    [("tcp://127.0.0.1:9", "nobody answers there"), ("hello", "missing port number")],
)
def test_an_address_that_answers_nobody_ends_with_one_and_what_to_do(
    ranked, monkeypatch, address, problem
):
    monkeypatch.setattr(plans_at_once, "ANSWER_S", 0.5)
    ran = ranked("--cluster", address)
    assert ran.code == 1
    assert problem in ran.err
    assert "Give the address of a Dask scheduler that runs" in ran.err
    assert "Traceback" not in ran.err


def test_a_scheduler_without_workers_is_named(ranked):
    from distributed import LocalCluster

    with LocalCluster(n_workers=0, protocol="tcp", dashboard_address=None) as cluster:
        assert "has no workers" in ranked("--cluster", cluster.scheduler_address).err


def test_a_file_without_a_plan_is_not_simulated(ranked, tmp_path):
    empty = tmp_path / "empty.json"
    empty.write_text("{}", "utf-8")
    ran = ranked("--plan", empty, "--processes", 1)
    assert ran.code == 1
    row = next(line for line in ran.out.splitlines() if "not simulated" in line)
    assert str(empty) in row


@pytest.mark.parametrize("more", [("--processes", 2), ("--cluster", "tcp://127.0.0.1:9")])
def test_one_plan_is_not_shared_out(run, board_lamp, plans, more):
    assert run("simulate", board_lamp, "--plan", plans, *more).code == 2


def test_plans_go_to_processes_or_to_a_cluster(ranked):
    assert ranked("--processes", 2, "--cluster", "tcp://127.0.0.1:9").code == 2


def test_plans_that_the_runs_do_not_tell_apart_are_named(run, board_lamp, plans):
    twice = ("--plan", plans, "--plan", plans, "--processes", 1)
    said = run("simulate", board_lamp, *twice, *SHORT).out
    assert f"These runs do not tell {plans} from the best" in said
