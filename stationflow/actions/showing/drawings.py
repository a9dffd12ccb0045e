"""Draw precedence diagrams and load charts of products and plans."""

from collections.abc import Sequence
from pathlib import Path
from typing import Literal

from stationflow.actions.opening.chosen_plan import choose_plan
from stationflow.actions.opening.opened import Opened
from stationflow.drawing.diagram.diagram_grid import Room
from stationflow.drawing.diagram.diagram_work import draft_work
from stationflow.drawing.diagram.precedence_diagram import precedence_diagram
from stationflow.drawing.diagram.product_diagram import product_diagram
from stationflow.drawing.render import render_diagram
from stationflow.model import Finding, Product, Station, by_severity, has_errors

Kind = Literal["svg", "png", "pdf"]


def line_diagram(
    product: Product,
    line: str,
    stations: Sequence[Station] | None = None,
    kind: Kind = "svg",
    room: tuple[float, float] | None = None,
) -> bytes:
    """Return the precedence diagram of a line as a file's bytes, drafts with a circle included.

    `room`: width and height in points of where it is read on a screen; None: on a page.
    DrawingError if the layout program gives no answer.
    """
    names = [task.name for task in product.tasks_of(line)]
    source = precedence_diagram(
        draft_work(product, line),
        names,
        stations=stations,
        unit=product.time_unit,
        room=Room(*room) if room else None,
    )
    return render_diagram(source, kind)


def whole_diagram(product: Product, kind: Kind = "svg") -> bytes:
    """Return the diagrams of all lines in one, feeders at their joins, as a file's bytes.

    DrawingError if the layout program gives no answer.
    """
    return render_diagram(product_diagram(product), kind)


def draw_opened(
    opened: Opened, *, line: str | None, plan: Path | None, kind: Kind
) -> tuple[bytes | None, tuple[Finding, ...]]:
    """Return the diagram of one line as a file's bytes, and what was found.

    `line`: name of the line; None: the line of the plan, else the main line. `plan`: a plan file;
    None: the plan in force, if there is one.
    """
    chosen = choose_plan(opened, line, plan)
    unused = plan is not None and has_errors(chosen.findings)
    said = tuple(f for f in chosen.findings if f.code != "no-plan")
    findings = by_severity((*opened.findings, *said))
    if unused or any(f.code == "unknown-line" for f in said):
        return None, findings
    stations = chosen.plan.result.stations if chosen.plan else None
    if opened.instance is None:
        return line_diagram(opened.product, chosen.line, stations, kind), findings
    work = opened.instance.work
    drawn = precedence_diagram(work, {}, stations=stations, title=opened.name)
    return render_diagram(drawn, kind), findings
