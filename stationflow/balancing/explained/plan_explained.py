"""The numbers of a balanced line, opened: formula, values put in, source, cross-check."""

from dataclasses import replace
from math import fsum, sqrt

from stationflow.balancing.metrics import (
    gap,
    idle_time,
    smoothness_index,
)
from stationflow.balancing.time_words import TimeWords, count, time_words
from stationflow.balancing.work import TimesThere
from stationflow.model import BalanceResult, Explained, Goal, cross_checked
from stationflow.model.explanation import key_word
from stationflow.model.terms import TERMS
from stationflow.pace.formula import Formula, Written, plain
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
NO_WORK = "no task takes time"
RATIO = Written(places=4)
ROOT = Formula(name="root", right="square root of (squares)", source=USE)
IDLE_SHARE = "sum of the idle times of the stations / all time there is"


def plan_numbers(
    result: BalanceResult, words: TimeWords | None = None, there: TimesThere | None = None
) -> tuple[Explained, ...]:
    """Return the numbers of a balanced line, each opened; empty without a plan.

    `words` None: the result's own unit. `there`, the times of the tasks, is for the cross-check.
    """
    if not result.has_plan:
        return ()
    words = words or time_words(result.time_unit)
    numbers = [_stations(result), *_limit(result, words), _cycle(result, words, there)]
    numbers.append(_content(result, words, there))
    numbers += _gap(result, words)
    for name, base in bases(result):
        numbers += _on_base(result, name, base, words)
    return (*numbers, _smoothness(result, words))


def bases(result: BalanceResult) -> list[tuple[str, float]]:
    """Return the bases of the measures by name: the limit, and the cycle time."""
    named = [("cycle time", result.cycle_time)]
    return named if result.limit is None else [("limit", result.limit), *named]


def station_numbers(
    result: BalanceResult,
    number: int,
    there: TimesThere | None,
    words: TimeWords | None = None,
) -> tuple[Explained, ...]:
    """Return load, idle time and loaded share of one station, opened.

    Empty where the plan has no such station. `there`: the times of the tasks (None: not known);
    `words` None: the result's own unit.
    """
    station = next((s for s in result.stations if s.number == number), None)
    if station is None:
        return ()
    words = words or time_words(result.time_unit)
    where, key = f"station {number}", f"station-{number}"
    load = result.in_time_unit(station.work_ticks)
    times, turns = (there.of_task, there.turns) if there else ({}, {})
    terms = [(f"task {t}", times.get(t, 0.0)) for t in station.tasks]
    terms += [("turning the unit over", turns[number])] if number in turns else []
    row = Formula(
        name="load",
        right="sum of the times of the station's tasks",
        unit=words.label,
        source=USE,
        other="Some books call the load of a station its station time.",
        key=f"{key}-load",
        how="the sum of the task times",
    )
    again = words.number(fsum(time for _, time in terms))
    told = row.told(words.number(load), words.sum(terms, "tasks") if terms else "no task")
    opened = [cross_checked(told, again, row.how)]
    for base_name, base in bases(result):
        opened += _against(load, base, base_name, key, words)
    return tuple(replace(number, where=where) for number in opened)


def _against(load: float, base: float, on: str, key: str, words: TimeWords) -> list[Explained]:
    """Return idle time and loaded share of a station against a base."""
    values = {on: words.value(base), "load": words.value(load)}
    idle = Formula(
        name=f"idle time to the {on}",
        left="idle time",
        right=f"{on} - load",
        unit=words.label,
        source=USE,
        key=f"{key}-idle-time-to-the-{key_word(on)}",
    )
    share = Formula(
        name=f"loaded share of the {on}",
        left="loaded share",
        right=f"load / {on}",
        source=USE,
        other="Some books call it the efficiency of the station.",
        key=f"{key}-loaded-share-of-the-{key_word(on)}",
        how=f"1 - idle time / {on}",
    )
    opened = [idle.opened(values, written=words.written)[1]]
    if base:
        opened.append(share.opened(values, 1 - (base - load) / base, RATIO)[1])
    return opened


def _stations(result: BalanceResult) -> Explained:
    """Open the number of stations."""
    tasks = [number for station in result.stations for number in station.tasks]
    way = f", {result.effort.direction.value}" if result.effort.direction else ""
    made = result.method.replace("-", " ")
    by = {"given": "as given", "by hand": made}.get(made, f"by {made}")
    row = Formula(
        name="stations",
        right="how many the plan uses",
        source="the plan",
        other="With parallel stations or several operators, stations and people differ.",
    )
    used = len(result.stations)
    shared = f"{count(len(tasks), 'task')} at {count(used, 'station')}, shared out {by}{way}"
    is_sound = len(set(tasks)) == len(tasks) and all(s.tasks for s in result.stations)
    check = "Agrees: each task is at one station, and none is empty." if is_sound else ""
    return replace(row.told(float(used), shared), check=check)


def _limit(result: BalanceResult, words: TimeWords) -> list[Explained]:
    """Open the limit of a station, where the plan has one."""
    limit, operating = result.limit, result.pace.operating_takt
    if limit is None:
        return []
    by_demand = operating is not None
    row = Formula(
        name="limit",
        left="limit = station time of the line" if by_demand else "limit",
        right="operating takt - repositioning" if by_demand else "what was asked",
        unit=words.label,
        source="the pace of the line" if by_demand else "the plan",
        other=TERMS["limit"].elsewhere,
    )
    if operating is None:
        said = f"{words.show(limit)}, given by hand when the plan was made"
        return [row.told(words.number(limit), said)]
    values = {
        "operating takt": words.value(operating),
        "repositioning": words.value(operating - limit),
    }
    return [row.opened(values, written=words.written)[1]]


def _content(result: BalanceResult, words: TimeWords, there: TimesThere | None) -> Explained:
    """Open the work content."""
    total = fsum(result.loads)
    row = _of_term("work content", "sum of all task times of one unit", words.label)
    worked = f"loads of the stations: {words.sum([('', load) for load in result.loads])}"
    again = None
    if there is not None:
        again = words.number(fsum([*there.of_task.values(), *there.turns.values()]))
    how = "the sum of the times of all tasks of the line, and of turning the unit over,"
    if there is None or not there.turns:
        how = "the sum of the times of all tasks of the line"
    return cross_checked(row.told(words.number(total), worked), again, how)


def _cycle(result: BalanceResult, words: TimeWords, there: TimesThere | None) -> Explained:
    """Open the cycle time: the largest load, unless a target load or lifting needs a longer one."""
    longest, by_station = result.cycle_time, zip(result.stations, result.loads, strict=True)
    slowest = [str(station.number) for station, load in by_station if load == longest]
    named = f"station{'' if len(slowest) == 1 else 's'} {', '.join(slowest[:6])}"
    more = "" if len(slowest) <= 6 else f" and {len(slowest) - 6} more"
    if not slowest:
        ticks = max(station.cycle_ticks for station in result.stations)
        by = next(station.number for station in result.stations if station.cycle_ticks == ticks)
        needs = (
            "shortest cycle that the loads of all stations, their target loads and lifting allow"
        )
        row = _of_term("cycle time", needs, words.label)
        return row.told(words.number(longest), f"station {by} needs {words.show(longest)}")
    row = _of_term("cycle time", "largest load of a station", words.label)
    stations = count(len(result.stations), "station")
    worked = f"the slowest of {stations}: {named}{more} with {words.show(longest)}"
    again = None
    if there is not None:  # the loads again, from the times of the tasks
        again = words.number(
            float(
                max(
                    sum(exact(there.of_task.get(n, 0.0)) for n in s.tasks)
                    + exact(there.turns.get(s.number, 0.0))
                    for s in result.stations
                )
            )
        )
    how = "adding the task times of each station again, the largest,"
    return cross_checked(row.told(words.number(longest), worked), again, how)


def _of_term(term: str, right: str, unit: str = "") -> Formula:
    """Return the formula of a word of the trade."""
    return Formula(name=term, right=right, unit=unit, source=USE, other=TERMS[term].elsewhere)


def _gap(result: BalanceResult, words: TimeWords) -> list[Explained]:
    """Open how far the plan is above its lower bound."""
    over, bound, goal = gap(result), result.proof.lower_bound, result.goal
    if over is None:
        return []
    values = {
        "stations": plain(len(result.stations)),
        "cycle time": words.value(result.cycle_time),
        "lower bound": plain(bound) if goal == Goal.FEWEST_STATIONS else words.value(bound),
    }
    reached = {
        Goal.FEWEST_STATIONS: "stations",
        Goal.SHORTEST_CYCLE: "cycle time",
        Goal.BEST_EFFICIENCY: "stations x cycle time",
    }[goal]
    row = _of_term("gap", f"{reached} / lower bound - 1")
    row = replace(row, how=f"({reached} - lower bound) / lower bound")
    value: float = 1 if goal == Goal.SHORTEST_CYCLE else len(result.stations)
    value *= 1 if goal == Goal.FEWEST_STATIONS else result.cycle_time
    return [row.opened(values, (value - bound) / bound, RATIO)[1]]


def _on_base(result: BalanceResult, name: str, base: float, words: TimeWords) -> list[Explained]:
    """Open the measures that need a base: the limit or the cycle time."""
    loads, count_of = result.loads, len(result.stations)
    idle = idle_time(loads, base)
    values = {
        "work content": words.value(fsum(loads)),
        "stations": plain(count_of),
        name: words.value(base),
    }

    def row(word: str, right: str, source: str, how: str, unit: str = "") -> Formula:
        return Formula(
            name=f"{word} on the {name}", left=word, right=right, unit=unit, source=source,
            other=TERMS[word].elsewhere, how=how,
        )  # fmt: skip

    share_of = f"work content / (stations x {name})"
    efficiency = row("balance efficiency", share_of, EFFICIENCY_SOURCE, f"1 - {IDLE_SHARE}")
    delay = row("balance delay", f"1 - {share_of}", DELAY_SOURCE, f"the {IDLE_SHARE}")
    left = row(
        "idle time", f"stations x {name} - work content", USE,
        "the sum of what each station has left", words.label,
    )  # fmt: skip
    if base:
        shares = [
            efficiency.opened(values, 1 - idle / (count_of * base), RATIO)[1],
            delay.opened(values, idle / (count_of * base), RATIO)[1],
        ]
    else:
        shares = [row.told(value, NO_WORK) for row, value in ((efficiency, 1.0), (delay, 0.0))]
    return [*shares, left.opened(values, words.number(idle), words.written)[1]]


def _smoothness(result: BalanceResult, words: TimeWords) -> Explained:
    """Open the smoothness index."""
    loads, base = result.loads, result.cycle_time
    smoothness = words.number(smoothness_index(loads))
    largest, *others = (words.value(time).number for time in (base, *loads))
    squares = plain(sum((largest - load) ** 2 for load in others), 4)
    # Expanded square, in decimals: in binary floats its large terms would not cancel.
    at, work = exact(base), [exact(load) for load in loads]
    expanded = float(len(work) * at**2 - 2 * at * sum(work) + sum(load**2 for load in work))
    row = Formula(
        name="smoothness index",
        right="square root of the sum of (largest load - load) squared",
        unit=words.label,
        source=SMOOTHNESS_SOURCE,
        other=TERMS["smoothness index"].elsewhere,
        how="stations x largest load squared - 2 x largest load x work content "
        "+ sum of squared loads, under the root,",
    )
    said = ROOT.worked({"squares": squares}, Written(unit=words.label))
    rooted = words.number(sqrt(max(expanded, 0.0))) if smoothness else None
    return cross_checked(row.told(smoothness, said), rooted, row.how)
