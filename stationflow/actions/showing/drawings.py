"""Draw precedence diagrams and load charts of products and plans."""

from collections.abc import Sequence
from pathlib import Path
from typing import Literal

from stationflow.actions.opening.given_plans import read_given_plan, work_of_source
from stationflow.actions.opening.sources import Source
from stationflow.actions.plans.source_balancing import lines_to_balance
from stationflow.drawing.diagram.diagram_work import draft_work
from stationflow.drawing.diagram.precedence_diagram import precedence_diagram
from stationflow.drawing.diagram.product_diagram import product_diagram
from stationflow.drawing.render import render_diagram
from stationflow.model import Finding, Product, Station, by_severity, error, has_errors

Kind = Literal["svg", "png", "pdf"]


def line_diagram(product: Product, line: str, stations: Sequence[Station] | None = None) -> str:
    """Return the precedence diagram of a line as SVG, drafts with a circle included.

    Raises
    ------
    DrawingError
        If the layout program gives no answer.
    """
    return diagram_file(product, line, stations, "svg").decode()


def diagram_file(
    product: Product, line: str, stations: Sequence[Station] | None, kind: Kind
) -> bytes:
    """Return the precedence diagram of a line as a file's bytes, like `line_diagram`."""
    names = [task.name for task in product.tasks_of(line)]
    source = precedence_diagram(
        draft_work(product, line), names, stations=stations, unit=product.time_unit
    )
    return render_diagram(source, kind)


def whole_diagram(product: Product) -> str:
    """Return the diagrams of all lines of a product in one, feeders at their joins, as SVG.

    Raises
    ------
    DrawingError
        If the layout program gives no answer.
    """
    return whole_diagram_file(product, "svg").decode()


def whole_diagram_file(product: Product, kind: Kind) -> bytes:
    """Return the diagrams of all lines in one as a file's bytes, like `whole_diagram`."""
    return render_diagram(product_diagram(product), kind)


def draw_source(
    source: Source, *, line: str | None, plan: Path | None, kind: Kind
) -> tuple[bytes | None, tuple[Finding, ...]]:
    """Return the diagram of one line of a source as a file's bytes, and what was found.

    Parameters
    ----------
    line
        Name of the line; None: the line of the plan, else the main line.
    plan
        A plan file; None: the plan in force, if there is one.
    """
    stations: Sequence[Station] | None = None
    findings: tuple[Finding, ...] = source.findings
    name = lines_to_balance(source, line)[0]
    if plan is not None:
        given, more = read_given_plan(source, line, plan)
        findings = (*findings, *more)
        if given is None or has_errors(more):
            return None, by_severity(findings)
        name, stations = given.line, given.result.stations
    elif in_force := source.plan_in_force(name):
        stations = in_force.result.stations
    product = source.product
    if product is None:
        work, _ = work_of_source(source, name)
        assert work is not None
        drawn = precedence_diagram(work, {}, stations=stations, title=source.name)
    elif product.line(name) is None:
        unknown = error("unknown-line", f"Line {name}", "The product has no such line.")
        return None, by_severity((*findings, unknown))
    else:
        return diagram_file(product, name, stations, kind), by_severity(findings)
    return render_diagram(drawn, kind), by_severity(findings)
