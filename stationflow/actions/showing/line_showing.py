"""The whole line as it is shown: its figures, its drawing, and its reports."""

from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from pathlib import Path

from stationflow.actions.opening.opened import Opened
from stationflow.actions.opening.whole_plan import GatheredPlan, gathered_plan
from stationflow.cards.paper import Paper
from stationflow.cards.reports.drop_record import drop_record
from stationflow.cards.reports.fault_sheets import fault_reports
from stationflow.cards.reports.line_reports import ReportedLine, full_report, recommendation
from stationflow.cards.reports.report import Report
from stationflow.cards.reports.report_printing import reports_pdf
from stationflow.drawing.line_drawing.line_content import Mark, Notes, drawn_lines
from stationflow.drawing.line_drawing.line_picture import line_overview, line_picture
from stationflow.drawing.palette import ON_PAPER, Inks
from stationflow.drawing.render import Kind, render_svg
from stationflow.errors import CardError
from stationflow.line.geometry.parallel_lines import ParallelOption, parallel_lines
from stationflow.line.left_out import not_read_words
from stationflow.line.simulation.simulated import Simulated
from stationflow.line.throughput.product_throughput import Throughput, throughput
from stationflow.line.whole_line import WholeLine, whole_line
from stationflow.model import Finding, Product, by_severity
from stationflow.model.unread import Use
from stationflow.pace.figures import figure


@dataclass(frozen=True, slots=True, kw_only=True)
class LineView:
    """All that is known of the whole line without simulation."""

    gathered: GatheredPlan
    whole: WholeLine
    throughput: Throughput

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What should be known of plans and figures, errors first."""
        # That a line has no plan is said already.
        more = (f for f in self.whole.findings if f.code != "no-plan")
        return by_severity(dict.fromkeys((*self.gathered.findings, *more)))

    @property
    def notes(self) -> Notes:
        """What the figures say of what is drawn, in a few words each."""
        lines, machines, tasks = {}, {}, {}
        for line in self.whole.lines:
            said = [f"{figure(line.length_m, 2)} m long"] if line.length_m else []
            if line.lead_s and self.gathered.product.line(line.line):
                ahead = "ahead of" if line.lead_s > 0 else "behind"
                said.append(f"starts {figure(abs(line.lead_s) / 60, 1)} min {ahead} the main line")
            lines[line.line] = " \N{MIDDLE DOT} ".join(said)
        for machine in self.whole.machines:
            said = [f"{machine.needed} needed"] if machine.needed else []
            if machine.utilisation is not None:
                said.append(f"{figure(100 * machine.utilisation, 0)} % used")
            machines[machine.machine] = ", ".join(said)
        for gate in self.whole.gates:
            said = [f"testers {gate.testers}"] if gate.testers else []
            if gate.tester_load is not None:
                said.append(f"{figure(100 * gate.tester_load, 0)} % used")
            if gate.benches:
                said.append(f"repair benches {gate.benches}")
            tasks[gate.task] = ", ".join(said)
        for soak in self.whole.soaks:
            tasks[soak.task] = f"positions {soak.positions}" if soak.positions else ""
        lengths = {line.line: line.length_m for line in self.whole.lines if line.length_m}
        return Notes(lines=lines, lengths_m=lengths, machines=machines, tasks=tasks)


@lru_cache(maxsize=8)
def parallel_options(product: Product) -> tuple[ParallelOption, ...]:
    """Return one fast main line beside parallel ones; nothing where none of them has a plan."""
    options = parallel_lines(product)
    return options if any(option.stations for option in options) else ()


def line_view(opened: Opened, plan: Path | None = None) -> LineView:
    """Return the whole line by the plans in force, or by those of a file."""
    return line_view_of(gathered_plan(opened, plan))


def line_view_of(gathered: GatheredPlan) -> LineView:
    """Return the whole line by the plans that are gathered."""
    return LineView(
        gathered=gathered,
        whole=whole_line(gathered.product, gathered.plan),
        throughput=throughput(gathered.product, gathered.plan),
    )


def line_drawing(
    view: LineView, said: str = "", *, with_list: bool = True, inks: Inks = ON_PAPER
) -> str:
    """Return the drawing of the line as SVG; see `line_picture`."""
    product, plan = view.gathered.product, view.gathered.plan
    return line_picture(product, plan, view.notes, said=said, with_list=with_list, inks=inks)


def line_drawing_file(view: LineView, kind: Kind, said: str = "") -> bytes:
    """Return the drawing of the line as a file's bytes. DrawingError if it cannot be drawn."""
    title = f"Drawing of the line {view.gathered.product.code}"
    return render_svg(line_drawing(view, f"Version {said}." if said else ""), kind, title)


def positions(view: LineView) -> tuple[Mark, ...]:
    """Return the positions of the drawing: machines, tests, repair, soak, packing."""
    lines = drawn_lines(view.gathered.product, view.gathered.plan, view.notes)
    return tuple(mark for line in lines for mark in line.marks())


def recommendation_pdf(
    view: LineView, simulated: Simulated | None, said: str, paper: Paper, on: date
) -> bytes:
    """Return the recommendation of one page."""
    drawn = line_overview(view.gathered.product, view.gathered.plan)
    return _printed([recommendation(_reported(view, simulated, said, drawn))], paper, on)


def full_report_pdf(
    view: LineView, simulated: Simulated | None, said: str, paper: Paper, on: date
) -> bytes:
    """Return the report with every number opened."""
    parallel = parallel_options(view.gathered.product)
    drawn = line_drawing(view, with_list=False)
    reported = replace(_reported(view, simulated, said, drawn), parallel=parallel)
    return _printed([full_report(reported)], paper, on)


def fault_cards_pdf(view: LineView, said: str, paper: Paper, on: date) -> bytes:
    """Return the fault cards of all tests. CardError if no faults are entered, or not all read."""
    _check_read(view, Use.FAULTS, "fault card")
    made = fault_reports(view.gathered.product, view.gathered.plan, said)
    if not made:
        raise CardError(
            "There is no fault card: no fault names the test that finds it.",
            "Enter faults with their tests on the Line page, or in faults.csv.",
        )
    title = f"Fault cards of {view.gathered.product.code}"
    return reports_pdf(made, paper=paper, portrait=False, created=on, title=title)


def drop_record_pdf(view: LineView, said: str, paper: Paper, on: date) -> bytes:
    """Return the drop test as a form. CardError if no procedure is chosen, or not all was read."""
    _check_read(view, Use.DROPS, "drop test")
    drops = view.whole.quality.drops
    if drops is None:
        raise CardError(
            "There is no drop test: no procedure is chosen for the packing.",
            "Choose one on the Line page, or drop_procedure in product.toml.",
        )
    return _printed([drop_record(view.gathered.product, drops, said)], paper, on)


def _check_read(view: LineView, use: Use, what: str) -> None:
    if not_read := view.gathered.product.stopped((), use):
        raise CardError(f"There is no {what}: {not_read_words(not_read)}", not_read[0].hint)


def _printed(reports: list[Report], paper: Paper, on: date) -> bytes:
    return reports_pdf(reports, paper=paper, created=on)


def _reported(view: LineView, simulated: Simulated | None, said: str, drawn: str) -> ReportedLine:
    of_run = simulated.findings if simulated else ()
    if simulated and not simulated.replications:
        simulated = None
    return ReportedLine(
        product=view.gathered.product,
        whole=view.whole,
        throughput=view.throughput,
        simulated=simulated,
        findings=by_severity(dict.fromkeys((*view.findings, *of_run))),
        svg=drawn,
        positions=tuple((mark.code, mark.name, mark.words) for mark in positions(view)),
        said=said,
    )
