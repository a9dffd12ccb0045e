"""The whole line on paper: a recommendation of one page, and the full report."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stationflow.balancing.time_words import count
from stationflow.cards.reports.report import Report, ReportTable, Section
from stationflow.line.geometry.parallel_lines import ParallelOption
from stationflow.line.simulation.simulated import Estimate, Simulated
from stationflow.line.throughput.buffer_values import BufferValue
from stationflow.line.throughput.product_throughput import Throughput
from stationflow.line.whole_line import WholeLine
from stationflow.model import Explained, Finding, Product, Severity
from stationflow.model.schema.cells import capital
from stationflow.pace.figures import figure

BEST = 5
"""So many ways to more output stand in a recommendation."""
NOT_KNOWN = "-"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportedLine:
    """All that a report of the line is made of."""

    product: Product
    whole: WholeLine
    throughput: Throughput
    simulated: Simulated | None  # None: it was not simulated
    findings: tuple[Finding, ...]
    svg: str  # the drawing without its list of positions
    positions: tuple[tuple[str, str, str], ...]  # number, what, about it
    said: str  # version and date
    parallel: tuple[ParallelOption, ...] = ()  # one main line beside several


def recommendation(reported: ReportedLine) -> Report:
    """Return the recommendation: what was asked, the line, its output, what pays."""
    product = reported.product
    return Report(
        title=f"Recommendation for the line of {product.code}",
        subtitle=product.name,
        facts=_facts(reported),
        sections=(
            Section(heading="In short", sentences=tuple(_in_short(reported))),
            Section(heading="What was asked", sentences=tuple(_asked(reported))),
            Section(heading="The line", svg=reported.svg, table=_lines_table(reported)),
            Section(
                heading="Output",
                table=_output_table(reported),
                sentences=tuple(_limiters(reported)),
            ),
            Section(heading="What pays", table=_worth_table(reported, BEST)),
            Section(heading="Assumptions", sentences=tuple(_assumptions(reported))),
        ),
        is_one_page=True,
    )


def full_report(reported: ReportedLine) -> Report:
    """Return the report with every number opened: formula, values put in, source."""
    whole, product = reported.whole, reported.product
    sections = [
        Section(heading="What was asked", sentences=tuple(_asked(reported))),
        Section(heading="The line", svg=reported.svg, table=_lines_table(reported)),
        Section(
            heading="Numbers of the drawing",
            table=ReportTable(
                heads=("Number", "What", "About it"), rows=reported.positions, left=(0, 1, 2)
            ),
        ),
        Section(
            heading="Output", table=_output_table(reported), sentences=tuple(_limiters(reported))
        ),
        *_simulated_sections(reported),
        Section(heading="What pays", table=_worth_table(reported, None)),
        Section(heading="When the line fills and clears", table=_schedule_table(reported)),
        Section(heading="Parallel main lines", table=_parallel_table(reported)),
        Section(heading="Faults found", table=_pareto_table(reported)),
        Section(heading="Assumptions", sentences=tuple(_assumptions(reported))),
        Section(heading="Findings", sentences=tuple(map(str, reported.findings))),
    ]
    machines = tuple(number for each in whole.machines for number in each.numbers)
    lines = tuple(number for each in whole.lines for number in each.numbers)
    numbers: dict[str, Sequence[Explained]] = {
        "Demand and pace, opened": whole.of_pace,
        "Machines, opened": machines,
        "Tests, repair and soak, opened": whole.quality.numbers,
        "Places, lengths and leads, opened": (*lines, *whole.own_numbers),
        "Output by formula, opened": reported.throughput.numbers,
        "Parallel main lines, opened": tuple(n for each in reported.parallel for n in each.numbers),
    }
    sections += [Section(heading=name, numbers=tuple(each)) for name, each in numbers.items()]
    return Report(
        title=f"Report on the line of {product.code}",
        subtitle=product.name,
        facts=_facts(reported),
        sections=tuple(section for section in sections if _says_something(section)),
    )


def _says_something(section: Section) -> bool:
    has_rows = section.table is not None and bool(section.table.rows)
    return has_rows or bool(section.sentences or section.numbers or section.svg)


def _facts(reported: ReportedLine) -> tuple[tuple[str, str], ...]:
    version = (("Version", reported.said),) if reported.said else ()
    return (("Product", reported.product.code), *version)


def _in_short(reported: ReportedLine) -> Iterable[str]:
    """Yield whether the line makes what is wanted, how sure that is, and what helps most."""
    if reported.throughput.answer:
        yield reported.throughput.answer
    if reported.simulated:
        mean, limits = _estimate(reported.simulated.output_per_h)
        yield f"Simulated: {mean} good units an hour, 95 % limits {limits}."
    best = next((v for v in reported.throughput.values if v.gain_per_h > 0), None)
    if best:
        gain = figure(best.gain_per_h, 2)
        yield f"Of all that there may be one more of, {best.what} helps most: {gain} an hour more."


def _asked(reported: ReportedLine) -> Iterable[str]:
    """Yield what the line has to make, and the pace that follows."""
    demand, main = reported.product.demand, reported.product.main_line
    if demand.quantity is not None:
        yield (
            f"{figure(demand.quantity)} good units a {demand.period.value}, with availability "
            f"{figure(100 * demand.availability, 1)} % and yield "
            f"{figure(100 * demand.yield_share, 1)} %."
        )
    where = f"line {main.name}" if main else ""
    told = {n.key: n for n in reported.whole.of_pace if n.where in (where, "")}
    words = [
        f"{told[key].name} {_number(told[key])}"
        for key in ("takt-time", "operating-takt", "station-time")
        if key in told
    ]
    if words:
        yield f"{capital(', '.join(words))}."


def _number(number: Explained) -> str:
    if number.value is None:
        return "not computable"
    return f"{figure(number.value, 2)} {number.unit}".strip()


def _lines_table(reported: ReportedLine) -> ReportTable:
    labels = {line.name: line.label for line in reported.product.lines}
    rows = tuple(
        (
            labels.get(each.line, each.line),
            str(each.stations),
            str(each.operators),
            _of(each.places),
            _of(each.length_m, 2),
            _minutes(each.through_s),
            _minutes(each.lead_s),
        )
        for each in reported.whole.lines
    )
    heads = ("Line", "Stations", "Operators", "Places", "Length m", "Time through min", "Lead min")
    return ReportTable(heads=heads, rows=rows)


def _of(value: float | None, places: int = 1) -> str:
    return NOT_KNOWN if value is None else figure(value, places)


def _minutes(seconds: float | None) -> str:
    return NOT_KNOWN if seconds is None else figure(seconds / 60, 1)


def _output_table(reported: ReportedLine) -> ReportTable:
    """Return output, time and units under way by formula and by simulation."""
    made = reported.simulated
    main = reported.product.main_line
    own = reported.whole.line(main.name) if main else None
    rows = (
        (
            "Good units an hour",
            _of(reported.throughput.output_per_h, 2),
            *_estimate(made.output_per_h if made else None),
        ),
        (
            "Time of a unit on the main line, min",
            _minutes(own.through_s if own else None),
            *_estimate(made.time_in_system_s if made else None, 1 / 60),
        ),
        ("Units under way on the main line", NOT_KNOWN, *_estimate(made.wip if made else None)),
    )
    return ReportTable(heads=("", "By formula", "Simulated", "95 % limits"), rows=rows)


def _estimate(told: Estimate | None, scale: float = 1.0) -> tuple[str, str]:
    if told is None:
        return NOT_KNOWN, NOT_KNOWN
    if told.low is None or told.high is None:
        return figure(told.mean * scale, 2), "one run has none"
    limits = f"{figure(told.low * scale, 2)} to {figure(told.high * scale, 2)}"
    return figure(told.mean * scale, 2), limits


def _limiters(reported: ReportedLine) -> Iterable[str]:
    if reported.throughput.limiter:
        yield f"Most likely limiter by formula: {reported.throughput.limiter}."
    if reported.simulated and reported.simulated.limiter:
        yield f"By simulation: {reported.simulated.limiter}"
    losses = [f"{each.name} {figure(each.per_h, 2)}" for each in reported.throughput.losses]
    if losses:
        yield f"Lost by formula, in units an hour: {', '.join(losses)}."


def _worth_table(reported: ReportedLine, most: int | None) -> ReportTable:
    values = [value for value in reported.throughput.values if value.gain_per_h > 0][:most]
    rows = tuple(
        (
            capital(value.what),
            value.where,
            figure(value.gain_per_h, 3),
            _of(value.cost, 2) + _how_often(value),
            _of(value.gain_per_cost if value.is_weekly else None, 3),
        )
        for value in values
    )
    heads = ("One more", "Where", "Good units/h more", "Cost", "Units for its cost")
    shown = 5 if any(value.cost is not None for value in values) else 3
    return ReportTable(heads=heads[:shown], rows=tuple(row[:shown] for row in rows), left=(0, 1))


def _how_often(value: BufferValue) -> str:
    if value.cost is None:
        return ""
    return " a week" if value.is_weekly else " once"


def _assumptions(reported: ReportedLine) -> Iterable[str]:
    """Yield what the numbers rest on, and what speaks against them."""
    yield (
        "By formula: stations take their times as entered; times that scatter and stops are "
        "independent of each other; repair times without an entered scatter are exponential."
    )
    made = reported.simulated
    if made:
        yield (
            f"Simulation: {count(made.replications, 'run')} of {figure(made.settings.hours)} h "
            f"after {figure(made.warm_up_h, 1)} h of warm-up, seed {made.settings.seed}; limits "
            "are those of the mean at 95 % (Student)."
        )
    else:
        yield "The line was not simulated."
    serious = [f for f in reported.findings if f.severity != Severity.NOTE]
    for finding in serious[:3]:
        yield str(finding)
    if len(serious) > 3:
        yield f"And {len(serious) - 3} findings more; the full report has them."


def _simulated_sections(reported: ReportedLine) -> Iterable[Section]:
    made = reported.simulated
    if made is None:
        return
    names = ("worked", "blocked", "starved", "stopped")
    rows = tuple(
        (
            f"{each.line} {each.number}{f', {each.name}' if each.name else ''}",
            *(f"{figure(100 * getattr(each, name), 1)} %" for name in names),
        )
        for each in made.stations
    )
    yield Section(
        heading="What each station did in the simulation",
        table=ReportTable(heads=("Station", "Worked", "Blocked", "Starved", "Stopped"), rows=rows),
    )
    losses = tuple((loss.name, loss.where, figure(loss.per_h, 3)) for loss in made.losses)
    yield Section(
        heading="Where the output goes, in the simulation",
        table=ReportTable(heads=("Loss", "Where", "Units an hour"), rows=losses, left=(0, 1)),
    )


def _schedule_table(reported: ReportedLine) -> ReportTable:
    rows = tuple(
        (
            row.line,
            str(row.station) if row.station else "join",
            figure(row.first_s / 60, 1),
            figure(row.last_s / 60, 1),
        )
        for row in reported.whole.schedule
    )
    heads = ("Line", "Station", "First unit comes after min", "leaves after min")
    return ReportTable(heads=heads, rows=rows)


def _parallel_table(reported: ReportedLine) -> ReportTable:
    rows = tuple(tuple(option.row.values()) for option in reported.parallel)
    return ReportTable(heads=tuple(reported.parallel[0].row) if rows else (), rows=rows)


def _pareto_table(reported: ReportedLine) -> ReportTable:
    rows = tuple(
        (
            f"{row.fault} {row.text}",
            f"{row.line} {row.station}" if row.station else NOT_KNOWN,
            str(row.count),
            f"{figure(100 * row.share, 1)} %",
            f"{figure(100 * row.cumulated, 1)} %",
        )
        for row in reported.whole.quality.pareto.rows
    )
    heads = ("Fault", "Station", "Times", "Share", "Together")
    return ReportTable(heads=heads, rows=rows, left=(0, 1))
