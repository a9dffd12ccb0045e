"""The numbers of a line's pace, opened: formula, values put in, source, other definition."""

from dataclasses import dataclass, replace
from fractions import Fraction

from stationflow.model import Explained, Line, Period, Product, cross_checked
from stationflow.model.demand import clock_minutes
from stationflow.network.line_tree import units_per_start
from stationflow.pace.figures import figure
from stationflow.pace.working_time import exact_time_per_day, working_days
from stationflow.units import TimeUnit, seconds_in_unit

OPERATIONS_BOOK = "Chase and Jacobs, Operations Management, assembly-line balancing"
GROOVER = "Groover, Automation, Production Systems, and CIM, manual assembly lines"
FEEDER_RATE = "balance of units at the join: what the feeder delivers good is what the join takes"
OTHER_TAKT = (
    "Some books divide by the units started, rejects included, and call that the takt; "
    "here it is part of the operating takt."
)
OTHER_OPERATING = (
    "Groover names T_c = 60 E / R_p the cycle time. Here cycle time is the time of the slowest "
    "station of a balanced line, which may be shorter."
)
OTHER_STATION = (
    "Many books call the limit of a station the cycle time and leave repositioning out; with "
    "repositioning 0 the two are equal."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LineFacts:
    """The exact pace of one line, and that of the line it feeds (None: the main line).

    Times are in seconds, units per week; None: there is no working time by the calendar.
    """

    line: Line
    fed: "LineFacts | None"
    period_time: Fraction
    takt_time: Fraction
    operating_takt: Fraction
    good_units: Fraction | None
    starts: Fraction | None


def line_numbers(product: Product, facts: LineFacts) -> tuple[Explained, ...]:
    """Return every number of a line's pace with the way it came about."""
    if facts.fed is None:
        own = [_working_time(product, facts), _main_takt(product, facts)]
        own.append(_main_operating(product, facts))
    else:
        own = [_feeder_takt(product, facts, facts.fed), _feeder_operating(facts, facts.fed)]
    opened = (*own, _station_time(facts), *_starts(product, facts))
    where = f"line {facts.line.name}"
    return tuple(_in_product_unit(replace(e, where=where), product.time_unit) for e in opened)


def _in_product_unit(explained: Explained, unit: TimeUnit) -> Explained:
    """Add the number in the unit the product's times are shown in, where that is not seconds."""
    if explained.value is None or explained.unit != "s" or unit == TimeUnit.SECOND:
        return explained
    shown = figure(seconds_in_unit(explained.value, unit), unit.decimals + 2)
    return replace(explained, worked=f"{explained.worked} = {shown} {unit.label}")


def _time(seconds: Fraction) -> str:
    """Return a computed time as it stands at the end of a formula."""
    return f"{figure(seconds, 3, keep_zeros=True)} s"


def _working_time(product: Product, facts: LineFacts) -> Explained:
    """Open the working time in the period of the demand."""
    calendar, period = product.calendar, product.demand.period
    day = figure(exact_time_per_day(calendar))
    shifts = " + ".join(
        f"({shift.length_min} - {figure(shift.break_min)})" for shift in calendar.shifts
    )
    shifts = f"({shifts})" if len(calendar.shifts) > 1 else shifts
    worked = {
        Period.HOUR: "60 min x 60",
        Period.SHIFT: f"{day} s a day / {len(calendar.shifts)} shifts",
        Period.DAY: f"{shifts} min x 60",
        Period.WEEK: f"{shifts} min x 60 x {working_days(calendar)} days",
    }[period]
    opened = Explained(
        name=f"working time per {period}",
        value=float(facts.period_time),
        unit="s",
        formula={
            Period.HOUR: "an hour of working time",
            Period.SHIFT: "working time per shift = working time per day / number of shifts",
            Period.DAY: "working time = sum of shifts (length - breaks and planned stops)",
            Period.WEEK: "working time = sum of shifts (length - breaks and planned stops) x days",
        }[period],
        worked=f"{worked} = {figure(facts.period_time)} s",
        source=OPERATIONS_BOOK,
        other="Unplanned stops are not taken off here; they are the availability.",
        key="working-time",
    )
    return cross_checked(opened, _by_the_clock(product), "going round the clock of each shift")


def _by_the_clock(product: Product) -> float:
    """Return the working time in the period of the demand, minute by minute of the clock."""
    calendar, period = product.calendar, product.demand.period
    if period == Period.HOUR:
        return 3600.0
    minutes = 0.0
    for shift in calendar.shifts:
        start, end = clock_minutes(shift.start), clock_minutes(shift.end)
        minutes += end - start if end > start else 24 * 60 - start + end
        minutes -= sum(stop.minutes for stop in shift.breaks)
    per_day = 60 * minutes
    times = {Period.SHIFT: 1 / max(1, len(calendar.shifts)), Period.WEEK: working_days(calendar)}
    return per_day * times.get(period, 1)


def _main_takt(product: Product, facts: LineFacts) -> Explained:
    """Open the takt time of the main line."""
    demand = product.demand
    opened = Explained(
        name="takt time",
        value=float(facts.takt_time),
        unit="s",
        formula=f"takt time = working time x lines / good units wanted, per {demand.period}",
        worked=f"{figure(facts.period_time)} s x {facts.line.copies} / "
        f"{figure(demand.quantity or 0)} = {_time(facts.takt_time)}",
        source=OPERATIONS_BOOK,
        other=OTHER_TAKT,
    )
    good, copies = float(demand.quantity or 0), facts.line.copies
    again = _by_the_clock(product) / good * copies if good else None
    return cross_checked(opened, again, "working time by the clock / good units, for each line,")


def _main_operating(product: Product, facts: LineFacts) -> Explained:
    """Open the operating takt of the main line."""
    demand = product.demand
    opened = Explained(
        name="operating takt",
        value=float(facts.operating_takt),
        unit="s",
        formula="operating takt = takt time x yield x availability",
        worked=f"{_time(facts.takt_time)} x {figure(demand.yield_share)} x "
        f"{figure(demand.availability)} = {_time(facts.operating_takt)}",
        source=GROOVER,
        other=OTHER_OPERATING,
    )
    started = float(demand.quantity or 0) / demand.yield_share
    running = float(facts.period_time) * demand.availability * facts.line.copies
    return cross_checked(opened, running / started, "time the line runs / units started")


def _per_start(line: Line) -> str:
    """Return the units the fed line takes per start, as written in a formula."""
    return f"({figure(line.quantity)} x (1 + {figure(line.replacement_share)}))"


def _feeder_takt(product: Product, facts: LineFacts, fed: LineFacts) -> Explained:
    """Open the takt time of a feeder: its good units are what the fed line's starts take."""
    line = facts.line
    of_starts = facts.takt_time * _units_per_takt(line, fed.line)
    opened = Explained(
        name="takt time",
        value=float(facts.takt_time),
        unit="s",
        formula=f"takt time = working time per start on {fed.line.name} x copies / "
        f"copies of {fed.line.name} / (quantity x (1 + replacement))",
        worked=f"{_time(of_starts)} x {line.copies} / {fed.line.copies} / "
        f"{_per_start(line)} = {_time(facts.takt_time)}",
        source=FEEDER_RATE,
        other=OTHER_TAKT,
    )
    again = None
    if facts.good_units and exact_time_per_day(product.calendar):
        week = exact_time_per_day(product.calendar) * working_days(product.calendar)
        again = float(week) * line.copies / float(facts.good_units)
    return cross_checked(opened, again, "working time of a week x copies / good units of the week")


def _units_per_takt(line: Line, fed: Line) -> Fraction:
    """Return how many good units one copy of a feeder delivers per start on one fed copy."""
    return units_per_start(line) * fed.copies / line.copies


def _feeder_operating(facts: LineFacts, fed: LineFacts) -> Explained:
    """Open the operating takt of a feeder."""
    line = facts.line
    opened = Explained(
        name="operating takt",
        value=float(facts.operating_takt),
        unit="s",
        formula=f"operating takt = operating takt of {fed.line.name} x copies / copies of "
        f"{fed.line.name} x yield / (quantity x (1 + replacement))",
        worked=f"{_time(fed.operating_takt)} x {line.copies} / {fed.line.copies} x "
        f"{figure(line.yield_share)} / {_per_start(line)} = {_time(facts.operating_takt)}",
        source=FEEDER_RATE,
        other=OTHER_OPERATING,
    )
    # Units a second: the feeder delivers good what the fed line takes, replacements included.
    taken = fed.line.copies / float(fed.operating_takt) * line.quantity
    delivered = taken * (1 + line.replacement_share) / line.yield_share
    return cross_checked(opened, line.copies / delivered, "copies / units the feeder must start")


def _station_time(facts: LineFacts) -> Explained:
    """Open the station time; None when repositioning takes it all."""
    repositioning = Fraction(facts.line.repositioning_ms, 1000)
    left = facts.operating_takt - repositioning
    opened = Explained(
        name="station time",
        value=float(left) if left > 0 else None,
        unit="s",
        formula="station time = operating takt - repositioning",
        worked=f"{_time(facts.operating_takt)} - {figure(repositioning)} s = {_time(left)}",
        source=GROOVER,
        other=OTHER_STATION,
    )
    if left <= 0:
        return opened
    again = float(facts.operating_takt) * (1 - float(repositioning / facts.operating_takt))
    return cross_checked(opened, again, "operating takt x (1 - share that repositioning takes)")


def _starts(product: Product, facts: LineFacts) -> tuple[Explained, ...]:
    """Open good units and starts per week; nothing without a calendar."""
    if facts.good_units is None or facts.starts is None:
        return ()
    line, fed = facts.line, facts.fed
    share = product.demand.yield_share if fed is None else line.yield_share
    if fed is None or fed.starts is None:
        formula = "good units per week = good units per period x periods of working time in a week"
        demand = product.demand
        periods = facts.good_units / Fraction(str(demand.quantity))
        worked = f"{figure(demand.quantity or 0)} x {figure(periods)}"
    else:
        formula = f"good units = starts of {fed.line.name} x quantity x (1 + replacement)"
        worked = f"{figure(fed.starts, 3)} x {_per_start(line)}"
    good = figure(facts.good_units, 3)
    again = float(facts.starts) * float(share)
    opened = (
        Explained(
            name="good units per week",
            value=float(facts.good_units),
            unit="units/week",
            formula=formula,
            worked=f"{worked} = {good} units/week",
            source="definition",
        ),
        Explained(
            name="starts per week",
            value=float(facts.starts),
            unit="units/week",
            formula="starts = good units / yield",
            worked=f"{good} / {figure(share)} = {figure(facts.starts, 3)} units/week",
            source="definition of yield",
            other="A yield per operation multiplies along the line; the one entered is the final.",
        ),
    )
    return (
        cross_checked(opened[0], again, "starts per week x yield"),
        cross_checked(opened[1], _starts_by_time(product, facts), "time the line runs / takt"),
    )


def _starts_by_time(product: Product, facts: LineFacts) -> float:
    """Return the starts a week from the time the line runs and its operating takt."""
    week = float(exact_time_per_day(product.calendar) * working_days(product.calendar))
    running = week * product.demand.availability * facts.line.copies
    return running / float(facts.operating_takt)
