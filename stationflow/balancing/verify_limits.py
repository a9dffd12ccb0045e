"""The check of what limits say of stations, times and lifting, made from the line's work alone.

Like the rest of the check it shares no code with the methods or with the forms they know.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction

from stationflow.balancing.work import LineWork
from stationflow.model import Finding, StationSetting, TaskLimits, error
from stationflow.units import exact

Places = Mapping[str, tuple[int, int]]
"""For each task its station, from 1, and its place within the station."""

Stations = Sequence[Sequence[str]]


def limit_findings(
    work: LineWork, stations: Stations, places: Places, limit: float | None
) -> Iterator[Finding]:
    """Yield what is broken of limits that need more than the places of tasks."""
    if not work.limits.numbers:
        return
    limits_of = dict(zip(work.limits.numbers, work.limits.tasks, strict=True))
    settings = {setting.number: setting for setting in work.limits.stations}
    loads = loads_with_limits(work, stations)
    ticks = _floor(Fraction(exact(limit)) * work.ticks) if limit is not None else None
    yield from _stated(settings, limits_of, places)
    yield from _numbers_of_equipment(work, limits_of, places)
    yield from _together(work, limits_of, stations, places)
    yield from _widths(work, settings, limits_of, stations)
    if ticks is not None:
        yield from _targets(work, settings, loads, ticks)
        yield from _lifting(work, limits_of, stations, ticks)
    pace = _cycle(work, settings, limits_of, stations, loads) if ticks is None else ticks
    yield from _between(work, stations, places, pace + work.limits.line.repositioning_ms)


def loads_with_limits(work: LineWork, stations: Stations) -> list[int]:
    """Return the work of each station in ticks: times of its own, and turning the unit over."""
    own, usual = _own_times(work), dict(zip(work.numbers, work.times, strict=True))
    entered = zip(work.limits.numbers, work.limits.tasks, strict=True)
    lies = {number: limits.attitude for number, limits in entered if limits.attitude}
    loads = []
    for at, tasks in enumerate(stations, 1):
        load = sum(own.get((number, at), usual.get(number, 0)) for number in tasks)
        ways = {lies[number] for number in tasks if number in lies}
        loads.append(load + work.limits.line.turn_ms * max(0, len(ways) - 1))
    return loads


def _own_times(work: LineWork) -> dict[tuple[str, int], int]:
    times = zip(work.limits.numbers, work.limits.station_times, strict=False)
    return {(number, own.station): own.time_ms for number, row in times for own in row}


def _floor(number: Fraction) -> int:
    return int(number.numerator // number.denominator)


def _stated(
    settings: Mapping[int, StationSetting], limits_of: Mapping[str, TaskLimits], places: Places
) -> Iterator[Finding]:
    """Yield tasks at a station that lacks what other stations state, or that bars equipment."""
    skills = {skill for setting in settings.values() for skill in setting.skills}
    is_safe = any(setting.static_safe for setting in settings.values())
    is_guarded = any(setting.guarded for setting in settings.values())
    for number, limits in limits_of.items():
        if number not in places:
            continue
        at, where = places[number][0], f"Task {number}"
        here = settings.get(at, StationSetting(number=at))
        if limits.skill in skills and limits.skill not in here.skills:
            message = f"It needs the skill {limits.skill}; the operator of station {at} is without."
            yield error("skill-missing", where, message)
        if limits.static_safe and is_safe and not here.static_safe:
            message = f"It needs a static-protected area, and station {at} is none."
            yield error("no-static-protection", where, message)
        if limits.guarded and is_guarded and not here.guarded:
            message = f"It needs a high-voltage guard, and station {at} has none."
            yield error("no-guard", where, message)
        for name in set(limits.equipment) & set(here.equipment_barred):
            message = f"It needs {name}, which station {at} may not get."
            yield error("equipment-barred", where, message)


def _numbers_of_equipment(
    work: LineWork, limits_of: Mapping[str, TaskLimits], places: Places
) -> Iterator[Finding]:
    """Yield equipment that more stations need than there is for them."""
    for piece in work.limits.equipment:
        at = sorted(
            {
                places[n][0]
                for n, lim in limits_of.items()
                if n in places and piece.name in lim.equipment
            }
        )
        needed, served = 0, 0
        for station in at:
            if station > served:
                needed, served = needed + 1, station + piece.shared
        if needed > piece.quantity:
            named = ", ".join(map(str, at))
            message = f"Stations {named} need {needed} of {piece.name}; there are {piece.quantity}."
            yield error("equipment-short", f"Line {work.line}", message)


def _together(
    work: LineWork, limits_of: Mapping[str, TaskLimits], stations: Stations, places: Places
) -> Iterator[Finding]:
    """Yield tasks that check their own operator's work, and heights too far apart."""
    reach = work.limits.line.height_range_mm
    for number, limits in limits_of.items():
        for other in limits.independent_of:
            is_here = other != number and number in places and other in places
            if is_here and places[other][0] == places[number][0]:
                message = (
                    f"It checks task {other}, and the operator of station "
                    f"{places[number][0]} does both."
                )
                yield error("own-work-checked", f"Task {number}", message)
    for at, tasks in enumerate(stations, 1):
        heights = [
            height
            for number in tasks
            if number in limits_of and (height := limits_of[number].working_height_mm) is not None
        ]
        if (
            reach is not None
            and heights
            and exact(max(heights)) - exact(min(heights)) > exact(reach)
        ):
            message = (
                f"Its working heights go from {min(heights):g} to {max(heights):g} mm, more than "
                f"{reach:g} mm apart."
            )
            yield error("heights-apart", f"Station {at}", message)


def _widths(
    work: LineWork,
    settings: Mapping[int, StationSetting],
    limits_of: Mapping[str, TaskLimits],
    stations: Stations,
) -> Iterator[Finding]:
    """Yield stations whose parts need more width than there is."""
    pitch_m = work.limits.line.pitch_m
    for at, tasks in enumerate(stations, 1):
        room = exact(pitch_m) * 1000 if pitch_m else None
        if at in settings and settings[at].width_mm is not None:
            room = exact(settings[at].width_mm or 0)
        needed = sum(
            (exact(limits_of[n].space_mm or 0) for n in tasks if n in limits_of), Decimal(0)
        )
        if room is not None and needed > room:
            message = f"Its parts need {needed:g} mm at the line; there are {room:g} mm."
            yield error("width-exceeded", f"Station {at}", message)


def _targets(
    work: LineWork, settings: Mapping[int, StationSetting], loads: Sequence[int], limit: int
) -> Iterator[Finding]:
    """Yield stations with more work than their share of the limit."""
    for at, load in enumerate(loads, 1):
        share = settings[at].target_share if at in settings else None
        if share is None or share >= 1 or load <= _floor(limit * Fraction(exact(share))):
            continue
        words = work.words
        its = words.show(float(Decimal(load) / work.ticks))
        message = f"The work is {its}, more than {share:.4g} of the limit."
        yield error("target-load-exceeded", f"Station {at}", message)


def _lifted(limits_of: Mapping[str, TaskLimits], tasks: Sequence[str]) -> tuple[int, Fraction]:
    """Return how often, and how many kilograms, are lifted in one unit."""
    lifts, mass = 0, Fraction(0)
    for limits in (limits_of[number] for number in tasks if number in limits_of):
        times = limits.lifts
        if times is None:
            times = 0 if limits.lift_kg is None else 1
        lifts += times
        mass += times * Fraction(exact(limits.lift_kg or 0))
    return lifts, mass


def _lifting(
    work: LineWork, limits_of: Mapping[str, TaskLimits], stations: Stations, limit: int
) -> Iterator[Finding]:
    """Yield stations where more is lifted in a minute than may be."""
    line = work.limits.line
    cycle = Fraction(limit + line.repositioning_ms, 60_000)  # in minutes
    for at, tasks in enumerate(stations, 1):
        lifts, mass = _lifted(limits_of, tasks)
        for amount, most, what in (
            (Fraction(lifts), line.lifts_per_min, "lifts"),
            (mass, line.lifted_kg_per_min, "kg lifted"),
        ):
            if most and amount > cycle * Fraction(exact(most)):
                message = (
                    f"It has {float(amount):g} {what} in a cycle of {float(cycle * 60):.4g} s; "
                    f"at most {most:g} a minute are allowed."
                )
                yield error("lifted-too-much", f"Station {at}", message)


def _cycle(
    work: LineWork,
    settings: Mapping[int, StationSetting],
    limits_of: Mapping[str, TaskLimits],
    stations: Stations,
    loads: Sequence[int],
) -> int:
    """Return the shortest cycle, in ticks, at which the stations do their work."""
    line, cycle = work.limits.line, 0
    for at, (tasks, load) in enumerate(zip(stations, loads, strict=True), 1):
        share = settings[at].target_share if at in settings else None
        least = Fraction(load) / Fraction(exact(share)) if share else Fraction(load)
        lifts, mass = _lifted(limits_of, tasks)
        for amount, most in (
            (Fraction(lifts), line.lifts_per_min),
            (mass, line.lifted_kg_per_min),
        ):
            if most:
                lasts = 60_000 * amount / Fraction(exact(most)) - line.repositioning_ms
                least = max(least, lasts)
        cycle = max(cycle, -_floor(-least))
    return cycle


def _between(work: LineWork, stations: Stations, places: Places, pace: int) -> Iterator[Finding]:
    """Yield tasks with too few or too many stations, or too little or too much time, between."""
    own, usual = _own_times(work), dict(zip(work.numbers, work.times, strict=True))
    begins: dict[str, int] = defaultdict(int)
    for at, tasks in enumerate(stations, 1):
        clock = at * pace
        for number in tasks:
            begins[number] = clock
            clock += own.get((number, at), usual.get(number, 0))
    for lag in work.limits.own_lags:
        if lag.before not in places or lag.after not in places:
            continue
        before, after = places[lag.before][0], places[lag.after][0]
        where = f"Task {lag.after}"
        if (lag.least_stations is not None and after - before < lag.least_stations) or (
            lag.most_stations is not None and after - before > lag.most_stations
        ):
            message = (
                f"It is {after - before} stations after task {lag.before}; "
                f"{_range(lag.least_stations, lag.most_stations)} are asked for."
            )
            yield error("stations-between", where, message)
        end = begins[lag.before] + own.get((lag.before, before), usual.get(lag.before, 0))
        time = begins[lag.after] - end
        if (lag.shortest_ms is not None and time < lag.shortest_ms) or (
            lag.longest_ms is not None and time > lag.longest_ms
        ):
            asked = _range(
                *(None if t is None else t / 1000 for t in (lag.shortest_ms, lag.longest_ms))
            )
            message = (
                f"It begins {time / 1000:g} s after the end of task {lag.before}; "
                f"{asked} s are asked for."
            )
            yield error("time-between", where, message)


def _range(least: float | None, most: float | None) -> str:
    bounds = ((least, "at least"), (most, "at most"))
    return " and ".join(f"{words} {number:g}" for number, words in bounds if number is not None)
