"""The published cases: 25 graphs and the fewest stations proven for 269 limits.

Scholl, A. (1993). "Data of assembly line balancing problems". Schriften zur
Quantitativen Betriebswirtschaftslehre 16/93, TH Darmstadt.
"""

import csv
from pathlib import Path

from stationflow.balancing.work import LineWork


def rows(path: Path) -> list[dict[str, str]]:
    """Return the rows of a table."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def scholl_lines(instances: Path) -> dict[str, LineWork]:
    """Return the work of each graph by its name."""
    return {
        row["graph"]: read_graph(instances / "scholl" / row["file"], row["graph"])
        for row in rows(instances / "scholl_graphs.csv")
    }


def read_graph(path: Path, name: str) -> LineWork:
    """Return one graph: n, n times, pairs of before and after up to the end mark."""
    words = path.read_text("latin-1").split()
    size = int(words[0])
    predecessors: list[list[int]] = [[] for _ in range(size)]
    for pair in words[size + 1 :]:
        before, after = map(int, pair.split(","))
        if before < 0:
            break
        predecessors[after - 1].append(before - 1)
    return LineWork(
        line=name,
        numbers=tuple(str(j + 1) for j in range(size)),
        times=tuple(map(int, words[1 : size + 1])),
        predecessors=tuple(map(tuple, predecessors)),
        ticks=1,
        time_unit="unit",
    )


def scholl_cases(instances: Path) -> list[tuple[str, int, int]]:
    """Return graph, limit and the proven fewest stations of each case."""
    return [
        (row["graph"], int(row["cycle_time"]), int(row["optimal_stations"]))
        for row in rows(instances / "scholl_salbp1_optima.csv")
    ]
