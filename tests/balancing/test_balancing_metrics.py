"""Metrics of loads whose values were computed for the reference tables with another program."""

import pytest
from small_plans import answer, changed, station
from textbook_lines import WAGON

from stationflow.balancing.balance import balance
from stationflow.balancing.compare.comparison import LabelledPlan, figures
from stationflow.balancing.explained.plan_explained import plan_numbers
from stationflow.balancing.explained.summary import stop_words, summary
from stationflow.balancing.metrics import (
    balance_delay,
    balance_efficiency,
    gap,
    idle_time,
    smoothness_index,
)
from stationflow.files.plan_document import plan_document
from stationflow.model import (
    BalanceSettings,
    Confirmation,
    Ending,
    Plan,
    Stopped,
)

TWELVE_LOADS = [1.00, 0.81, 0.98, 0.59, 0.62]
RESULT = balance(WAGON, BalanceSettings(limit=50.4))


@pytest.mark.parametrize(
    ("loads", "expected"),
    [(TWELVE_LOADS, 0.5908), ([45, 50, 47, 44, 9], 41.845), ([40, 50, 55, 55, 44], 19.261)],
)
def test_smoothness_index_on_the_largest_load(loads: list[float], expected: float):
    assert smoothness_index(loads) == pytest.approx(expected, abs=5e-4)


def test_one_smoothness_index_is_shown_wherever_a_plan_is():
    # By hand, of whatever loads come out: the root of the squared gaps to the largest of them.
    result = balance(WAGON, BalanceSettings(limit=60))
    most = max(result.loads)
    by_hand = sum((most - load) ** 2 for load in result.loads) ** 0.5
    opened = [n.value for n in plan_numbers(result) if n.name.startswith("smoothness")]
    row = figures([LabelledPlan(label="P", plan=Plan(product="W", result=result))], 0, str)
    compared = [r.values[0] for r in row if r.name.startswith("smoothness")]
    written = plan_document("wagon", result)["smoothness_index"]
    assert [*opened, *compared, written] == [pytest.approx(by_hand)] * 3
    assert summary(result).count("smoothness index") == 1


@pytest.mark.parametrize(("limit", "expected"), [(60, 0.8133), (None, 0.8873)])
def test_balance_efficiency_on_both_bases(limit: float | None, expected: float):
    assert balance_efficiency([40, 50, 55, 55, 44], limit) == pytest.approx(expected, abs=5e-5)


def test_balance_delay_of_the_twelve_element_line_is_a_fifth():
    assert balance_delay(TWELVE_LOADS, 1.0) == pytest.approx(0.20)


def test_idle_time_is_what_stations_times_limit_leaves():
    # By hand: 5 x 60 - 244.
    assert idle_time([40, 50, 55, 55, 44], 60) == 56


def test_a_single_station_is_perfectly_smooth():
    assert smoothness_index([17.5]) == 0


def test_metrics_without_a_plan_are_none():
    refused = balance(WAGON, BalanceSettings(limit=49))
    assert plan_numbers(refused) == ()


def test_both_bases_are_shown_when_there_is_a_limit():
    names = [m.name for m in plan_numbers(RESULT)]
    assert {"balance efficiency on the limit", "balance efficiency on the cycle time"} <= set(names)


def test_each_metric_names_its_formula_and_source():
    assert all(m.formula and m.worked and m.source for m in plan_numbers(RESULT))


def test_the_summary_names_bound_and_gap():
    assert "4 stations (gap 0.0 %)" in summary(RESULT)


def test_the_summary_says_seed_and_trials_of_a_random_method():
    said = summary(
        changed(answer(method="comsoal", seed=5, limit=60), trials=300, ending=Ending.FOUND)
    )
    assert "comsoal, seed 5, 300 trials" in said


def test_the_summary_says_how_far_a_search_went_and_what_stopped_it():
    said = summary(
        changed(
            RESULT,
            nodes=1234,
            memory_mb=511.7,
            stopped=Stopped.MEMORY,
            asked=BalanceSettings(limit=50.4, memory_mb=512),
        )
    )
    found = {" ".join(line.split()) for line in said.splitlines()}
    assert {
        "partial plans 1234",
        "memory 512 MiB",
        "stopped by the memory bound of 512 MiB was reached",
    } <= found


def test_the_summary_of_a_proof_names_no_stop():
    assert "stopped by" not in summary(RESULT)


@pytest.mark.parametrize(
    ("stopped", "words"),
    [
        (Stopped.TIME, "the time limit of 2.5 s was reached"),
        (Stopped.MEMORY, "the memory bound of 64 MiB was reached"),
        (Stopped.NODES, "the bound of 9 partial plans was reached"),
        (Stopped.REQUEST, "somebody asked it to stop"),
    ],
)
def test_what_stopped_a_search_is_said_with_its_limit(stopped: Stopped, words: str):
    result = answer(stopped=stopped, asked=BalanceSettings(seconds=2.5, memory_mb=64, nodes=9))
    assert stop_words(result) == words


def test_the_summary_says_what_a_second_solver_says():
    said = Confirmation(engine="e", agrees=True, said="It agrees.")
    assert "It agrees." in summary(RESULT, confirmation=said)


def test_the_gap_is_measured_on_what_the_goal_asks_for():
    """Worked out by hand: 2 stations over 1; 60 s over 50; 2 x 60 over 100."""
    held = (station(1, ("1",), 60.0), station(2, ("2",), 40.0))

    def at(bound: float, **asked: float) -> float | None:
        return gap(changed(answer(*held, **asked), lower_bound=bound))

    assert at(1, limit=60) == 1
    assert at(50, stations=2) == pytest.approx(0.2)
    assert at(100, stations=2, stations_from=1) == pytest.approx(0.2)
    assert at(1, limit=60, stations=2) is None
