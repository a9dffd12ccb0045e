"""What a line delivers at a pace, and the workers it takes."""

from dataclasses import replace
from fractions import Fraction

from stationflow.model import BalanceResult, Calendar, Demand, Explained, Line, Plan
from stationflow.model.explanation import SAME
from stationflow.pace.figures import figure, fraction
from stationflow.pace.formula import Formula, Written, entered_time, plain, rounded_time
from stationflow.pace.pace_explained import GROOVER
from stationflow.pace.working_time import exact_time_per_week

GOOD_UNITS = Formula(
    name="good units made per week",
    unit="units/week",
    left="good units",
    right="working time x availability x yield x lines / cycle time",
    source="definition of the output of a paced line",
    other="Without availability and yield this is the design output, not what is delivered.",
    how="cycles in the time the line runs x lines x yield",
)
WORKERS = Formula(
    name="workers",
    right="work content / (balance efficiency x station time)",
    is_rounded_up=True,
    source=GROOVER,
    other="Groover writes R_p x work content / (60 x E x E_b x E_r) with E_r = T_s / T_c: the "
    "same. His w* leaves E_b and E_r out. These are the workers of one copy of the line, one at "
    "each station; a plan whose stations do not come out even needs more.",
)


def explain_workers(
    work_content_s: float,
    operating_takt_s: float,
    *,
    repositioning_s: float = 0.0,
    balance_efficiency: float = 1.0,
) -> Explained:
    """Return the fewest workers for a work content, one at each station, opened.

    w = ceil(R_p x work content / (60 x E x E_b x E_r)) with E_r = T_s / T_c (Groover, manual
    assembly lines); as T_c = 60 x E / R_p this is ceil(work content / (E_b x T_s)). Yield and
    availability are in the operating takt T_c. The value is None when nothing is left for work.

    >>> explain_workers(2832, 67.68, repositioning_s=6, balance_efficiency=0.92).value
    50.0
    """
    station_time = fraction(operating_takt_s) - fraction(repositioning_s)
    if station_time <= 0 or not balance_efficiency > 0:
        return WORKERS.told(None, "nothing is left of the operating takt for work")
    values = {
        "work content": entered_time(work_content_s),
        "balance efficiency": plain(balance_efficiency),
        "station time": rounded_time(station_time),
    }
    workers, opened = WORKERS.opened(values)
    if workers < 1:
        return opened
    each = float(fraction(balance_efficiency) * station_time)
    room, less = each * float(workers), each * float(workers - 1)
    holds = less < work_content_s <= room * (1 + SAME)
    return replace(
        opened,
        check=f"{'Agrees' if holds else 'Differs'}: {workers} at work have {figure(room, 3)} s in "
        f"a cycle, one less {figure(less, 3)} s; the work is {figure(work_content_s, 3)} s.",
    )


def with_repositioning(line: Line, time: float, result: BalanceResult) -> Fraction:
    """Return a time of one cycle at the stations, in the plan's unit, as one of the line in s."""
    ticks = Fraction(str(time)) * result.ticks
    return ticks / 1000 + Fraction(line.repositioning_ms, 1000)


def cycle_of_plan_s(plan: Plan | None, line: Line) -> float | None:
    """Return the cycle of a plan's slowest station with repositioning, in s; None: it has none."""
    if plan is None or not plan.result.has_plan:
        return None
    return float(with_repositioning(line, plan.result.cycle_time, plan.result)) or None


def explain_good_units(
    calendar: Calendar, demand: Demand, cycle_time_s: float, copies: int = 1
) -> Explained:
    """Return the good units a week at a cycle time of the main line in seconds, opened."""
    week = exact_time_per_week(calendar)
    values = {
        "working time": entered_time(week),
        "availability": plain(demand.availability),
        "yield": plain(demand.yield_share),
        "lines": plain(copies),
        "cycle time": rounded_time(cycle_time_s),
    }
    cycles = float(week) * demand.availability / cycle_time_s
    made = cycles * copies * demand.yield_share
    return GOOD_UNITS.opened(values, made, Written(unit=GOOD_UNITS.unit))[1]
