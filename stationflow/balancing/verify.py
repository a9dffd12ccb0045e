"""The check of an assignment, made from the line's work alone.

It shares no code with the methods, so that a mistake in one of them cannot hide here.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from decimal import Decimal

from stationflow.balancing.verify_limits import limit_findings, loads_with_limits
from stationflow.balancing.work import LineWork
from stationflow.model import Finding, TaskLimits, error

LIMIT_CODES = frozenset(
    {
        "station-not-allowed", "group-split", "tasks-not-apart", "zones-mixed",
        "equipment-missing", "equipment-barred", "equipment-short", "skill-missing",
        "no-static-protection", "no-guard", "own-work-checked", "heights-apart",
        "width-exceeded", "target-load-exceeded", "lifted-too-much", "stations-between",
        "time-between",
    }
)  # fmt: skip
"""The findings about limits entered for tasks, which not every method keeps."""

Places = dict[str, tuple[int, int]]
"""For each task its station, from 1, and its place within the station."""


def verify(
    work: LineWork,
    stations: Sequence[Sequence[str]],
    *,
    limit: float | None = None,
    most_stations: int | None = None,
) -> tuple[Finding, ...]:
    """Return everything that is wrong with an assignment; empty: it holds.

    `stations` has the task numbers of each station in the order they are done; `limit` is the
    limit of a station in the time unit of the work.
    """
    places, findings = _places(work, stations)
    findings += _loads(work, stations, limit)
    findings += _order(work, places)
    findings += (
        *_numbered(work, places),
        *_pinned(work, places),
        *_shared(work, places),
        *_equipped(work, places),
    )
    findings += limit_findings(work, stations, places, limit)
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


def _loads(work: LineWork, stations: Sequence[Sequence[str]], limit: float | None) -> list[Finding]:
    """Return the stations whose work is longer than the limit, in exact arithmetic."""
    if limit is None:
        return []
    most, words = Decimal(str(limit)) * work.ticks, work.words
    findings = []
    for station, load in enumerate(loads_with_limits(work, stations), 1):
        if load > most:
            its, longest = words.apart(float(Decimal(load) / work.ticks), limit)
            message = f"The work is {its}, longer than the limit {longest}."
            findings.append(error("station-over-limit", f"Station {station}", message))
    return findings


def _order(work: LineWork, places: Places) -> list[Finding]:
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


def _limited(work: LineWork, places: Places) -> Iterator[tuple[str, TaskLimits, int]]:
    """Yield the tasks that are at a station, with their limits and the station."""
    for number, limits in zip(work.limits.numbers, work.limits.tasks, strict=True):
        if number in places:
            yield number, limits, places[number][0]


def _numbered(work: LineWork, places: Places) -> Iterator[Finding]:
    """Yield the tasks that are not at the station, or between the stations, entered for them."""
    for number, limits, at in _limited(work, places):
        for is_broken, said in (
            (limits.station not in (None, at), f"is fixed at station {limits.station}"),
            (
                at < (limits.earliest_station or 1),
                f"may be no earlier than {limits.earliest_station}",
            ),
            (at > (limits.latest_station or at), f"may be no later than {limits.latest_station}"),
        ):
            if is_broken:
                message = f"It is at station {at}, but {said}."
                yield error("station-not-allowed", f"Task {number}", message)


def _pinned(work: LineWork, places: Places) -> Iterator[Finding]:
    """Yield the tasks that left the station they are pinned at, or came to a locked one."""
    pinned_at = dict(work.limits.pins.tasks)
    for number, (at, _) in places.items():
        if pinned_at.get(number, at) != at:
            message = f"It is at station {at}, but is pinned at station {pinned_at[number]}."
            yield error("station-not-allowed", f"Task {number}", message)
        elif at in work.limits.pins.stations and number not in pinned_at:
            message = f"It is at station {at}, which is locked for other tasks."
            yield error("station-not-allowed", f"Task {number}", message)


def _shared(work: LineWork, places: Places) -> Iterator[Finding]:
    """Yield groups that are split, and tasks and zones that share a station but may not."""
    stations_of: dict[str, dict[int, str]] = defaultdict(dict)
    zones_at: dict[int, set[str]] = defaultdict(set)
    stated = {setting.number: setting.zone for setting in work.limits.stations if setting.zone}
    for number, limits, at in _limited(work, places):
        if limits.together:
            stations_of[limits.together].setdefault(at, number)
        for other in limits.apart:
            if other != number and other in places and places[other][0] == at:
                message = f"It is at station {at} with task {other}, from which it is kept apart."
                yield error("tasks-not-apart", f"Task {number}", message)
        if limits.zone:
            zones_at[at].add(limits.zone)
            if limits.zone in stated.values() and stated.get(at) != limits.zone:
                message = f"It needs zone {limits.zone}, and station {at} is not in it."
                yield error("station-not-allowed", f"Task {number}", message)
    for label, where in stations_of.items():
        if len(where) > 1:
            said = ", ".join(f"task {number} at station {at}" for at, number in where.items())
            message = f"The tasks of group {label} are not at one station: {said}."
            yield error("group-split", f"Line {work.line}", message)
    for at, zones in zones_at.items():
        named = zones | ({stated[at]} if at in stated else set())
        if len(named) > 1:
            message = f"It would lie in more than one zone: {', '.join(sorted(named))}."
            yield error("zones-mixed", f"Station {at}", message)


def _equipped(work: LineWork, places: Places) -> Iterator[Finding]:
    """Yield the tasks at a station without the equipment that other stations have for them."""
    having: dict[str, set[int]] = defaultdict(set)
    possible: dict[str, set[int]] = defaultdict(set)
    for setting in work.limits.stations:
        for name in setting.equipment:
            having[name].add(setting.number)
        for name in setting.equipment_possible:
            possible[name].add(setting.number)
            having.setdefault(name, set())
    for number, limits, at in _limited(work, places):
        for name in limits.equipment:
            if name in having and at not in having[name] | possible[name]:
                message = f"It needs {name}, which station {at} does not have, but another has."
                yield error("equipment-missing", f"Task {number}", message)
