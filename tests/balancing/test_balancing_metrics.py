"""Metrics of loads whose values were computed for the reference tables with another program."""

import pytest
from textbook_lines import WAGON

from stationflow.balancing.balance import balance
from stationflow.balancing.explained_plan import plan_numbers
from stationflow.balancing.metrics import (
    balance_delay,
    balance_efficiency,
    gap,
    idle_time,
    smoothness_index,
)
from stationflow.balancing.summary import summary
from stationflow.model import BalanceResult, BalanceSettings, Goal, StationLoad

TWELVE_LOADS = [1.00, 0.81, 0.98, 0.59, 0.62]
RESULT = balance(WAGON, BalanceSettings(takt=50.4))


@pytest.mark.parametrize(
    ("loads", "expected"),
    [(TWELVE_LOADS, 0.5908), ([45, 50, 47, 44, 9], 41.845), ([40, 50, 55, 55, 44], 19.261)],
)
def test_smoothness_index_on_the_largest_load(loads: list[float], expected: float):
    assert smoothness_index(loads) == pytest.approx(expected, abs=5e-4)


def test_smoothness_index_on_the_limit():
    # By hand: sqrt(20^2 + 10^2 + 5^2 + 5^2 + 16^2) = sqrt(806).
    assert smoothness_index([40, 50, 55, 55, 44], 60) == pytest.approx(806**0.5)


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
    refused = balance(WAGON, BalanceSettings(takt=49))
    assert plan_numbers(refused) == ()


def test_both_bases_are_shown_when_there_is_a_takt():
    names = [m.name for m in plan_numbers(RESULT)]
    assert {"balance efficiency on the takt", "balance efficiency on the cycle time"} <= set(names)


def test_each_metric_names_its_formula_and_source():
    assert all(m.formula and m.worked and m.source for m in plan_numbers(RESULT))


def test_the_summary_names_bound_and_gap():
    assert "4 stations (gap 0.0 %)" in summary(RESULT)


def test_the_gap_is_measured_on_what_the_goal_asks_for():
    """Worked out by hand: 2 stations over 1; 60 s over 50; 2 x 60 over 100."""
    stations = tuple(
        StationLoad(number=n, tasks=(str(n),), work=work) for n, work in ((1, 60.0), (2, 40.0))
    )

    def at(goal: Goal, bound: float) -> float | None:
        result = BalanceResult(
            line="main", goal=goal, ending=None, method="exact", stations=stations,
            lower_bound=bound,
        )  # fmt: skip
        return gap(result)

    assert at(Goal.FEWEST_STATIONS, 1) == 1
    assert at(Goal.SHORTEST_CYCLE, 50) == pytest.approx(0.2)
    assert at(Goal.BEST_EFFICIENCY, 100) == pytest.approx(0.2)
    assert at(Goal.FEASIBLE, 1) is None
