# ruff: noqa: T201 (a script that prints a table)
"""Ranked positional weight on 1,000 tasks against a transitive closure by networkx.

Both start from the ready problem or graph and are warm; the median of five counts.
Run: STATIONFLOW_INSTANCES=... python tests/benchmarks/ranked_positional_weight_speed.py
Without the published sets, a line is made at random.
"""

import argparse
import os
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from statistics import median
from time import perf_counter

sys.path.insert(0, str(Path(__file__).parents[1] / "balancing"))
sys.path.insert(0, str(Path(__file__).parents[2]))

import networkx
from made_lines import made_line
from published_lines import read_graph

from stationflow.balancing.methods.priority import list_first_fit
from stationflow.balancing.methods.rules import by_positional_weight
from stationflow.balancing.problem import BalanceProblem, balance_problem
from stationflow.balancing.work import LineWork


def lines() -> list[LineWork]:
    """Return some lines of 1,000 tasks."""
    folder = Path(os.environ.get("STATIONFLOW_INSTANCES", "")) / "otto" / "very_large"
    found = sorted(folder.glob("*.alb"))
    chosen = found[:: max(1, len(found) // 3)]
    return [replace(read_graph(path), line=path.stem) for path in chosen] or [
        made_line(1000, seed=1)
    ]


def seconds(run: Callable[[], object], repeats: int) -> float:
    """Return the median time of a run after one to warm up."""
    run()
    taken = []
    for _ in range(repeats):
        started = perf_counter()
        run()
        taken.append(perf_counter() - started)
    return median(taken)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--limit", type=int, default=1000, help="limit of a station")
    parser.add_argument("--repeats", type=int, default=5)
    options = parser.parse_args()
    for work in lines():
        problem = balance_problem(work, max(options.limit, *work.times))
        graph = networkx.DiGraph()
        graph.add_nodes_from(range(problem.size))
        graph.add_edges_from((b, a) for a, row in enumerate(problem.predecessors) for b in row)

        def rule(problem: BalanceProblem = problem) -> object:
            return list_first_fit(problem, by_positional_weight(problem), problem.limit)

        def closing(graph: object = graph) -> object:
            return networkx.transitive_closure_dag(graph)

        ours, theirs = seconds(rule, options.repeats), seconds(closing, options.repeats)
        print(
            f"{work.line:24} rule {1000 * ours:8.1f} ms   closure by networkx "
            f"{1000 * theirs:8.1f} ms   share {ours / theirs:.3f}"
        )


if __name__ == "__main__":
    main()
