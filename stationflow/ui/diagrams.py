"""Precedence diagrams on pages, drawn once for each state of the data."""

from collections.abc import Sequence

import streamlit as st

from stationflow.actions.drawings import line_diagram, whole_diagram
from stationflow.model import Line, Product, StationLoad, Task
from stationflow.storage import Draft
from stationflow.ui import show
from stationflow.ui.components.diagram_view import diagram_view

USE = (
    "Drag to move; + and - or the wheel to zoom once the diagram is clicked; 0 fits it. "
    "Point at a task to read it whole. Arrows that follow from others are left out."
)


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
    tasks = product.tasks_of(line)
    with show.errors():
        svg = _drawn(product.code, _drawn_state(product, tasks), line, tuple(stations), product)
        diagram_view(
            svg,
            height=height,
            key=f"{key}.{line}",
            label=f"Precedence diagram of line {line}, {len(tasks)} tasks",
        )
        st.caption(USE)
        st.download_button(
            "Download the diagram (SVG)",
            svg,
            file_name=f"{product.code}-{line}-precedence.svg",
            mime="image/svg+xml",
            icon=":material/download:",
            key=f"{key}.svg",
        )


def whole(draft: Draft, *, height: int) -> None:
    """Show the diagrams of all lines in one, feeders at their joins."""
    product = draft.product
    with show.errors():
        diagram_view(
            _drawn_whole(
                product.code, _drawn_state(product, product.tasks), product.lines, product
            ),
            height=height,
            key="diagram.whole",
            label=f"Precedence diagram of all lines, {len(product.tasks)} tasks",
        )
        st.caption(USE)


def _drawn_state(product: Product, tasks: Sequence[Task]) -> int:
    """Return a number that changes when the drawing would."""
    drawn = [(t.number, t.name, t.line, t.time_s, t.model_times, t.predecessors) for t in tasks]
    return hash((product.time_unit, product.models, *drawn))


@st.cache_data(show_spinner="Drawing the diagram ...", max_entries=64)
def _drawn(
    code: str, state: int, line: str, stations: tuple[StationLoad, ...], _product: Product
) -> str:
    """Return the diagram of a line as SVG."""
    return line_diagram(_product, line, stations or None)


@st.cache_data(show_spinner="Drawing the diagram ...", max_entries=16)
def _drawn_whole(code: str, state: int, lines: tuple[Line, ...], _product: Product) -> str:
    """Return the diagram of all lines as SVG."""
    return whole_diagram(_product)
