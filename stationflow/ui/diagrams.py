"""Precedence diagrams on pages, drawn once for each state of the data."""

from collections.abc import Sequence

import streamlit as st

from stationflow.actions.drawings import line_diagram
from stationflow.model import Product, StationLoad
from stationflow.storage import Draft
from stationflow.ui import show
from stationflow.ui.components.diagram_view import diagram_view


def precedence(
    draft: Draft,
    line: str,
    *,
    height: int,
    stations: Sequence[StationLoad] = (),
    key: str = "diagram",
) -> None:
    """Show the precedence diagram of a line, stations marked when there are any."""
    product = draft.product
    with show.errors():
        svg = _drawn(product.code, _drawn_state(product, line), line, tuple(stations), product)
        diagram_view(
            svg,
            height=height,
            key=f"{key}.{line}",
            label=f"Precedence diagram of line {line}, {len(product.tasks_of(line))} tasks",
        )
        st.caption(
            "Drag to move; + and - or the wheel to zoom once the diagram is clicked; 0 fits it. "
            "Arrows that follow from others are left out."
        )


def _drawn_state(product: Product, line: str) -> int:
    """Return a number that changes when the drawing would."""
    return hash(tuple((t.number, t.name, t.time_s, t.predecessors) for t in product.tasks_of(line)))


@st.cache_data(show_spinner="Drawing the diagram ...", max_entries=64)
def _drawn(
    code: str, state: int, line: str, stations: tuple[StationLoad, ...], _product: Product
) -> str:
    """Return the diagram as SVG."""
    return line_diagram(_product, line, stations or None)
