"""The numbers of a line's pace, opened: formula, values put in, source, other definition."""

from dataclasses import dataclass
from fractions import Fraction

from stationflow.model import Explained, Line, Period, Product
from stationflow.pace.figures import figure
from stationflow.pace.working_time import exact_time_per_day, working_days

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
        own = [_feeder_takt(facts, facts.fed), _feeder_operating(facts, facts.fed)]
    return (*own, _station_time(facts), *_starts(product, facts))


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
    worked = {
        Period.HOUR: "60 min x 60",
        Period.SHIFT: f"{day} s a day / {len(calendar.shifts)} shifts",
        Period.DAY: f"({shifts}) min x 60",
        Period.WEEK: f"({shifts}) min x 60 x {working_days(calendar)} days",
    }[period]
    return Explained(
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
    )


def _main_takt(product: Product, facts: LineFacts) -> Explained:
    """Open the takt time of the main line."""
    demand = product.demand
    return Explained(
        name="takt time",
        value=float(facts.takt_time),
        unit="s",
        formula=f"takt time = working time x lines / good units wanted, per {demand.period}",
        worked=f"{figure(facts.period_time)} s x {facts.line.copies} / "
        f"{figure(demand.quantity or 0)} = {_time(facts.takt_time)}",
        source=OPERATIONS_BOOK,
        other=OTHER_TAKT,
    )


def _main_operating(product: Product, facts: LineFacts) -> Explained:
    """Open the operating takt of the main line."""
    demand = product.demand
    return Explained(
        name="operating takt",
        value=float(facts.operating_takt),
        unit="s",
        formula="operating takt = takt time x yield x availability",
        worked=f"{_time(facts.takt_time)} x {figure(demand.yield_share)} x "
        f"{figure(demand.availability)} = {_time(facts.operating_takt)}",
        source=GROOVER,
        other=OTHER_OPERATING,
    )


def _per_start(line: Line) -> str:
    """Return the units the fed line takes per start, as written in a formula."""
    return f"({figure(line.quantity)} x (1 + {figure(line.replacement_share)}))"


def _feeder_takt(facts: LineFacts, fed: LineFacts) -> Explained:
    """Open the takt time of a feeder: its good units are what the fed line's starts take."""
    line = facts.line
    of_starts = facts.takt_time * _units_per_takt(line, fed.line)
    return Explained(
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


def _units_per_takt(line: Line, fed: Line) -> Fraction:
    """Return how many good units one copy of a feeder delivers per start on one fed copy."""
    taken = Fraction(str(line.quantity)) * (1 + Fraction(str(line.replacement_share)))
    return taken * fed.copies / line.copies


def _feeder_operating(facts: LineFacts, fed: LineFacts) -> Explained:
    """Open the operating takt of a feeder."""
    line = facts.line
    return Explained(
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


def _station_time(facts: LineFacts) -> Explained:
    """Open the station time; None when repositioning takes it all."""
    repositioning = Fraction(str(facts.line.repositioning_s))
    left = facts.operating_takt - repositioning
    return Explained(
        name="station time",
        value=float(left) if left > 0 else None,
        unit="s",
        formula="station time = operating takt - repositioning",
        worked=f"{_time(facts.operating_takt)} - {figure(repositioning)} s = {_time(left)}",
        source=GROOVER,
        other=OTHER_STATION,
    )


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
    return (
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
