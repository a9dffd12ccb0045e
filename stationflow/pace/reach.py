"""Ways to reach a demand that outgrows the line: overtime, further shifts, further lines."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from stationflow.model import Explained, Product
from stationflow.model.demand import DAY_MINUTES
from stationflow.model.unread import Use
from stationflow.pace.figures import figure, fraction, is_number
from stationflow.pace.formula import Formula, Value, Written, entered_time, plain, rounded_time
from stationflow.pace.takt import line_pace
from stationflow.pace.working_time import (
    HOUR_S,
    WEEK_MINUTES,
    exact_time_per_day,
    exact_time_per_week,
    exact_units_per_week,
    working_days,
)

REACH = "good units = working time x availability x yield x lines / cycle time, solved for the time"
NEEDED = Formula(
    name="working time needed",
    right="good units x cycle time / (yield x availability x lines)",
    source=REACH,
)
OVERTIME = Formula(
    name="overtime",
    unit="h/week",
    right=f"max(0, {NEEDED.right} - working time) / 3600",
    source=REACH,
)
SHIFTS = Formula(
    name="further shifts",
    right="max(0, working time needed - working time) / (mean working time of a shift x days)",
    is_rounded_up=True,
    source=REACH,
)
LINES = Formula(
    name="further lines",
    right="max(0, rounded up(good units x cycle time / (yield x availability x working time)) "
    "- lines)",
    source=REACH,
)


Values = Mapping[str, Value]


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way to reach the demand."""

    words: str  # the way in one or two sentences: whether there is room for it, and what it costs
    # the smallest number that reaches the demand, opened: hours a week, shifts or lines. 0: nothing
    # more is needed.
    number: Explained


def ways_to_reach(product: Product, cycle_time_s: float | None = None) -> tuple[Way, ...]:
    """Return the smallest overtime, further shifts and further lines that reach the demand.

    `cycle_time_s` is the time between two units leaving the main line while it runs, repositioning
    included (None: the operating takt, at which the demand is just reached). Empty when there is
    no main line, demand or working time. Raises ValueError if `cycle_time_s` is not above 0.
    """
    if cycle_time_s is not None and not cycle_time_s > 0:
        raise ValueError(f"cycle_time_s must be above 0, got {cycle_time_s}")
    values = _values(product, cycle_time_s)
    if not values:
        return ()
    return (_overtime(product, values), _shifts(product, values), _lines(product, values))


def _values(product: Product, cycle_time_s: float | None) -> Values:
    """Return what is put into the formulas; empty: the pace cannot be computed."""
    main, demand = product.main_line, product.demand
    good = exact_units_per_week(product.calendar, demand)
    if main is None or product.stopped([main.name], Use.REACH):
        return {}
    if good is None or line_pace(product, main.name).operating_takt_s is None:
        return {}
    shares = fraction(demand.yield_share) * fraction(demand.availability)
    week = exact_time_per_week(product.calendar)
    # At the operating takt the demand is just reached.
    cycle = fraction(cycle_time_s) if cycle_time_s else week * main.copies * shares / good
    values = {
        "good units": plain(good, 3),
        "cycle time": rounded_time(cycle),
        "yield": plain(demand.yield_share),
        "availability": plain(demand.availability),
        "lines": plain(main.copies),
        "working time": entered_time(week),
    }
    return values | {"working time needed": rounded_time(NEEDED.number(values))}


def _cost_words(amount: Fraction, each: float | None) -> str:
    """Return amount x cost of one in words; empty: no cost entered."""
    if each is None or not is_number(each):
        return ""
    return f" Cost per week: {figure(float(amount * fraction(each)), 2)}."


def _overtime(product: Product, values: Values) -> Way:
    week = values["working time"]
    hours, opened = OVERTIME.opened(values, written=Written(unit="h"))
    day = sum(shift.length_min for shift in product.calendar.shifts)  # breaks included
    room = Fraction(WEEK_MINUTES - day * working_days(product.calendar), 60)
    limit = product.reach.overtime_limit_h
    if not hours:
        words = "No overtime is needed: the demand is reached in the working time there is."
    else:
        # Shown rounded up: the hours printed must be enough.
        shown = figure(Fraction(math.ceil(hours * 100), 100))
        words = f"{shown} h of overtime a week reach the demand."
        if hours > room:
            words = f"{shown} h of overtime a week would be needed; the week has no room for that."
        if limit is not None:
            kept = "within" if hours <= fraction(limit) else "over"
            words += f" That is {kept} the limit of {figure(limit)} h entered."
        words += _cost_words(hours, product.reach.overtime_cost)
    return Way(words=words, number=_with_check(values, week.number + hours * HOUR_S, opened))


def _shifts(product: Product, values: Values) -> Way:
    """Return the further shifts that reach the demand, each like the mean of those there are."""
    calendar = product.calendar
    week = values["working time"]
    shifts, days = len(calendar.shifts), working_days(calendar)
    mean = exact_time_per_day(calendar) / shifts
    more, opened = SHIFTS.opened(
        {**values, "mean working time of a shift": entered_time(mean), "days": plain(days)}
    )
    length = Fraction(sum(shift.length_min for shift in calendar.shifts), shifts)
    words = "No further shift is needed."
    if more:
        said = f"{more} further {'shift' if more == 1 else 'shifts'} on every working day"
        words = f"{said} would be needed; the day has no room for that."
        if (shifts + more) * length <= DAY_MINUTES:
            words = f"{said} reach the demand."
        words += _cost_words(more, product.reach.shift_cost)
    return Way(words=words, number=_with_check(values, week.number + more * mean * days, opened))


def _lines(product: Product, values: Values) -> Way:
    there = int(values["lines"].number)
    number, opened = LINES.opened(values)
    more = int(number)
    words = "No further line is needed."
    if more:
        said = "copy of the line reaches" if more == 1 else "copies of the line reach"
        words = f"{more} further {said} the demand."
        words += _cost_words(number, product.reach.line_cost)
    all_lines = {**values, "lines": plain(there + more)}
    return Way(words=words, number=_with_check(all_lines, values["working time"].number, opened))


def _with_check(values: Values, time: Fraction, opened: Explained) -> Explained:
    """Add what the line makes in a week with the way taken, against the demand."""
    wanted, cycle = values["good units"].number, values["cycle time"].number
    shares = values["yield"].number * values["availability"].number
    made = time * shares * values["lines"].number / cycle
    said = f"{'Agrees' if made >= wanted else 'Differs'}: {figure(made, 3)} good units a week "
    return replace(opened, check=f"{said}are made then, {figure(wanted, 3)} are wanted.")
