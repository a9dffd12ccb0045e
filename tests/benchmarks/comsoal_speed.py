# ruff: noqa: T201 (a script that prints a table)
"""How many COMSOAL trials a second: compiled against straightforward Python.

Run: STATIONFLOW_INSTANCES=... python tests/benchmarks/comsoal_speed.py
Without the published sets, a line of 297 tasks is made at random.
"""

import argparse
import os
import sys
from pathlib import Path
from time import perf_counter

sys.path.insert(0, str(Path(__file__).parents[1] / "balancing"))
sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np
from made_lines import made_line
from plain_comsoal import plain_comsoal
from published_lines import read_graph

from stationflow.balancing.methods.comsoal import Comsoal
from stationflow.balancing.methods.method import Watch
from stationflow.balancing.problem import BalanceProblem, balance_problem


def problem_of(limit: int) -> BalanceProblem:
    """Return the 297-task graph at a limit."""
    folder = os.environ.get("STATIONFLOW_INSTANCES", "")
    path = Path(folder) / "scholl" / "SCHOLL.IN2"
    work = read_graph(path) if folder and path.is_file() else made_line(297, seed=1)
    return balance_problem(work, limit)


def compiled(problem: BalanceProblem, trials: int, seed: int) -> tuple[float, int]:
    """Return seconds and stations of the compiled method."""
    method = Comsoal(np.random.default_rng(seed), trials)
    started = perf_counter()
    answer = method.fewest(problem, problem.limit or 0, 0, Watch())
    return perf_counter() - started, len(answer.stations)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--limit", type=int, default=1394)
    parser.add_argument("--trials", type=int, default=50_000, help="of the compiled method")
    parser.add_argument("--plain-trials", type=int, default=3_000)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    problem = problem_of(options.limit)
    first, _ = compiled(problem, 1, options.seed)
    seconds, stations = compiled(problem, options.trials, options.seed)
    started = perf_counter()
    plain_stations = plain_comsoal(
        problem.times,
        problem.predecessors,
        problem.successors,
        problem.limit or 0,
        options.plain_trials,
        options.seed,
    )
    plain_seconds = perf_counter() - started
    rate, plain_rate = options.trials / seconds, options.plain_trials / plain_seconds
    print(f"{problem.size} tasks, limit {problem.limit}")
    print(f"first call (import, compile or load) {first:8.2f} s")
    print(f"compiled   {rate:12.0f} trials/s   best {stations} of {options.trials} trials")
    print(
        f"plain      {plain_rate:12.0f} trials/s   best {plain_stations} of {options.plain_trials}"
    )
    print(f"ratio      {rate / plain_rate:12.1f}")


if __name__ == "__main__":
    main()
