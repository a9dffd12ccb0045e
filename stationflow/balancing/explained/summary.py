"""A balanced line as an aligned block of text, fit for a report."""

from stationflow.balancing.metrics import (
    balance_delay,
    balance_efficiency,
    gap,
    idle_time,
    smoothness_index,
)
from stationflow.balancing.time_words import count
from stationflow.model import (
    BalanceResult,
    Confirmation,
    Ending,
    FinerGoal,
    Goal,
    Reached,
    Stopped,
)

ENDINGS = {
    Ending.OPTIMAL: "optimal: proven best",
    Ending.FOUND: "found: valid, not proven best",
    Ending.IMPOSSIBLE: "impossible: proven",
    Ending.NOTHING_FOUND: "nothing found",
}


def summary(
    result: BalanceResult,
    source: str = "",
    why: str = "",
    confirmation: Confirmation | None = None,
) -> str:
    """Return a result as aligned lines: what was asked, what came out, how good it is.

    `source` is what the line was read from, `why` comes from `why_not_less`, `confirmation` from
    a second solver; each is left out where there is none.
    """
    rows = [("source", source)] if source else []
    rows += _asked(result)
    rows += [("why not less", why)] if why else []
    if result.ending is not None:
        rows += _search(result)
    if confirmation is not None:
        rows.append(("second solver", confirmation.said))
    if result.has_plan:
        rows += _quality(result)
    width = max(len(title) for title, _ in rows)
    lines = [f"{title.ljust(width)}  {text}" for title, text in rows]
    return "\n".join(lines + _stations(result))


def _asked(result: BalanceResult) -> list[tuple[str, str]]:
    """Return what was asked and how it ended."""
    unit = result.time_unit
    rows = [("line", result.line), ("goal", result.goal.value.replace("-", " "))]
    rows.append(("method", _method(result)))
    paced = (
        ("takt time", result.pace.takt_time),
        ("operating takt", result.pace.operating_takt),
        ("limit of a station", result.limit),
    )
    rows += [(name, f"{time:g} {unit}") for name, time in paced if time is not None]
    ending = ENDINGS[result.ending] if result.ending else "not tried: the data has errors"
    rows.append(("ending", ending))
    if result.ending is not None:
        rows.append(("lower bound", _bound(result)))
        rows += [("then", reached_words(each, result.time_unit)) for each in result.proof.reached]
        rows.append(("time taken", f"{result.effort.runtime_s:.2f} s"))
    return rows


def reached_words(reached: Reached, unit: str) -> str:
    """Return what came of a second goal in words."""
    proven = "no plan as good has less" if reached.is_proven else "not proven the least"
    if reached.goal == FinerGoal.SMOOTHEST:
        return f"smoothest: smoothness index {reached.value:.4g} {unit}, {proven}"
    return f"cheapest equipment: {reached.value:.10g}, {proven}"


def stop_words(result: BalanceResult) -> str:
    """Return why a search ended before its proof, "the time limit of 60 s was reached"."""
    stopped, asked = result.proof.stopped, result.asked
    if stopped == Stopped.TIME:
        much = "" if asked.seconds is None else f" of {asked.seconds:g} s"
        return f"the time limit{much} was reached"
    if stopped == Stopped.MEMORY:
        much = "" if asked.memory_mb is None else f" of {asked.memory_mb} MiB"
        return f"the memory bound{much} was reached"
    if stopped == Stopped.NODES:
        much = "" if asked.nodes is None else f" {asked.nodes}"
        return f"the bound of{much} partial plans was reached"
    return "somebody asked it to stop"


def _search(result: BalanceResult) -> list[tuple[str, str]]:
    """Return how much was searched, and why no further."""
    effort = result.effort
    rows = (
        ("partial plans", str(effort.nodes or "")),
        ("memory", f"{effort.memory_mb:.0f} MiB" if effort.memory_mb else ""),
        ("stopped by", "" if result.proof.stopped is None else stop_words(result)),
    )
    return [(name, said) for name, said in rows if said]


def _method(result: BalanceResult) -> str:
    """Return the method with all that is needed to repeat it."""
    said = [result.method]
    if result.effort.direction is not None:
        said.append(result.effort.direction.value)
    if result.asked.seed is not None:
        said.append(f"seed {result.asked.seed}")
    if result.effort.trials:
        said.append(count(result.effort.trials, "trial"))
    return ", ".join(said)


def _bound(result: BalanceResult) -> str:
    """Return the lower bound and how far the plan is from it."""
    counts_stations = result.goal in (Goal.FEWEST_STATIONS, Goal.FEASIBLE)
    unit = "stations" if counts_stations else result.time_unit
    said = f"{result.proof.lower_bound:g} {unit}"
    over = gap(result)
    return said if over is None else f"{said} (gap {100 * over:.1f} %)"


def _quality(result: BalanceResult) -> list[tuple[str, str]]:
    """Return stations and metrics, both bases where there are two."""
    loads, unit, limit = result.loads, result.time_unit, result.limit
    rows = [("stations", str(len(loads))), ("cycle time", f"{result.cycle_time:g} {unit}")]
    bases: list[tuple[str, float | None]] = [("on the cycle time", None)]
    if limit is not None:
        bases.insert(0, ("on the limit", limit))
    for name, base in bases:
        efficiency, delay = balance_efficiency(loads, base), balance_delay(loads, base)
        rows += [
            (f"balance efficiency {name}", f"{100 * efficiency:.1f} %"),
            (f"balance delay {name}", f"{100 * delay:.1f} %"),
            (f"idle time {name}", f"{idle_time(loads, base):g} {unit}"),
        ]
    return [*rows, ("smoothness index", f"{smoothness_index(loads):.2f} {unit}")]


def _stations(result: BalanceResult) -> list[str]:
    """Return one line for each station."""
    return [
        f"station {station.number:>3}  {load:>10g} {result.time_unit}  " + ", ".join(station.tasks)
        for station, load in zip(result.stations, result.loads, strict=True)
    ]
