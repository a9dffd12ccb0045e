"""A balanced line as an aligned block of text, fit for a report."""

from stationflow.balancing.metrics import (
    balance_delay,
    balance_efficiency,
    cycle_time,
    gap,
    idle_time,
    smoothness_index,
)
from stationflow.balancing.time_words import count
from stationflow.model import BalanceResult, BalanceSettings, Ending, Goal, Stopped

ENDINGS = {
    Ending.OPTIMAL: "optimal: proven best",
    Ending.FOUND: "found: valid, not proven best",
    Ending.IMPOSSIBLE: "impossible: proven",
    Ending.NOTHING_FOUND: "nothing found",
}


def summary(
    result: BalanceResult,
    source: str = "",
    settings: BalanceSettings | None = None,
    why: str = "",
) -> str:
    """Return a result as aligned lines: what was asked, what came out, how good it is.

    Parameters
    ----------
    result
        The result.
    source
        What the line was read from; empty: left out.
    settings
        What was asked, for the limits that stopped a search; None: they are left out.
    why
        Why no plan can have less, from `why_not_less`; empty: left out.
    """
    rows = [("source", source)] if source else []
    rows += _asked(result)
    rows += [("why not less", why)] if why else []
    if result.ending is not None:
        rows += _search(result, settings)
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
    if result.takt_time is not None:
        rows.append(("takt time", f"{result.takt_time:g} {unit}"))
    if result.operating_takt is not None:
        rows.append(("operating takt", f"{result.operating_takt:g} {unit}"))
    if result.takt is not None:
        rows.append(("limit of a station", f"{result.takt:g} {unit}"))
    ending = ENDINGS[result.ending] if result.ending else "not tried: the data has errors"
    rows.append(("ending", ending))
    if result.ending is not None:
        rows.append(("lower bound", _bound(result)))
        rows.append(("time taken", f"{result.runtime_s:.2f} s"))
    return rows


def stop_words(stopped: Stopped, settings: BalanceSettings | None = None) -> str:
    """Return why a search ended before its proof, "the time limit of 60 s was reached".

    Parameters
    ----------
    stopped
        Why it ended.
    settings
        What was asked, where that is known.

    Examples
    --------
    >>> stop_words(Stopped.MEMORY, BalanceSettings(memory_mb=512))
    'the memory bound of 512 MiB was reached'
    """
    asked = settings or BalanceSettings()
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


def _search(result: BalanceResult, settings: BalanceSettings | None) -> list[tuple[str, str]]:
    """Return how much was searched, why no further, and what a second solver says."""
    rows = []
    if result.nodes:
        rows.append(("partial plans", str(result.nodes)))
    if result.memory_mb:
        rows.append(("memory", f"{result.memory_mb:.0f} MiB"))
    if result.stopped is not None:
        rows.append(("stopped by", stop_words(result.stopped, settings)))
    if result.confirmation is not None:
        rows.append(("second solver", result.confirmation.said))
    return rows


def _method(result: BalanceResult) -> str:
    """Return the method with all that is needed to repeat it."""
    said = [result.method]
    if result.direction is not None:
        said.append(result.direction.value)
    if result.seed is not None:
        said.append(f"seed {result.seed}")
    if result.trials:
        said.append(count(result.trials, "trial"))
    return ", ".join(said)


def _bound(result: BalanceResult) -> str:
    """Return the lower bound and how far the plan is from it."""
    counts_stations = result.goal in (Goal.FEWEST_STATIONS, Goal.FEASIBLE)
    unit = "stations" if counts_stations else result.time_unit
    said = f"{result.lower_bound:g} {unit}"
    over = gap(result)
    return said if over is None else f"{said} (gap {100 * over:.1f} %)"


def _quality(result: BalanceResult) -> list[tuple[str, str]]:
    """Return stations and metrics, both bases where there are two."""
    loads = [station.work for station in result.stations]
    unit, takt = result.time_unit, result.takt
    rows = [("stations", str(len(loads))), ("cycle time", f"{cycle_time(loads):g} {unit}")]
    bases: list[tuple[str, float | None]] = [("on the cycle time", None)]
    if takt is not None:
        bases.insert(0, ("on the takt", takt))
    for name, base in bases:
        efficiency, delay = balance_efficiency(loads, base), balance_delay(loads, base)
        rows += [
            (f"balance efficiency {name}", f"{100 * efficiency:.1f} %"),
            (f"balance delay {name}", f"{100 * delay:.1f} %"),
            (f"idle time {name}", f"{idle_time(loads, base):g} {unit}"),
            (f"smoothness index {name}", f"{smoothness_index(loads, base):.2f} {unit}"),
        ]
    return rows


def _stations(result: BalanceResult) -> list[str]:
    """Return one line for each station."""
    return [
        f"station {station.number:>3}  {station.work:>10g} {result.time_unit}  "
        + ", ".join(station.tasks)
        for station in result.stations
    ]
