"""The drawing of the line on its page, drawn once for each state of product and plans."""

import streamlit as st

from stationflow.actions.opening.whole_plan import GatheredPlan
from stationflow.actions.showing import line_showing
from stationflow.drawing.line_drawing.line_content import NO_NOTES, Notes
from stationflow.drawing.palette import Inks
from stationflow.storage import Draft
from stationflow.ui import downloads, show, theme
from stationflow.ui.components.diagram_view import diagram_view

HEIGHT = 520
USE = (
    "Point at a station for its tasks. Drag to move; + and - or the wheel to zoom once the drawing "
    "is clicked; 0 shows all of it, / finds a station by one of its tasks."
)


def drawing(draft: Draft, gathered: GatheredPlan, notes: Notes) -> None:
    """Show the drawing, to be moved and zoomed."""
    state = hash((draft.checksum, gathered.plan, str(notes)))
    svg = _drawn(draft.product.code, state, theme.chart_inks(), gathered, notes)
    diagram_view(svg, height=HEIGHT, width=0, key="line.drawing", label="Drawing of the whole line")
    st.caption(USE)


@st.cache_data(show_spinner="Drawing the line ...", max_entries=16)
def _drawn(code: str, state: int, inks: Inks, _gathered: GatheredPlan, _notes: Notes) -> str:
    return line_showing.line_drawing(_gathered, _notes, with_list=False, inks=inks)


def position_table(gathered: GatheredPlan, notes: Notes) -> None:
    """Show what the numbers of the drawing mean."""
    rows = [
        {"Number": mark.code, "What": mark.name, "About it": mark.words}
        for mark in line_showing.positions(gathered, notes)
    ]
    if not rows:
        st.markdown("No machine, test, repair or soak is entered.")
        return
    columns = {"Number": show.small(), "What": st.column_config.TextColumn(width="medium")}
    show.table(rows, "What the numbers of the drawing mean", columns)


def drawing_offer(draft: Draft, gathered: GatheredPlan, notes: Notes = NO_NOTES) -> downloads.Offer:
    """Return the drawing on offer, with title and list of positions."""
    said = f"Version {draft.version}, {draft.at:%Y-%m-%d}."
    return downloads.pictures(
        "Drawing of the line",
        (draft.product.code, "line", "drawing"),
        lambda kind: line_showing.line_drawing_file(gathered, kind, notes, said),
    )
