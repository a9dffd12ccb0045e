"""The whole line as it is shown: its drawing, as a picture on a page or as a file."""

from pathlib import Path

from stationflow.actions.opening.opened import Opened
from stationflow.actions.opening.whole_plan import GatheredPlan, gathered_plan
from stationflow.drawing.line_drawing.line_content import NO_NOTES, Mark, Notes, drawn_lines
from stationflow.drawing.line_drawing.line_picture import line_picture
from stationflow.drawing.palette import ON_PAPER, Inks
from stationflow.drawing.render import Kind, render_svg
from stationflow.model import Finding


def line_drawing(
    gathered: GatheredPlan,
    notes: Notes = NO_NOTES,
    said: str = "",
    *,
    with_list: bool = True,
    inks: Inks = ON_PAPER,
) -> str:
    """Return the drawing of the line as SVG; see `line_picture`."""
    product, plan = gathered.product, gathered.plan
    return line_picture(product, plan, notes, said=said, with_list=with_list, inks=inks)


def line_drawing_file(
    gathered: GatheredPlan, kind: Kind, notes: Notes = NO_NOTES, said: str = ""
) -> bytes:
    """Return the drawing of the line as a file's bytes. DrawingError if it cannot be drawn."""
    title = f"Drawing of the line {gathered.product.code}"
    return render_svg(line_drawing(gathered, notes, said), kind, title)


def positions(gathered: GatheredPlan, notes: Notes = NO_NOTES) -> tuple[Mark, ...]:
    """Return the positions of the drawing: machines, tests, repair, soak, packing."""
    lines = drawn_lines(gathered.product, gathered.plan, notes)
    return tuple(mark for line in lines for mark in line.marks())


def draw_line_of(
    opened: Opened, plan: Path | None, kind: Kind
) -> tuple[bytes, tuple[Finding, ...]]:
    """Return the drawing of a product's line as a file's bytes, and what was found."""
    gathered = gathered_plan(opened, plan)
    return line_drawing_file(gathered, kind), gathered.findings
