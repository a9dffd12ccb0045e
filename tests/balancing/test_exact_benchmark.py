"""The figures, the plan check and one peer of the benchmark of the exact method."""

import json
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from stationflow.balancing.work import LineWork
from tests.benchmarks import exact_peers
from tests.benchmarks.exact import append_line, read_lines
from tests.benchmarks.exact_chart import growth_chart
from tests.benchmarks.exact_figures import (
    Growth,
    chosen,
    contradictions,
    cycle_contradictions,
    duel,
    growth,
    is_proved,
    mean_gap,
    worse,
)
from tests.benchmarks.exact_peers import Answer, cp_sat, fault, first_plan, frame
from tests.benchmarks.exact_questions import Question, drawn_question, order_strength
from tests.benchmarks.exact_worker import judged

# A chain of 6, 6, 4 and 4 at a limit of 10: the work content of 20 fits into two stations,
# but the second task does not fit beside the first, nor the fourth beside the next two.
CHAIN_TIMES = (6, 6, 4, 4)
CHAIN = ((), (0,), (1,), (2,))


def line(instance: str, solver: str = "ours", **facts: Any) -> dict[str, Any]:
    return {
        "instance": instance,
        "solver": solver,
        "version": "1",
        "limit_s": 20.0,
        "cores": 1,
        "status": "proved",
        "stations": 5,
        "bound": 5,
        "wall_s": 1.0,
        **facts,
    }


def asked(name: str, lower: int = 5, upper: int = 5, tasks: int = 2) -> Question:
    work = LineWork(
        line="made",
        numbers=tuple(map(str, range(tasks))),
        times=(1,) * tasks,
        predecessors=((),) * tasks,
    )
    return Question(group="medium", name=name, work=work, takt=10, lower=lower, upper=upper)


@pytest.mark.parametrize(
    ("plan", "said"),
    [
        ([1, 2, 2, 3], ""),
        ([1, 2, 2], "no station"),
        ([0, 1, 1, 2], "no station"),
        ([1, 3, 2, 3], "task 3 is before"),
        ([1, 1, 2, 2], "holds 12"),
        ([1, 2, 2, 4], "empty"),
    ],
)
def test_the_check_of_plans_finds_each_fault(plan: list[int], said: str) -> None:
    found = fault(CHAIN_TIMES, CHAIN, plan, 10)
    assert (found == "") if not said else (said in found)


@pytest.mark.parametrize("most_choices", [1000, 0])
def test_both_models_of_cp_sat_prove_that_the_chain_needs_three(
    monkeypatch: pytest.MonkeyPatch, most_choices: int
) -> None:
    monkeypatch.setattr(exact_peers, "MOST_CHOICES", most_choices)
    assert frame(CHAIN_TIMES, CHAIN, 10).least == 2
    answer = cp_sat(CHAIN_TIMES, CHAIN, 10, 20)
    assert (max(answer.plan), answer.bound, answer.is_proved) == (3, 3, True)
    assert fault(CHAIN_TIMES, CHAIN, answer.plan, 10) == ""


def test_the_first_plan_holds() -> None:
    assert fault(CHAIN_TIMES, CHAIN, first_plan(CHAIN_TIMES, CHAIN, 10), 10) == ""


def test_a_plan_that_does_not_hold_is_recorded_as_wrong() -> None:
    work = LineWork(line="chain", numbers=tuple("1234"), times=CHAIN_TIMES, predecessors=CHAIN)
    question = Question(group="scholl1", name="chain", work=work, takt=10)
    answer = Answer(plan=[1, 1, 2, 2], bound=2, is_proved=True)
    assert judged(question, answer)["status"] == "wrong"
    within_cycle = Question(group="scholl2", name="chain", work=work, stations=2)
    assert judged(within_cycle, answer) == {
        "status": "proved",
        "cycle": 12,
        "bound": 2,
        "nodes": None,
    }
    three = Answer(plan=[1, 2, 2, 3], bound=6, is_proved=False)
    assert judged(within_cycle, three)["status"] == "wrong"


def test_the_ratio_is_to_the_quicker_peer_and_leaves_ties_out() -> None:
    names = list("abcdef")
    ours = {
        "a": line("a", wall_s=0.5),
        "b": line("b", wall_s=0.01),
        "c": line("c", wall_s=0.02),
        "d": line("d", status="found", wall_s=20.0),
        "e": line("e", wall_s=3.0),
        "f": line("f"),
    }
    first = {
        "a": line("a", wall_s=4.0),
        "b": line("b", wall_s=9.0),
        "c": line("c", wall_s=0.09),
        "d": line("d", wall_s=7.0),
        "e": line("e", status="found", wall_s=20.0),
    }
    second = {
        "a": line("a", wall_s=2.0),
        "b": line("b", wall_s=25.0),  # proved, but too late to count
        "c": line("c", wall_s=5.0),
        "d": line("d", status="found", wall_s=20.0),
        "e": line("e", status="none", wall_s=20.0),
    }
    met = duel(names, ours, [first, second])
    # a: 2.0 / 0.5 = 4; b: 9.0 / 0.01 = 900; their geometric mean is the root of 3600.
    assert met.ratio == pytest.approx(60)
    assert (met.asked, met.both, met.measured, met.ties) == (5, 3, 2, 1)
    assert (met.slower, met.only_ours, met.only_theirs) == ((), ("e",), ("d",))


def test_where_we_are_slower_it_is_said() -> None:
    met = duel(["a"], {"a": line("a", wall_s=2.0)}, [{"a": line("a", wall_s=0.5)}])
    assert (met.ratio, met.slower) == (pytest.approx(0.25), ("a",))


def test_a_proof_after_the_limit_does_not_count() -> None:
    assert is_proved(line("a", wall_s=20.9))
    assert not is_proved(line("a", wall_s=21.1))
    assert not is_proved(None)


def test_the_last_line_of_an_instance_counts_and_other_states_of_the_code_are_kept_apart() -> None:
    lines = [
        line("a", wall_s=3.0),
        line("a", wall_s=2.0, version="2"),
        line("a", wall_s=1.0, cores=2, version="2"),
        line("a", wall_s=4.0, limit_s=60.0),
        line("a", wall_s=5.0, version="2"),
    ]
    assert chosen(lines, "ours", 20.0)["a"]["wall_s"] == 5.0
    assert chosen(lines, "ours", 20.0, version="1")["a"]["wall_s"] == 3.0
    assert chosen(lines, "cabs", 20.0) == {}


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        ({}, ""),
        ({"status": "found", "stations": 6}, ""),
        ({"stations": 4, "bound": 4}, "below the published lower bound"),
        ({"status": "found", "stations": 7, "bound": 6}, "above the published plan"),
        ({"stations": 6}, "called proved"),
        ({"status": "found", "bound": 6}, "above the plan's"),
        ({"status": "wrong", "note": "a station is empty"}, "a station is empty"),
    ],
)
def test_contradictions_to_published_bounds_are_named(facts: dict[str, Any], said: str) -> None:
    found = " ".join(contradictions([asked("a")], {"a": line("a", **facts)}))
    assert (found == "") if not said else (said in found)


def test_gaps_are_shares_of_the_plan() -> None:
    questions = [asked("a", lower=9, upper=10), asked("b"), asked("c"), asked("left out")]
    lines = {
        "a": line("a", status="found", stations=10, bound=8),
        "b": line("b"),
        "c": line("c", status="none", stations=None),
    }
    assert mean_gap(questions, lines) == pytest.approx((0.2 + 0 + 1) / 3)
    assert mean_gap(questions, lines, with_published=True) == pytest.approx((0.1 + 0 + 1) / 3)
    assert mean_gap(questions, {}) is None
    assert worse(questions, lines) == ["c: None (5)"]


def test_a_shortest_cycle_must_agree_with_the_fewest_stations_on_both_sides() -> None:
    cases = [("Buxey", 47, 7), ("Buxey", 46, 8), ("Other", 40, 2)]
    right = {"Buxey m=7": line("Buxey m=7", cycle=47)}
    too_long = {"Buxey m=7": line("Buxey m=7", cycle=48)}
    too_short = {"Buxey m=7": line("Buxey m=7", cycle=46)}
    assert cycle_contradictions(right, cases) == []
    assert cycle_contradictions(too_long, cases) == ["Buxey m=7: cycle 48, but 7 at limit 47"]
    assert cycle_contradictions(too_short, cases) == ["Buxey m=7: cycle 46, but 8 at limit 46"]


def test_an_unproved_question_counts_as_longer_than_any_in_the_median() -> None:
    questions = [asked(name, tasks=size) for name, size in zip("abcd", (2, 2, 2, 3), strict=True)]
    lines = {
        "a": line("a", wall_s=0.1),
        "b": line("b", wall_s=0.3),
        "c": line("c", status="found", wall_s=20.0),
        "d": line("d", status="found", wall_s=20.0),
    }
    two, three = growth(questions, lines)
    assert (two.tasks, two.seconds, two.is_proved, two.proved, two.asked) == (2, 0.3, True, 2, 3)
    assert (three.tasks, three.seconds, three.is_proved) == (3, 20.0, False)


def test_the_growth_chart_names_each_size_and_what_was_not_proved() -> None:
    points = [
        Growth(tasks=20, seconds=0.002, is_proved=True, proved=15, asked=15, is_made=False),
        Growth(tasks=200, seconds=60.0, is_proved=False, proved=3, asked=15, is_made=True),
    ]
    drawn = ElementTree.fromstring(growth_chart(points, 60.0, "svg").decode())
    words = [element.text for element in drawn.iter("{http://www.w3.org/2000/svg}text")]
    assert {"20", "200", "0.002", "not proved", "limit 60 s"} <= set(words)


def test_drawn_tasks_keep_the_order_between_them() -> None:
    # A chain of six: whatever three are drawn, they are a chain again.
    work = LineWork(
        line="chain",
        numbers=tuple("123456"),
        times=(1, 2, 3, 4, 5, 6),
        predecessors=((), (0,), (1,), (2,), (3,), (4,)),
    )
    question = Question(group="very_large", name="n=6_7", work=work, takt=10)
    drawn = drawn_question(question, 3).work
    assert drawn.predecessors == ((), (0,), (1,))
    assert list(drawn.times) == sorted(drawn.times)
    assert order_strength(drawn.predecessors) == 1.0
    # Four tasks with one arrow: one of six pairs is ordered.
    assert order_strength(((), (0,), (), ())) == pytest.approx(1 / 6)


def test_a_line_cut_off_by_an_interrupt_is_left_out(tmp_path: Path) -> None:
    path = tmp_path / "kept" / "results.jsonl"
    assert read_lines(path) == []
    append_line(path, line("a"))
    with path.open("a", encoding="utf-8") as file:
        file.write(json.dumps(line("b"))[:30])
    append_line(path, line("c"))
    assert [known["instance"] for known in read_lines(path)] == ["a", "c"]
