"""The stations a sheet names, as they stand today."""

import re
from collections.abc import Mapping, Sequence

from stationflow.balancing.arrows import topological_order
from stationflow.balancing.given_stations import GivenStation, given_result
from stationflow.balancing.work import LineWork, line_work
from stationflow.model import BalanceResult, Product, Severity
from stationflow.pace.takt import line_pace

Stations = Sequence[tuple[str, Sequence[str]]]
"""Stations in order, each with its name in the sheet and the numbers of its tasks."""


def todays_lines(product: Product, station_of: Mapping[str, str]) -> dict[str, Stations]:
    """Return, for each line whose tasks all have a station (by number), its stations in order.

    Stations go by the number in their name when all have one ("ST2" before "ST10"), else in the
    order met.
    """
    complete: dict[str, Stations] = {}
    for line in product.lines:
        numbers = [task.number for task in product.tasks_of(line.name)]
        if numbers and all(station_of.get(number) for number in numbers):
            stations: dict[str, list[str]] = {}
            for number in numbers:
                stations.setdefault(station_of[number], []).append(number)
            complete[line.name] = [(name, stations[name]) for name in _in_order(list(stations))]
    return complete


def todays_obstacle(product: Product, stations: Mapping[str, Stations]) -> str:
    """Return, in a sentence, why the stations of today cannot be kept as plans; empty: they can."""
    if not stations:
        return "not every task of a line has one."
    for line in stations:
        work, findings = line_work(product, line)
        if work is None:
            wrong = next((f for f in findings if f.severity == Severity.ERROR), None)
            more = f" {wrong.where}: {wrong.message}" if wrong else ""
            return f"the tasks of line {line} have errors to be cured first.{more}"
    return ""


def _in_order(names: list[str]) -> list[str]:
    """Return station names by the number in them (2 before 10), if all have one."""

    def natural(name: str) -> list[tuple[int, int, str]]:
        pieces = re.findall(r"\d+|\D+", name)
        return [(0, int(p), "") if p.isdecimal() else (1, 0, p.casefold()) for p in pieces]

    return sorted(names, key=natural) if all(re.search(r"\d", name) for name in names) else names


def todays_result(product: Product, line: str, stations: Stations) -> BalanceResult | None:
    """Return the stations of today as a result; None: errors of tasks must be cured first."""
    work, _ = line_work(product, line)
    if work is None:
        return None
    pace = line_pace(product, line)
    held = [
        GivenStation(place, _predecessors_first(work, tasks))
        for place, (_, tasks) in enumerate(stations, 1)
    ]
    return given_result(work, held, limit=pace.station_time_s, pace=pace)


def _predecessors_first(work: LineWork, tasks: Sequence[str]) -> tuple[str, ...]:
    """Return the tasks of a station in the order of the sheet, each after its predecessors."""
    place = {number: at for at, number in enumerate(work.numbers)}
    here = {place[number]: at for at, number in enumerate(tasks)}
    rows = [[here[p] for p in work.predecessors[place[n]] if p in here] for n in tasks]
    return tuple(tasks[at] for at in topological_order(rows))


def station_names(stations: Stations) -> str:
    """Return which name of the sheet each station had; empty when it is its number."""
    if all(name == str(place) for place, (name, _) in enumerate(stations, 1)):
        return ""
    pairs = ", ".join(f"{place} was {name}" for place, (name, _) in enumerate(stations, 1))
    return f"Stations of the sheet: {pairs}."
