"""The check of an assignment, made from the line's work alone.

It shares no code with the methods, so that a mistake in one of them cannot hide here.
"""

from collections.abc import Sequence
from decimal import Decimal

from stationflow.balancing.time_words import time_words
from stationflow.balancing.work import LineWork
from stationflow.model import Finding, error

Places = dict[str, tuple[int, int]]
"""For each task its station, from 1, and its place within the station."""


def verify(
    work: LineWork,
    stations: Sequence[Sequence[str]],
    *,
    takt: float | None = None,
    most_stations: int | None = None,
) -> tuple[Finding, ...]:
    """Return everything that is wrong with an assignment; empty: it holds.

    Parameters
    ----------
    work
        The work of the line.
    stations
        Task numbers of each station, in the order they are done.
    takt
        Limit of a station in the time unit of the work; None: no limit.
    most_stations
        How many stations are allowed; None: any number.
    """
    places, findings = _places(work, stations)
    findings += _loads(work, stations, takt)
    findings += _order(work, places)
    if most_stations is not None and len(stations) > most_stations:
        used = f"{len(stations)} station{'' if len(stations) == 1 else 's'}"
        verb = "is" if most_stations == 1 else "are"
        message = f"The plan has {used}; {most_stations} {verb} allowed."
        findings.append(error("too-many-stations", f"Line {work.line}", message))
    return tuple(findings)


def _places(work: LineWork, stations: Sequence[Sequence[str]]) -> tuple[Places, list[Finding]]:
    """Return where each task is, and what is missing, unknown or there twice."""
    findings: list[Finding] = []
    places: Places = {}
    known = set(work.numbers)
    for station, tasks in enumerate(stations, 1):
        for place, number in enumerate(tasks):
            where = f"Station {station}"
            if number not in known:
                message = f"Task {number} is not on line {work.line}."
                findings.append(error("unknown-task-in-plan", where, message))
            elif number in places:
                message = f"Task {number} is at station {places[number][0]} already."
                findings.append(error("task-assigned-twice", where, message))
            else:
                places[number] = (station, place)
    for number in work.numbers:
        if number not in places:
            message = "It is at no station."
            findings.append(error("task-not-assigned", f"Task {number}", message))
    return places, findings


def _loads(work: LineWork, stations: Sequence[Sequence[str]], takt: float | None) -> list[Finding]:
    """Return the stations whose work is longer than the limit, in exact arithmetic."""
    if takt is None:
        return []
    limit, words = Decimal(str(takt)) * work.ticks, time_words(work.time_unit, work.shown)
    time_of = dict(zip(work.numbers, work.times, strict=True))
    findings = []
    for station, tasks in enumerate(stations, 1):
        load = sum(time_of.get(number, 0) for number in tasks)
        if load > limit:
            message = (
                f"The work is {words.show(float(Decimal(load) / work.ticks))}, "
                f"longer than the limit {words.show(takt)}."
            )
            findings.append(error("station-over-limit", f"Station {station}", message))
    return findings


def _order(work: LineWork, places: Places) -> list[Finding]:
    """Return the tasks that come before one of their predecessors."""
    findings = []
    for number, row in zip(work.numbers, work.predecessors, strict=True):
        for before in (work.numbers[position] for position in row):
            if number not in places or before not in places or places[before] < places[number]:
                continue
            first, then = places[before][0], places[number][0]
            message = (
                f"It is at station {then}, but its predecessor {before} "
                f"comes later, at station {first}."
            )
            findings.append(error("predecessor-later", f"Task {number}", message))
    return findings
