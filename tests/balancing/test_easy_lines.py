"""Lines whose plan is proven before anything compiled is loaded."""

import json
import subprocess
import sys

import pytest
from limited_lines import limited, line
from textbook_lines import JACKSON, SPREADER, TWELVE

from stationflow.balancing.balance import balance
from stationflow.balancing.methods.easy_lines import filled
from stationflow.balancing.problem import balance_problem
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork
from stationflow.model import BalanceSettings, Ending, TaskLimits

ASKED = """
import json, sys
from stationflow.balancing.balance import balance
from stationflow.balancing.work import LineWork
from stationflow.model import BalanceSettings
work = LineWork(line="main", numbers=("1", "2", "3", "4"), times=(4, 4, 3, 5), ticks=1,
                predecessors=((), (0,), (0,), (1, 2)))
result = balance(work, BalanceSettings(**json.loads(sys.argv[1])))
loaded = {"numba", "numpy", "ortools", "highspy", "networkx"} & set(sys.modules)
print(json.dumps([result.ending, len(result.stations), sorted(loaded)]))
"""


@pytest.mark.parametrize("asked", [{"limit": 8}, {"stations": 2}, {"limit": 8, "stations": 2}])
def test_where_a_plan_of_the_rules_meets_the_bound_nothing_compiled_is_loaded(asked):
    # 16 of work at a limit of 8: two stations at least, and 4 4 | 3 5 are two.
    command = [sys.executable, "-c", ASKED, json.dumps(asked)]
    told = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    assert json.loads(told) == ["optimal", 2, []]


def test_where_a_rule_misses_the_bound_fuller_stations_may_meet_it():
    # 30 of work at a limit of 10. By size: 6 4 | 6 3 | 5 2 2 | 2; fuller: 6 4 | 6 2 2 | 5 3 2.
    work = line((3, 5, 2, 2, 6, 2, 4, 6))
    rule, exact = (
        balance(work, BalanceSettings(method=method, limit=10))
        for method in ("largest-candidate", "exact")
    )
    assert (len(rule.stations), len(exact.stations), exact.effort.nodes) == (4, 3, 0)


@pytest.mark.parametrize("work", [JACKSON, SPREADER, TWELVE], ids=lambda work: work.line)
def test_stations_filled_by_worth_are_a_plan(work: LineWork):
    limit = 1.5 * max(work.times) / work.ticks
    problem = balance_problem(work, limit)
    plan = filled(problem, problem.limit or 0, 0.0, 0.02)
    named = [[work.numbers[position] for position in station] for station in plan]
    assert verify(work, named, limit=limit) == ()


def test_an_easy_line_with_limits_is_proven_without_a_search():
    work = limited(line((4, 4, 4), (0, 1), (1, 2)), T2=TaskLimits(station=3))
    result = balance(work, BalanceSettings(method="exact", limit=8))
    assert (result.ending, result.proof.lower_bound, result.effort.nodes) == (Ending.OPTIMAL, 3, 0)
