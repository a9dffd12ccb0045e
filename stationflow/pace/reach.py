"""Ways to reach a demand that outgrows the line: overtime, further shifts, further lines."""

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from stationflow.model import Calendar, Explained, Product
from stationflow.model.demand import DAY_MINUTES
from stationflow.pace.figures import figure, fraction, is_number
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


class Means(StrEnum):
    """What may be added when demand outgrows the line."""

    OVERTIME = "overtime"
    SHIFT = "shift"
    LINE = "line"


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way to reach the demand.

    Attributes
    ----------
    means
        What is added.
    amount
        The smallest number that reaches the demand: hours a week, shifts or lines. 0: nothing
        more is needed.
    reaches
        Whether it can be done: the week and the day have room for it.
    within_limit
        Whether overtime stays within the limit entered; None: no limit entered, or no overtime.
    cost_per_week
        Cost in the plant's currency; None: no cost entered.
    words
        The way in one or two sentences.
    number
        The amount, opened.
    """

    means: Means
    amount: float
    reaches: bool
    within_limit: bool | None
    cost_per_week: float | None
    words: str
    number: Explained


def ways_to_reach(product: Product, cycle_time_s: float | None = None) -> tuple[Way, ...]:
    """Return the smallest overtime, further shifts and further lines that reach the demand.

    Parameters
    ----------
    product
        The product with calendar, demand, lines and what each means costs.
    cycle_time_s
        Time between two units leaving the main line while it runs, repositioning included, in
        seconds; None: the operating takt, at which the demand is just reached.

    Returns
    -------
    tuple of Way
        Overtime, shift, line; empty when there is no main line, demand or working time.

    Raises
    ------
    ValueError
        If `cycle_time_s` is not above 0.
    """
    if cycle_time_s is not None and not cycle_time_s > 0:
        raise ValueError(f"cycle_time_s must be above 0, got {cycle_time_s}")
    facts = _facts(product, cycle_time_s)
    if facts is None:
        return ()
    return (_overtime(product, facts), _shifts(product, facts), _lines(product, facts))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Facts:
    """What the ways are computed from, exactly. Times in seconds."""

    good_units: Fraction
    cycle_time: Fraction
    copies: int
    yield_share: Fraction
    availability: Fraction
    week: Fraction

    @property
    def needed(self) -> Fraction:
        """Working time a week that the demand takes."""
        share = self.yield_share * self.availability
        return self.good_units * self.cycle_time / (share * self.copies)

    @property
    def needed_worked(self) -> str:
        """The same in words, with the values put in."""
        return (
            f"{figure(self.good_units, 3)} x {figure(self.cycle_time, 3)} s / "
            f"({figure(self.yield_share)} x {figure(self.availability)} x {self.copies})"
        )


def _facts(product: Product, cycle_time_s: float | None) -> _Facts | None:
    """Collect what the ways are computed from; None: the pace cannot be computed."""
    main = product.main_line
    if main is None:
        return None
    pace = line_pace(product, main.name)
    good = exact_units_per_week(product.calendar, product.demand)
    if pace.operating_takt_s is None or good is None:
        return None
    demand = product.demand
    shares = fraction(demand.yield_share) * fraction(demand.availability)
    week = exact_time_per_week(product.calendar)
    own_cycle = week * main.copies * shares / good
    return _Facts(
        good_units=good,
        cycle_time=own_cycle if cycle_time_s is None else fraction(cycle_time_s),
        copies=main.copies,
        yield_share=fraction(demand.yield_share),
        availability=fraction(demand.availability),
        week=week,
    )


def _cost(amount: Fraction, each: float | None) -> float | None:
    """Return amount x cost of one; None: no cost entered."""
    return None if each is None or not is_number(each) else float(amount * fraction(each))


def _cost_words(cost: float | None) -> str:
    """Say what a way costs."""
    return "" if cost is None else f" Cost per week: {figure(cost, 2)}."


def _overtime(product: Product, facts: _Facts) -> Way:
    """Return the overtime that reaches the demand."""
    hours = max(facts.needed - facts.week, Fraction(0)) / HOUR_S
    room = Fraction(WEEK_MINUTES, 60) - _attendance_min(product.calendar) / 60
    limit = product.reach.overtime_limit_h
    within = None if limit is None else hours <= fraction(limit)
    cost = _cost(hours, product.reach.overtime_cost)
    # Shown rounded up: the hours printed must be enough.
    shown = figure(Fraction(math.ceil(hours * 100), 100))
    if not hours:
        words = "No overtime is needed: the demand is reached in the working time there is."
    else:
        words = f"{shown} h of overtime a week reach the demand."
        if hours > room:
            words = f"{shown} h of overtime a week would be needed; the week has no room for that."
        if within is not None and limit is not None:
            kept = "within" if within else "over"
            words += f" That is {kept} the limit of {figure(limit)} h entered."
        words += _cost_words(cost)
    worked = f"({facts.needed_worked} - {figure(facts.week)} s) / 3600 = {figure(hours, 3)} h"
    if not hours:
        needed = f"{facts.needed_worked} = {figure(facts.needed, 3)} s"
        worked = f"{needed}, not more than {figure(facts.week)} s: 0 h"
    return Way(
        means=Means.OVERTIME,
        amount=float(hours),
        reaches=hours <= room,
        within_limit=within,
        cost_per_week=cost,
        words=words,
        number=_with_check(
            facts,
            facts.week + hours * HOUR_S,
            facts.copies,
            Explained(
                name="overtime",
                value=float(hours),
                unit="h/week",
                formula="overtime = good units x cycle time / (yield x availability x lines) "
                "- working time, in hours",
                worked=worked,
                source=REACH,
            ),
        ),
    )


def _shifts(product: Product, facts: _Facts) -> Way:
    """Return the further shifts that reach the demand, each like the mean of those there are."""
    calendar = product.calendar
    mean = exact_time_per_day(calendar) / len(calendar.shifts)
    per_week = mean * working_days(calendar)
    missing = max(facts.needed - facts.week, Fraction(0))
    more = math.ceil(missing / per_week)
    length = Fraction(sum(shift.length_min for shift in calendar.shifts), len(calendar.shifts))
    has_room = (len(calendar.shifts) + more) * length <= DAY_MINUTES
    cost = _cost(Fraction(more), product.reach.shift_cost)
    if not more:
        words = "No further shift is needed."
    elif has_room:
        words = f"{more} further {_plural(more, 'shift')} on every working day reach the demand."
    else:
        words = (
            f"{more} further {_plural(more, 'shift')} on every working day would be needed; the "
            "day has no room for that."
        )
    worked = f"{figure(facts.needed, 3)} s are needed, {figure(facts.week)} s are there: 0"
    if more:
        worked = (
            f"({figure(facts.needed, 3)} s - {figure(facts.week)} s) / "
            f"({figure(mean)} s x {working_days(calendar)}) = {figure(missing / per_week, 3)}, "
            f"rounded up {more}"
        )
    return Way(
        means=Means.SHIFT,
        amount=float(more),
        reaches=not more or has_room,
        within_limit=None,
        cost_per_week=cost,
        words=words + (_cost_words(cost) if more else ""),
        number=_with_check(
            facts,
            facts.week + more * per_week,
            facts.copies,
            Explained(
                name="further shifts",
                value=float(more),
                unit="",
                formula="further shifts = (working time needed - working time) / "
                "(mean working time of a shift x days), rounded up",
                worked=worked,
                source=REACH,
            ),
        ),
    )


def _lines(product: Product, facts: _Facts) -> Way:
    """Return the further copies of the main line that reach the demand."""
    wanted = facts.needed * facts.copies / facts.week
    more = max(math.ceil(wanted) - facts.copies, 0)
    cost = _cost(Fraction(more), product.reach.line_cost)
    words = "No further line is needed."
    if more:
        verb = "reaches" if more == 1 else "reach"
        words = f"{more} further {_plural(more, 'copy', 'copies')} of the line {verb} the demand."
        words += _cost_words(cost)
    return Way(
        means=Means.LINE,
        amount=float(more),
        reaches=True,
        within_limit=None,
        cost_per_week=cost,
        words=words,
        number=_with_check(
            facts,
            facts.week,
            facts.copies + more,
            Explained(
                name="further lines",
                value=float(more),
                unit="",
                formula="lines = good units x cycle time / (yield x availability x working time), "
                "rounded up; less the lines there are",
                worked=f"{figure(wanted, 3)}, rounded up {math.ceil(wanted)}, less {facts.copies} "
                f"= {more}",
                source=REACH,
            ),
        ),
    )


def _with_check(facts: _Facts, time: Fraction, copies: int, opened: Explained) -> Explained:
    """Add what the line makes in a week with the way taken, against the demand."""
    share = facts.yield_share * facts.availability
    made = time * share * copies / facts.cycle_time
    holds = "Agrees" if made >= facts.good_units else "Differs"
    said = f"{holds}: {figure(made, 3)} good units a week are made then, "
    return replace(opened, check=f"{said}{figure(facts.good_units, 3)} are wanted.")


def _attendance_min(calendar: Calendar) -> Fraction:
    """Return the minutes of a week that the shifts fill, breaks included."""
    return Fraction(sum(shift.length_min for shift in calendar.shifts) * working_days(calendar))


def _plural(count: int, one: str, more: str = "") -> str:
    """Return the word for one or for several."""
    return one if count == 1 else more or f"{one}s"
