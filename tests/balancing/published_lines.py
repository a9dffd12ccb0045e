"""The published cases: 25 graphs with 269 limits, and the instances of 2013.

Scholl, A. (1993). "Data of assembly line balancing problems". Schriften zur
Quantitativen Betriebswirtschaftslehre 16/93, TH Darmstadt.

Otto, A., Otto, C. and Scholl, A. (2013). "Systematic data generation and test design
for solution algorithms on the example of SALBPGen for assembly line balancing".
European Journal of Operational Research 228(1), 33-45.
"""

import csv
from pathlib import Path
from typing import NamedTuple

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


class OttoCase(NamedTuple):
    """An instance of 2013 with the best published bounds on its stations."""

    name: str
    work: LineWork
    limit: int
    lower: int
    upper: int


def otto_cases(instances: Path, group: str) -> list[OttoCase]:
    """Return the instances of a class: "medium" (50 tasks), "large" (100)."""
    cases = []
    for row in rows(instances / "otto_bounds.csv"):
        if row["class"] == group:
            found = read_instance(instances / "otto" / group / row["instance"])
            lower, upper = int(row["lower_bound"]), int(row["upper_bound"])
            limit = int(found.cycle_time or 0)
            cases.append(OttoCase(row["instance"], found.work, limit, lower, upper))
    return cases
