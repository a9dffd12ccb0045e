"""Published graphs: their measures, and optima that no plan may undercut."""

from pathlib import Path

import pytest
from published_lines import rows, scholl_cases, scholl_lines

from stationflow.balancing.arrows import order_strength
from stationflow.balancing.balance import balance
from stationflow.balancing.methods import METHODS
from stationflow.model import BalanceSettings, Ending

pytestmark = pytest.mark.instances
RULES = sorted(name for name, info in METHODS.items() if "direction" in info.uses)
SMALL = 30


def test_the_totals_of_times_are_the_published_ones(instances: Path):
    lines = scholl_lines(instances)
    published = {r["graph"]: int(r["t_sum"]) for r in rows(instances / "scholl_graphs.csv")}
    assert {name: sum(work.times) for name, work in lines.items()} == published


def test_the_order_strengths_are_the_published_ones(instances: Path):
    lines = scholl_lines(instances)
    for row in rows(instances / "scholl_graphs.csv"):
        strength = 100 * order_strength(lines[row["graph"]].predecessors)
        assert strength == pytest.approx(float(row["order_strength_pct"]), abs=0.0051), row["graph"]


@pytest.mark.parametrize("rule", RULES)
def test_no_rule_undercuts_an_optimum_or_exceeds_it_with_its_bound(rule: str, instances: Path):
    # Every plan is verified inside `balance`, which raises if one fails.
    lines = scholl_lines(instances)
    for graph, limit, optimum in scholl_cases(instances):
        result = balance(lines[graph], BalanceSettings(method=rule, takt=limit))
        assert result.lower_bound <= optimum <= len(result.stations), (graph, limit)


def test_comsoal_undercuts_no_optimum(instances: Path):
    lines = scholl_lines(instances)
    for graph, limit, optimum in scholl_cases(instances):
        result = balance(lines[graph], BalanceSettings(method="comsoal", takt=limit, trials=10))
        assert len(result.stations) >= optimum, (graph, limit)


def test_exact_proves_the_published_optimum_of_every_small_graph(instances: Path):
    lines = scholl_lines(instances)
    for graph, limit, optimum in scholl_cases(instances):
        if len(lines[graph].times) <= SMALL:
            result = balance(lines[graph], BalanceSettings(takt=limit, seconds=20))
            assert (len(result.stations), result.ending) == (optimum, Ending.OPTIMAL), (
                graph, limit
            )  # fmt: skip


@pytest.mark.campaign
@pytest.mark.timeout(3600)
def test_exact_contradicts_no_published_optimum(instances: Path):
    lines = scholl_lines(instances)
    for graph, limit, optimum in scholl_cases(instances):
        result = balance(lines[graph], BalanceSettings(takt=limit, seconds=5))
        assert result.lower_bound <= optimum <= len(result.stations), (graph, limit)
