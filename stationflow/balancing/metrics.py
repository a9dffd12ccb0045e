"""How good a balanced line is, with both bases where books differ."""

from collections.abc import Sequence
from math import fsum, sqrt

from stationflow.model import BalanceResult, Explained, Goal

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


def cycle_time(loads: Sequence[float]) -> float:
    """Return the cycle time: the load of the slowest station, in the unit of the loads."""
    return max(loads, default=0.0)


def balance_efficiency(loads: Sequence[float], limit: float | None = None) -> float:
    """Return the balance efficiency as a ratio.

    Balance efficiency = work content / (stations x limit).

    Parameters
    ----------
    loads
        Sum of task times of each station.
    limit
        Limit of a station in the same unit; None: the largest load.

    Raises
    ------
    ValueError
        If the limit is negative.

    Examples
    --------
    >>> round(balance_efficiency([40, 50, 55, 55, 44], 60), 4)
    0.8133
    """
    base = _base(loads, limit)
    return fsum(loads) / (len(loads) * base) if loads and base else 1.0


def balance_delay(loads: Sequence[float], limit: float | None = None) -> float:
    """Return the balance delay as a ratio: 1 - balance efficiency on the same base.

    >>> round(balance_delay([40, 50, 55, 55, 44], 60), 4)
    0.1867
    """
    return 1.0 - balance_efficiency(loads, limit)


def smoothness_index(loads: Sequence[float], limit: float | None = None) -> float:
    """Return the smoothness index in the unit of the loads; 0: all stations alike.

    Smoothness index = square root of the sum over stations of (base - load) squared.

    Parameters
    ----------
    loads
        Sum of task times of each station.
    limit
        The base; None: the largest load.

    Examples
    --------
    >>> round(smoothness_index([40, 50, 55, 55, 44]), 3)
    19.261
    """
    base = _base(loads, limit)
    return sqrt(fsum((base - load) ** 2 for load in loads))


def idle_time(loads: Sequence[float], limit: float | None = None) -> float:
    """Return the idle time of all stations in one cycle: sum of (base - load).

    >>> idle_time([40, 50, 55, 55, 44], 60)
    56.0
    """
    base = _base(loads, limit)
    return fsum(base - load for load in loads)


def gap(result: BalanceResult) -> float | None:
    """Return how far a plan is above its lower bound, as a share; 0: it is proven best.

    Gap = reached / lower bound - 1, where what is reached is the number of
    stations, the cycle time, or stations x cycle time, as the goal says.

    Returns
    -------
    float or None
        None without a plan or a bound, and where only possible or not was asked.
    """
    if not result.has_plan or not result.lower_bound or result.goal == Goal.FEASIBLE:
        return None
    stations = len(result.stations)
    cycle = cycle_time([station.work for station in result.stations])
    reached = {
        Goal.FEWEST_STATIONS: stations,
        Goal.SHORTEST_CYCLE: cycle,
        Goal.BEST_EFFICIENCY: cycle * stations,
    }[result.goal]
    return reached / result.lower_bound - 1


def metrics(result: BalanceResult) -> tuple[Explained, ...]:
    """Return all metrics of a balanced line, each with its formula; empty without a plan."""
    if not result.has_plan:
        return ()
    loads = [station.work for station in result.stations]
    bases = [("cycle time", cycle_time(loads))]
    if result.takt is not None:
        bases.insert(0, ("takt", result.takt))
    found = [_content(loads, result.time_unit), _cycle(loads, result.time_unit)]
    for name, base in bases:
        other = "" if len(bases) == 1 else f"on the {bases[name == bases[0][0]][0]}"
        found += _on_base(loads, name, base, result.time_unit, other)
    return tuple(found)


def _content(loads: Sequence[float], unit: str) -> Explained:
    """Return the work content."""
    total = fsum(loads)
    return Explained(
        name="work content",
        value=total,
        unit=unit,
        formula="work content = sum of all task times of one unit",
        worked=f"{_sum(loads)} = {total:g} {unit}",
        source=USE,
    )


def _cycle(loads: Sequence[float], unit: str) -> Explained:
    """Return the cycle time."""
    longest = cycle_time(loads)
    return Explained(
        name="cycle time",
        value=longest,
        unit=unit,
        formula="cycle time = largest load of a station",
        worked=f"the slowest of {len(loads)} stations needs {longest:g} {unit}",
        source=USE,
        other="some books call the takt the cycle time",
    )


def _on_base(
    loads: Sequence[float], name: str, base: float, unit: str, other: str
) -> list[Explained]:
    """Return the metrics that need a base: the takt or the cycle time."""
    total, stations = fsum(loads), len(loads)
    efficiency = balance_efficiency(loads, base)
    smoothness, idle = smoothness_index(loads, base), idle_time(loads, base)
    rows = [
        (
            "balance efficiency",
            efficiency,
            "",
            f"balance efficiency = work content / (stations x {name})",
            f"{total:g} / ({stations} x {base:g}) = {efficiency:.4f}",
            EFFICIENCY_SOURCE,
        ),
        (
            "balance delay",
            1 - efficiency,
            "",
            f"balance delay = 1 - work content / (stations x {name})",
            f"1 - {total:g} / ({stations} x {base:g}) = {1 - efficiency:.4f}",
            DELAY_SOURCE,
        ),
        (
            "smoothness index",
            smoothness,
            unit,
            f"smoothness index = square root of the sum of ({name} - load) squared",
            f"square root of {smoothness**2:g} = {smoothness:.3f} {unit}",
            SMOOTHNESS_SOURCE,
        ),
        (
            "idle time",
            idle,
            unit,
            f"idle time = stations x {name} - work content",
            f"{stations} x {base:g} - {total:g} = {idle:g} {unit}",
            USE,
        ),
    ]
    return [
        Explained(
            name=f"{title} on the {name}",
            value=value,
            unit=of,
            formula=formula,
            worked=worked,
            source=source,
            other=other,
        )
        for title, value, of, formula, worked, source in rows
    ]


def _sum(loads: Sequence[float]) -> str:
    """Return loads as a sum in words, shortened when there are many."""
    shown = [f"{load:g}" for load in loads]
    return " + ".join(shown if len(shown) <= 12 else [*shown[:11], "...", shown[-1]])


def _base(loads: Sequence[float], limit: float | None) -> float:
    """Return the base of a metric."""
    if limit is not None and limit < 0:
        raise ValueError(f"limit must not be negative, got {limit}")
    return cycle_time(loads) if limit is None else limit
