# ruff: noqa: T201 (a script that prints a table)
"""The rules and COMSOAL on the 269 published cases: share optimal, deviation from the optimum.

Run: STATIONFLOW_INSTANCES=... python tests/benchmarks/simple_rules.py
Every plan is verified inside `balance`.
"""

import argparse
import os
import sys
from dataclasses import replace
from pathlib import Path
from time import perf_counter

sys.path.insert(0, str(Path(__file__).parents[1] / "balancing"))
sys.path.insert(0, str(Path(__file__).parents[2]))

from published_lines import scholl_cases, scholl_lines

from stationflow.balancing.balance import balance
from stationflow.balancing.methods import METHODS
from stationflow.model import BalanceSettings, Direction, Ending


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--trials", type=int, nargs="*", default=[10, 100, 1000])
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    folder = Path(os.environ["STATIONFLOW_INSTANCES"])
    lines, cases = scholl_lines(folder), scholl_cases(folder)
    asked = [
        (f"{name} {way}", BalanceSettings(method=name, direction=way))
        for name, info in METHODS.items()
        if "direction" in info.uses
        for way in Direction
    ]
    asked += [
        (f"comsoal {n}", BalanceSettings(method="comsoal", trials=n, seed=options.seed))
        for n in options.trials
    ]
    print(f"{len(cases)} cases; deviation = stations / optimum - 1")
    print(f"{'method':36}{'optimal':>8}{'proven':>8}{'mean %':>8}{'worst %':>8}{'seconds':>9}")
    for title, settings in asked:
        started, deviations, proven = perf_counter(), [], 0
        for graph, limit, optimum in cases:
            result = balance(lines[graph], replace(settings, limit=limit))
            deviations.append(len(result.stations) / optimum - 1)
            proven += result.ending == Ending.OPTIMAL
        mean = 100 * sum(deviations) / len(deviations)
        print(
            f"{title:36}{sum(d == 0 for d in deviations):8}{proven:8}{mean:8.2f}"
            f"{100 * max(deviations):8.1f}{perf_counter() - started:9.1f}"
        )


if __name__ == "__main__":
    main()
