"""What a line delivers at a pace, and the workers it takes; ways to reach a demand beside it."""

import math
from dataclasses import replace

from stationflow.model import Calendar, Demand, Explained, cross_checked
from stationflow.model.explanation import SAME
from stationflow.pace.figures import figure, fraction
from stationflow.pace.reach import Means, Way, ways_to_reach
from stationflow.pace.working_time import exact_time_per_week

__all__ = [
    "Means",
    "Way",
    "explain_good_units",
    "explain_workers",
    "good_units_per_week",
    "ways_to_reach",
    "workers_needed",
]

GROOVER = "Groover, Automation, Production Systems, and CIM, manual assembly lines"


def good_units_per_week(
    working_time_per_week_s: float,
    cycle_time_s: float,
    *,
    copies: int = 1,
    yield_share: float = 1.0,
    availability: float = 1.0,
) -> float:
    """Return the good units a line delivers in a week at a pace.

    Good units = working time x availability x yield x lines / cycle time.

    Parameters
    ----------
    working_time_per_week_s
        Working time of one week in seconds.
    cycle_time_s
        Time between two units leaving one line while it runs, repositioning included, in seconds.
    copies
        Identical copies of the line.
    yield_share, availability
        Shares from 0 to 1.

    Raises
    ------
    ValueError
        If `cycle_time_s` is not above 0.

    Examples
    --------
    >>> good_units_per_week(135_000, 60)
    2250.0
    """
    if not cycle_time_s > 0:
        raise ValueError(f"cycle_time_s must be above 0, got {cycle_time_s}")
    running = fraction(working_time_per_week_s) * fraction(availability) * copies
    return float(running * fraction(yield_share) / fraction(cycle_time_s))


def workers_needed(
    work_content_s: float,
    operating_takt_s: float,
    *,
    repositioning_s: float = 0.0,
    balance_efficiency: float = 1.0,
) -> int:
    """Return the fewest workers for a work content, one at each station.

    w = ceil(R_p x work content / (60 x E x E_b x E_r)) with E_r = T_s / T_c;
    as T_c = 60 x E / R_p this is ceil(work content / (E_b x T_s)).

    Parameters
    ----------
    work_content_s
        Sum of the task times of one unit, in seconds.
    operating_takt_s
        Operating takt T_c in seconds (yield and availability are in it).
    repositioning_s
        Repositioning time T_r of each cycle, in seconds.
    balance_efficiency
        Balance efficiency E_b expected, above 0 and up to 1.

    Raises
    ------
    ValueError
        If nothing is left of the operating takt, or the efficiency is not above 0.

    References
    ----------
    .. [1] Groover, M. P. "Automation, Production Systems, and Computer-Integrated
       Manufacturing", manual assembly lines.

    Examples
    --------
    >>> workers_needed(2832, 67.68, repositioning_s=6, balance_efficiency=0.92)
    50
    """
    station_time = fraction(operating_takt_s) - fraction(repositioning_s)
    if station_time <= 0 or not balance_efficiency > 0:
        raise ValueError(
            f"station time {float(station_time)} s and balance efficiency {balance_efficiency} "
            "must be above 0"
        )
    return math.ceil(fraction(work_content_s) / (fraction(balance_efficiency) * station_time))


def explain_workers(
    work_content_s: float,
    operating_takt_s: float,
    *,
    repositioning_s: float = 0.0,
    balance_efficiency: float = 1.0,
) -> Explained:
    """Return `workers_needed` opened; the value is None when nothing is left for work."""
    station_time = fraction(operating_takt_s) - fraction(repositioning_s)
    formula = "workers = work content / (balance efficiency x station time), rounded up"
    other = (
        "Groover writes R_p x work content / (60 x E x E_b x E_r) with E_r = T_s / T_c: the same. "
        "His w* leaves E_b and E_r out. These are the workers of one copy of the line, one at "
        "each station; a plan whose stations do not come out even needs more."
    )
    if station_time <= 0 or not balance_efficiency > 0:
        worked, value = "nothing is left of the operating takt for work", None
    else:
        count = workers_needed(
            work_content_s,
            operating_takt_s,
            repositioning_s=repositioning_s,
            balance_efficiency=balance_efficiency,
        )
        before = fraction(work_content_s) / (fraction(balance_efficiency) * station_time)
        worked = (
            f"{figure(work_content_s)} s / ({figure(balance_efficiency)} x "
            f"{figure(station_time, 3)} s) = {figure(before, 3)}, rounded up {count}"
        )
        value = float(count)
    opened = Explained(
        name="workers", value=value, unit="", formula=formula, worked=worked,
        source=GROOVER, other=other,
    )  # fmt: skip
    if value is None or value < 1:
        return opened
    each = float(fraction(balance_efficiency) * station_time)
    room, less = each * value, each * (value - 1)
    holds = less < work_content_s <= room * (1 + SAME)
    return replace(
        opened,
        check=f"{'Agrees' if holds else 'Differs'}: {value:g} at work have {figure(room, 3)} s in "
        f"a cycle, one less {figure(less, 3)} s; the work is {figure(work_content_s, 3)} s.",
    )


def explain_good_units(
    calendar: Calendar, demand: Demand, cycle_time_s: float, copies: int = 1
) -> Explained:
    """Return `good_units_per_week` opened, for a cycle time of the main line in seconds."""
    week = exact_time_per_week(calendar)
    value = good_units_per_week(
        float(week),
        cycle_time_s,
        copies=copies,
        yield_share=demand.yield_share,
        availability=demand.availability,
    )
    opened = Explained(
        name="good units made per week",
        value=value,
        unit="units/week",
        formula="good units = working time x availability x yield x lines / cycle time",
        worked=f"{figure(week)} s x {figure(demand.availability)} x {figure(demand.yield_share)} x "
        f"{copies} / {figure(cycle_time_s, 3)} s = {figure(value, 3)}",
        source="definition of the output of a paced line",
        other="Without availability and yield this is the design output, not what is delivered.",
    )
    cycles = float(week) * demand.availability / cycle_time_s
    again = cycles * copies * demand.yield_share
    return cross_checked(opened, again, "cycles in the time the line runs x lines x yield")
