"""The numbers of a balanced line, opened: formula, values put in, source, cross-check."""

from collections.abc import Mapping
from dataclasses import replace
from math import fsum, sqrt

from stationflow.balancing.metrics import (
    balance_efficiency,
    gap,
    idle_time,
    smoothness_index,
)
from stationflow.balancing.time_words import TimeWords, count, time_words
from stationflow.model import BalanceResult, Explained, Goal, cross_checked
from stationflow.model.terms import TERMS
from stationflow.pace.figures import figure
from stationflow.units import exact

EFFICIENCY_SOURCE = (
    "Baybars, I. (1986). A survey of exact algorithms for the simple assembly line balancing "
    "problem. Management Science 32(8), 909-932"
)
DELAY_SOURCE = (
    "Kilbridge, M. D. and Wester, L. (1961). The balance delay problem. Management Science 8(1), "
    "69-84"
)
SMOOTHNESS_SOURCE = (
    "Moodie, C. L. and Young, H. H. (1965). A heuristic method of assembly line balancing for "
    "assumptions of constant or variable work element times. Journal of Industrial Engineering "
    "16(1), 23-29"
)
USE = "common practice, no source"


def plan_numbers(
    result: BalanceResult, words: TimeWords | None = None, times: Mapping[str, float] | None = None
) -> tuple[Explained, ...]:
    """Return the numbers of a balanced line, each opened; empty without a plan.

    Parameters
    ----------
    result
        The balanced line.
    words
        The unit in which the numbers speak; None: the result's own.
    times
        Time of each task by number, in the result's unit, for the cross-check of the work content.
    """
    if not result.has_plan:
        return ()
    words = words or time_words(result.time_unit)
    numbers = [_stations(result), *_limit(result, words), _cycle(result, words, times)]
    numbers.append(_content(result, words, times))
    numbers += _gap(result, words)
    for name, base in bases(result):
        numbers += _on_base(result, name, base, words)
    return tuple(numbers)


def bases(result: BalanceResult) -> list[tuple[str, float]]:
    """Return the bases of the measures by name: the limit of the takt, and the cycle time."""
    named = [("cycle time", result.cycle_time)]
    return named if result.limit is None else [("takt", result.limit), *named]


def station_numbers(
    result: BalanceResult, number: int, times: Mapping[str, float], words: TimeWords | None = None
) -> tuple[Explained, ...]:
    """Return load, idle time and loaded share of one station, opened.

    Parameters
    ----------
    result
        The balanced line.
    number
        Number of the station, from 1.
    times
        Time of each task by number, in the result's unit.
    words
        The unit in which the numbers speak; None: the result's own.

    Returns
    -------
    tuple of Explained
        Empty: the plan has no such station.
    """
    station = next((s for s in result.stations if s.number == number), None)
    if station is None:
        return ()
    words = words or time_words(result.time_unit)
    where, key = f"station {number}", f"station-{number}"
    load = result.in_time_unit(station.work_ticks)
    listed = " + ".join(f"{words.figure(times.get(t, 0.0))} (task {t})" for t in station.tasks)
    opened = [
        cross_checked(
            Explained(
                name="load",
                value=words.number(load),
                unit=words.label,
                formula="load = sum of the times of the station's tasks",
                worked=f"{listed or 'no task'} = {words.show(load)}",
                source=USE,
                other="Some books call the load of a station its station time.",
                key=f"{key}-load",
                where=where,
            ),
            words.number(fsum(times.get(t, 0.0) for t in station.tasks)),
            "the sum of the task times of the product the plan was made from",
        )
    ]
    for base_name, base in bases(result):
        on = "limit" if base_name == "takt" else base_name
        opened += _against(load, base, on, key, where, words)
    return tuple(opened)


def _against(
    load: float, base: float, on: str, key: str, where: str, words: TimeWords
) -> list[Explained]:
    """Return idle time and loaded share of a station against a base."""
    idle = Explained(
        name=f"idle time to the {on}",
        value=words.number(base - load),
        unit=words.label,
        formula=f"idle time = {on} - load",
        worked=f"{words.figure(base)} - {words.figure(load)} = {words.show(base - load)}",
        source=USE,
        key=f"{key}-idle-time-to-the-{on.replace(' ', '-')}",
        where=where,
    )
    if not base:
        return [idle]
    share = Explained(
        name=f"loaded share of the {on}",
        value=load / base,
        unit="",
        formula=f"loaded share = load / {on}",
        worked=f"{words.figure(load)} / {words.figure(base)} = {figure(load / base, 4)}",
        source=USE,
        other="Some books call it the efficiency of the station.",
        key=f"{key}-loaded-share-of-the-{on.replace(' ', '-')}",
        where=where,
    )
    return [idle, cross_checked(share, 1 - (base - load) / base, f"1 - idle time / {on}")]


def _stations(result: BalanceResult) -> Explained:
    """Open the number of stations."""
    tasks = [number for station in result.stations for number in station.tasks]
    way = f", {result.effort.direction.value}" if result.effort.direction else ""
    by = "as given" if result.method == "given" else f"by {result.method.replace('-', ' ')}"
    stations = Explained(
        name="stations",
        value=float(len(result.stations)),
        unit="",
        formula="stations = how many the plan uses",
        worked=f"{count(len(tasks), 'task')} at {count(len(result.stations), 'station')}, shared "
        f"out {by}{way}",
        source="the plan",
        other="With parallel stations or several operators, stations and people differ.",
    )
    if len(set(tasks)) == len(tasks) and all(s.tasks for s in result.stations):
        return replace(stations, check="Agrees: each task is at one station, and none is empty.")
    return stations


def _added_again(result: BalanceResult, times: Mapping[str, float]) -> list[float]:
    """Return the load of each station from the times of its tasks."""
    return [float(sum(exact(times.get(n, 0.0)) for n in s.tasks)) for s in result.stations]


def _limit(result: BalanceResult, words: TimeWords) -> list[Explained]:
    """Open the limit of a station, where the plan has one."""
    if result.limit is None:
        return []
    by_demand = result.pace.operating_takt is not None
    formula = "limit = station time of the line = operating takt - repositioning"
    worked = f"{words.show(result.limit)}, given by hand when the plan was made"
    if by_demand:
        left = (result.pace.operating_takt or 0.0) - result.limit
        worked = (
            f"{words.figure(result.pace.operating_takt or 0.0)} - {words.figure(left)} = "
            f"{words.show(result.limit)}"
        )
    return [
        Explained(
            name="limit",
            value=words.number(result.limit),
            unit=words.label,
            formula=formula if by_demand else "limit = what was asked",
            worked=worked,
            source="the pace of the line, when the plan was made" if by_demand else "the plan",
            other=TERMS["limit"].elsewhere,
        )
    ]


def _content(
    result: BalanceResult, words: TimeWords, times: Mapping[str, float] | None
) -> Explained:
    """Open the work content."""
    loads = result.loads
    content = Explained(
        name="work content",
        value=words.number(fsum(loads)),
        unit=words.label,
        formula="work content = sum of all task times of one unit",
        worked=f"loads of the stations: {words.sum(loads)} = {words.show(fsum(loads))}",
        source=USE,
        other=TERMS["work content"].elsewhere,
    )
    again = None if times is None else words.number(fsum(times.values()))
    return cross_checked(content, again, "the sum of the times of all tasks of the line")


def _cycle(result: BalanceResult, words: TimeWords, times: Mapping[str, float] | None) -> Explained:
    """Open the cycle time."""
    loads = result.loads
    longest = result.cycle_time
    slowest = [
        str(s.number) for s, load in zip(result.stations, loads, strict=True) if load == longest
    ]
    named = f"station{'' if len(slowest) == 1 else 's'} {', '.join(slowest[:6])}"
    more = "" if len(slowest) <= 6 else f" and {len(slowest) - 6} more"
    return cross_checked(
        Explained(
            name="cycle time",
            value=words.number(longest),
            unit=words.label,
            formula="cycle time = largest load of a station",
            worked=f"the slowest of {count(len(loads), 'station')}: {named}{more} with "
            f"{words.show(longest)}",
            source=USE,
            other=TERMS["cycle time"].elsewhere,
        ),
        None if times is None else words.number(max(_added_again(result, times))),
        "adding the task times of each station again, the largest,",
    )


def _gap(result: BalanceResult, words: TimeWords) -> list[Explained]:
    """Open how far the plan is above its lower bound."""
    over = gap(result)
    if over is None:
        return []
    stations, longest = len(result.stations), result.cycle_time
    bound = result.proof.lower_bound
    worked = {
        Goal.FEWEST_STATIONS: f"{stations} / {bound:g}",
        Goal.SHORTEST_CYCLE: f"{words.figure(longest)} / {words.figure(bound)}",
        Goal.BEST_EFFICIENCY: f"{stations} x {words.figure(longest)} / {words.figure(bound)}",
    }.get(result.goal, "")
    reached = {
        Goal.FEWEST_STATIONS: "stations",
        Goal.SHORTEST_CYCLE: "cycle time",
        Goal.BEST_EFFICIENCY: "stations x cycle time",
    }.get(result.goal, "")
    value = stations if result.goal == Goal.FEWEST_STATIONS else longest
    value = value * stations if result.goal == Goal.BEST_EFFICIENCY else value
    return [
        cross_checked(
            Explained(
                name="gap",
                value=over,
                unit="",
                formula=f"gap = {reached} / lower bound - 1",
                worked=f"{worked} - 1 = {figure(over, 4)}",
                source=USE,
                other=TERMS["gap"].elsewhere,
            ),
            (value - bound) / bound,
            f"({reached} - lower bound) / lower bound",
        )
    ]


def _on_base(result: BalanceResult, name: str, base: float, words: TimeWords) -> list[Explained]:
    """Open the measures that need a base: the takt or the cycle time."""
    loads = result.loads
    total, stations = fsum(loads), len(loads)
    of, content = f"{stations} x {words.figure(base)}", words.figure(total)
    efficiency, idle = balance_efficiency(loads, base), idle_time(loads, base)
    smoothness = smoothness_index(loads, base)
    squares = fsum((words.number(base) - words.number(load)) ** 2 for load in loads)
    by_station = fsum(base - load for load in loads)
    # Expanded square, in decimals: in binary floats its large terms would not cancel.
    at, work = exact(base), [exact(load) for load in loads]
    expanded = float(stations * at**2 - 2 * at * sum(work) + sum(load**2 for load in work))

    def opened(
        word: str, value: float, unit: str, formula: str, worked: str, source: str
    ) -> Explained:
        return Explained(
            name=f"{word} on the {name}", value=value, unit=unit,
            formula=f"{word} = {formula}", worked=worked, source=source,
            other=TERMS[word].elsewhere,
        )  # fmt: skip

    return [
        cross_checked(
            opened(
                "balance efficiency", efficiency, "", f"work content / (stations x {name})",
                f"{content} / ({of}) = {figure(efficiency, 4)}", EFFICIENCY_SOURCE,
            ),
            1 - by_station / (stations * base) if base else None,
            "1 - sum of the idle times of the stations / all time there is",
        ),
        cross_checked(
            opened(
                "balance delay", 1 - efficiency, "", f"1 - work content / (stations x {name})",
                f"1 - {content} / ({of}) = {figure(1 - efficiency, 4)}", DELAY_SOURCE,
            ),
            by_station / (stations * base) if base else None,
            "the sum of the idle times of the stations / all time there is",
        ),
        cross_checked(
            opened(
                "smoothness index", words.number(smoothness), words.label,
                f"square root of the sum of ({name} - load) squared",
                f"square root of {figure(squares, 4)} = "
                f"{figure(words.number(smoothness), 3)} {words.label}", SMOOTHNESS_SOURCE,
            ),
            words.number(sqrt(max(expanded, 0.0))) if smoothness else None,
            "stations x base squared - 2 x base x work content + sum of squared loads, under the "
            "root,",
        ),
        cross_checked(
            opened(
                "idle time", words.number(idle), words.label,
                f"stations x {name} - work content",
                f"{of} - {content} = {words.show(idle)}", USE,
            ),
            words.number(stations * base - total),
            "the sum of what each station has left",
        ),
    ]  # fmt: skip
