"""The pace of a line, number by number: formula, values put in, source, other definition."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from stationflow.model import Explained, FurtherJoin, Line, Period, Product
from stationflow.model.demand import Shift, clock_minutes
from stationflow.pace.figures import LARGEST, exactly, fraction
from stationflow.pace.formula import (
    Formula,
    Value,
    Written,
    computed_time,
    entered_time,
    plain,
)
from stationflow.pace.working_time import (
    exact_time_per_day,
    exact_time_per_week,
    exact_units_per_week,
    working_days,
)
from stationflow.units import exact

OPERATIONS_BOOK = "Chase and Jacobs, Operations Management, assembly-line balancing"
GROOVER = "Groover, Automation, Production Systems, and CIM, manual assembly lines"
FEEDER_RATE = "balance of units at the join: what the feeder delivers good is what the join takes"
TAKT = Formula(
    name="takt time",
    unit="s",
    right="working time x lines / good units wanted",
    source=OPERATIONS_BOOK,
    other="Some books divide by the units started, rejects included, and call that the takt; "
    "here it is part of the operating takt.",
    how="working time by the clock / good units, for each line,",
)
OPERATING_TAKT = Formula(
    name="operating takt",
    unit="s",
    right="takt time x yield x availability",
    source=GROOVER,
    other="Groover names T_c = 60 E / R_p the cycle time. Here cycle time is the time of the "
    "slowest station of a balanced line, which may be shorter.",
    how="time the line runs / units started",
)
GOOD_UNITS = Formula(
    name="good units per week",
    unit="units/week",
    right="good units per period x periods of working time in a week",
    source="definition",
    how="starts per week x yield",
)
STATION_TIME = Formula(
    name="station time",
    unit="s",
    right="operating takt - repositioning",
    source=GROOVER,
    other="Many books call the limit of a station the cycle time and leave repositioning out; with "
    "repositioning 0 the two are equal.",
    how="operating takt x (1 - share that repositioning takes)",
)
STARTS = Formula(
    name="starts per week",
    unit="units/week",
    left="starts",
    right="good units / yield",
    source="definition of yield",
    other="A yield per operation multiplies along the line; the one entered is the final.",
    how="time the line runs / takt",
)
TAKEN = "quantity x (1 + replacement)"


@dataclass(frozen=True, slots=True, kw_only=True)
class LineFacts:
    """The exact pace of one line, with every number opened.

    Times are in seconds, units per week; None: there is no working time by the calendar.
    """

    line: Line
    takt_time: Fraction
    operating_takt: Fraction
    station_time: Fraction = Fraction(0)
    starts: Fraction | None = None
    numbers: tuple[Explained, ...]


def main_facts(product: Product, line: Line) -> LineFacts:
    """Return the pace of the main line, as demand and working time set it."""
    demand = product.demand
    quantity = demand.quantity or 0
    time, of_time = _working_time(product)
    takt, of_takt = replace(TAKT, tail=f", per {demand.period}").opened(
        {
            "working time": entered_time(time),
            "lines": plain(line.copies),
            "good units wanted": plain(quantity),
        },
        _by_the_clock(product) / float(quantity) * line.copies,
        unit=product.time_unit,
    )
    started = float(quantity) / demand.yield_share
    operating, of_operating = OPERATING_TAKT.opened(
        {
            "takt time": computed_time(takt),
            "yield": plain(demand.yield_share),
            "availability": plain(demand.availability),
        },
        float(time) * demand.availability * line.copies / started,
        unit=product.time_unit,
    )
    good = exact_units_per_week(product.calendar, demand)
    values = good and {
        "good units per period": plain(quantity),
        "periods of working time in a week": plain(good / fraction(quantity)),
    }
    numbers = (of_time, of_takt, of_operating)
    facts = LineFacts(line=line, takt_time=takt, operating_takt=operating, numbers=numbers)
    return _with_starts(product, facts, demand.yield_share, GOOD_UNITS, values or {})


def feeder_facts(
    product: Product, line: Line, joins: Sequence[tuple[FurtherJoin, LineFacts]]
) -> LineFacts:
    """Return the pace of a feeder from that of the lines it feeds.

    Rate of the feeder = sum over its joins of quantity x rate of the fed line x (1 + replacement),
    / yield.
    """
    values = {"copies": plain(line.copies), "yield": plain(line.yield_share)}
    of_join: dict[str, Value] = {}
    of_good: dict[str, Value] = {}
    delivered, takers, units = 0.0, [], []  # units a second: good ones, replacements included
    for number, (join, fed) in enumerate(joins, 1):
        name, again = fed.line.name, f" at join {number}" if len(joins) > 1 else ""
        taken = TAKEN.replace("quantity", f"quantity{again}")
        taken = taken.replace("replacement", f"replacement{again}")
        of_taken = {
            f"quantity{again}": plain(join.quantity),
            f"replacement{again}": plain(join.replacement_share),
        }
        of_join |= {f"copies of {name}": plain(fed.line.copies), **of_taken}
        takers.append((name, taken))
        if fed.starts is not None:
            units.append(f"starts of {name} x {taken}")
            of_good |= {f"starts of {name}": plain(fed.starts, 3), **of_taken}
        rate = fed.line.copies / float(fed.operating_takt)
        delivered += rate * join.quantity * (1 + join.replacement_share)

    def right(per: str, share: str) -> str:
        """Return the time for one unit, from the time of the fed lines for one of theirs."""
        if len(takers) == 1:
            ((name, taken),) = takers
            return f"{per} of {name} x copies / copies of {name}{share} / ({taken})"
        rates = " + ".join(f"copies of {n} x {taken} / {per} of {n}" for n, taken in takers)
        return f"copies{share} / ({rates})"

    operating, of_operating = replace(
        OPERATING_TAKT,
        right=right("operating takt", " x yield"),
        source=FEEDER_RATE,
        how="copies / units the feeder must start",
    ).opened(
        {
            **{
                f"operating takt of {f.line.name}": computed_time(f.operating_takt)
                for _, f in joins
            },
            **values,
            **of_join,
        },
        line.copies * line.yield_share / delivered,
        unit=product.time_unit,
    )
    week = exact_time_per_week(product.calendar)
    good_formula = replace(GOOD_UNITS, left="good units", right=" + ".join(units))
    good = good_formula.number(of_good) if units else None
    availability = fraction(product.demand.availability)
    takt, of_takt = replace(
        TAKT,
        right=right("working time per start", ""),
        source=FEEDER_RATE,
        how="working time of a week x copies / good units of the week",
    ).opened(
        {
            **{
                f"working time per start of {f.line.name}": computed_time(
                    f.operating_takt / availability
                )
                for _, f in joins
            },
            "copies": plain(line.copies),
            **of_join,
        },
        float(week) * line.copies / float(good) if good and week else None,
        unit=product.time_unit,
    )
    numbers = (of_takt, of_operating)
    facts = LineFacts(line=line, takt_time=takt, operating_takt=operating, numbers=numbers)
    return _with_starts(product, facts, line.yield_share, good_formula, of_good)


def _with_starts(
    product: Product,
    facts: LineFacts,
    yield_share: float,
    of_good: Formula,
    values: Mapping[str, Value],
) -> LineFacts:
    """Add station time, good units and starts per week; without `values` no units are known."""
    line, operating, numbers = facts.line, facts.operating_takt, list(facts.numbers)
    lost = Fraction(line.repositioning_ms, 1000)
    left, opened = STATION_TIME.opened(
        {"operating takt": computed_time(operating), "repositioning": entered_time(lost)},
        float(operating) * (1 - float(lost / operating)),
        unit=product.time_unit,
    )
    numbers.append(opened if left > 0 else replace(opened, value=None, check=""))
    starts = None
    if values:
        good = of_good.number(values)
        running = float(exact_time_per_week(product.calendar)) * product.demand.availability
        starts, of_starts = STARTS.opened(
            {"good units": plain(good, 3), "yield": plain(yield_share)},
            running * line.copies / float(operating),
        )
        numbers += [of_good.opened(values, float(starts) * yield_share)[1], of_starts]
    where = f"line {line.name}"
    return replace(
        facts,
        station_time=left,
        starts=starts,
        numbers=tuple(replace(n, where=where) for n in numbers),
    )


def _working_time(product: Product) -> tuple[Fraction, Explained]:
    calendar, period = product.calendar, product.demand.period
    day, shifts = exact_time_per_day(calendar), len(calendar.shifts)
    lengths = " + ".join(_shift_minutes(shift) for shift in calendar.shifts)
    lengths = f"({lengths})" if shifts > 1 else lengths
    values = {
        "an hour of working time": Value(Fraction(3600), "60 min x 60"),
        "working time per day": Value(day, Written(places=6, unit="s a day")),
        "number of shifts": Value(Fraction(shifts), f"{shifts} shifts"),
        "sum of shifts (length - breaks and planned stops)": Value(day, f"{lengths} min x 60"),
        "days": Value(Fraction(working_days(calendar)), f"{working_days(calendar)} days"),
    }
    left, right = {
        Period.HOUR: ("", "an hour of working time"),
        Period.SHIFT: ("working time per shift", "working time per day / number of shifts"),
        Period.DAY: ("working time", "sum of shifts (length - breaks and planned stops)"),
        Period.WEEK: ("working time", "sum of shifts (length - breaks and planned stops) x days"),
    }[period]
    time, opened = Formula(
        name=f"working time per {period}",
        unit="s",
        left=left,
        right=right,
        source=OPERATIONS_BOOK,
        other="Unplanned stops are not taken off here; they are the availability.",
        key="working-time",
        how="going round the clock of each shift",
    ).opened(
        values,
        _by_the_clock(product),
        written=Written(places=6, unit="s"),
        unit=product.time_unit,
    )
    return time, opened if left else replace(opened, formula=right)


def _shift_minutes(shift: Shift) -> str:
    """Return the minutes of a shift in words; breaks longer than it leave nothing, not less."""
    if not shift.break_min < LARGEST:
        return "0"
    breaks = sum((exact(stop.minutes) for stop in shift.breaks), exact(0))
    left = f"{shift.length_min} - {exactly(breaks)}"
    return f"({left})" if breaks <= shift.length_min else f"max(0, {left})"


def _by_the_clock(product: Product) -> float:
    """Return the working time in the period of the demand, minute by minute of the clock."""
    calendar, period = product.calendar, product.demand.period
    if period == Period.HOUR:
        return 3600.0
    minutes = 0.0
    for shift in calendar.shifts:
        start, end = clock_minutes(shift.start), clock_minutes(shift.end)
        length = end - start if end > start else 24 * 60 - start + end
        minutes += max(0.0, length - sum(stop.minutes for stop in shift.breaks))
    per_day = 60 * minutes
    times = {Period.SHIFT: 1 / max(1, len(calendar.shifts)), Period.WEEK: working_days(calendar)}
    return per_day * times.get(period, 1)
