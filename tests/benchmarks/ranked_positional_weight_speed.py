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
from pathlib import Path
from statistics import median
from time import perf_counter

sys.path.insert(0, str(Path(__file__).parents[2]))

import networkx
from made_lines import made_line

from stationflow.balancing.methods.priority import list_first_fit
from stationflow.balancing.methods.ranked_positional_weight import by_positional_weight
from stationflow.balancing.problem import balance_problem
from stationflow.balancing.work import LineWork


def read_line(path: Path) -> LineWork:
    """Return a published line of the 2013 sets: times and pairs, each on a line."""
    text = path.read_text("latin-1")
    times = text.partition("<task times>")[2].partition("<")[0].split()[1::2]
    pairs = text.partition("<precedence relations>")[2].partition("<")[0].split()
    predecessors: list[list[int]] = [[] for _ in times]
    for before, after in (map(int, pair.split(",")) for pair in pairs):
        predecessors[after - 1].append(before - 1)
    return LineWork(
        line=path.stem,
        numbers=tuple(str(j + 1) for j in range(len(times))),
        times=tuple(map(int, times)),
        predecessors=tuple(map(tuple, predecessors)),
        ticks=1,
        time_unit="unit",
    )


def lines() -> list[LineWork]:
    """Return some lines of 1,000 tasks."""
    folder = Path(os.environ.get("STATIONFLOW_INSTANCES", "")) / "otto" / "very_large"
    found = sorted(folder.glob("*.alb"))
    return [read_line(p) for p in found[:: max(1, len(found) // 3)]] or [made_line(1000, seed=1)]


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

        def rule(problem: object = problem) -> object:
            return list_first_fit(problem, by_positional_weight(problem), problem.limit)  # type: ignore

        def closing(graph: object = graph) -> object:
            return networkx.transitive_closure_dag(graph)

        ours, theirs = seconds(rule, options.repeats), seconds(closing, options.repeats)
        print(
            f"{work.line:24} rule {1000 * ours:8.1f} ms   closure by networkx "
            f"{1000 * theirs:8.1f} ms   share {ours / theirs:.3f}"
        )


if __name__ == "__main__":
    main()
