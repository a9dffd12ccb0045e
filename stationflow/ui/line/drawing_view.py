"""The drawing of the line on its page, drawn once for each state of product and plans."""

import streamlit as st

from stationflow.actions.showing import line_showing
from stationflow.actions.showing.line_showing import LineView
from stationflow.drawing.palette import Inks
from stationflow.ui import show, theme
from stationflow.ui.components.diagram_view import diagram_view

HEIGHT = 420
USE = (
    "Point at a station for its tasks. Fit, or 0, shows all of it; drag to move, + and - or the "
    "wheel to zoom once the drawing is clicked; / finds a station by one of its tasks."
)


def drawing(view: LineView, state: int) -> None:
    """Show the drawing, to be moved and zoomed."""
    svg = _drawn(view.gathered.product.code, state, theme.chart_inks(), view)
    diagram_view(
        svg,
        height=HEIGHT,
        width=0,
        key="line.drawing",
        label="Drawing of the whole line",
        is_wide=True,
    )
    st.caption(USE)


@st.cache_data(show_spinner="Drawing the line ...", max_entries=16)
def _drawn(code: str, state: int, inks: Inks, _view: LineView) -> str:
    return line_showing.line_drawing(_view, with_list=False, inks=inks)


def position_table(view: LineView) -> None:
    """Show what the numbers of the drawing mean."""
    rows = [
        {"Number": mark.code, "What": mark.name, "About it": mark.words}
        for mark in line_showing.positions(view)
    ]
    if not rows:
        st.markdown("No machine, test, repair or soak is entered.")
        return
    columns = {"Number": show.small(), "What": st.column_config.TextColumn(width="medium")}
    show.table(rows, "What the numbers of the drawing mean", columns)
