"""The published cases: 25 graphs and the fewest stations proven for 269 limits.

Scholl, A. (1993). "Data of assembly line balancing problems". Schriften zur
Quantitativen Betriebswirtschaftslehre 16/93, TH Darmstadt.
"""

import csv
from pathlib import Path

from stationflow.balancing.work import LineWork
from stationflow.files.instances import read_instance


def rows(path: Path) -> list[dict[str, str]]:
    """Return the rows of a table."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def scholl_lines(instances: Path) -> dict[str, LineWork]:
    """Return the work of each graph by its name."""
    return {
        row["graph"]: read_graph(instances / "scholl" / row["file"])
        for row in rows(instances / "scholl_graphs.csv")
    }


def read_graph(path: Path) -> LineWork:
    """Return the work of one published graph."""
    return read_instance(path).work


def scholl_cases(instances: Path) -> list[tuple[str, int, int]]:
    """Return graph, limit and the proven fewest stations of each case."""
    return [
        (row["graph"], int(row["cycle_time"]), int(row["optimal_stations"]))
        for row in rows(instances / "scholl_salbp1_optima.csv")
    ]
