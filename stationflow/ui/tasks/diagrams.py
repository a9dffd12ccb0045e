"""Precedence diagrams on pages, drawn once for each state of the data."""

from collections.abc import Sequence

import streamlit as st

from stationflow.actions.showing.drawings import line_diagram, whole_diagram
from stationflow.model import Product, Station, Task
from stationflow.storage import Draft
from stationflow.ui import show
from stationflow.ui.components.diagram_view import Choosing, diagram_view, diagram_width
from stationflow.ui.tasks import chosen_task

USE = (
    "Drag to move; + and - or the wheel to zoom once the diagram is clicked; 0 shows all of it, "
    "/ finds a task. Point at a task to read it whole. Arrows that follow from others are left out."
)
CHOOSING = (
    "Click a task to choose it, or use the arrow keys: left to the task before, right to the one "
    "after, up and down in listed order; Shift and arrow keys move the drawing. "
)
LINE_WIDGET = "tasks.line"  # the choice of the line on the Tasks page
TABLE_KEY = "task-table"  # the container around the table of the tasks
ROW_HEIGHT = 32  # of that table, in pixels
EDGE = 22  # pixels of the frame's width that Graphviz leaves free around a drawing
UNDER = 100  # pixels of its height for the buttons above and the legend below


def precedence(
    draft: Draft,
    line: str | None,
    *,
    height: int,
    stations: Sequence[Station] = (),
    key: str = "diagram",
    chosen: int | None = None,
) -> None:
    """Show the precedence diagram of a line, or with None those of all, feeders at their joins.

    With the place of a `chosen` task in `product.tasks` another one can be chosen in it.
    """
    product = draft.product
    tasks = product.tasks if line is None else product.tasks_of(line)
    lines = [line] if line is not None else list(dict.fromkeys(each.name for each in product.lines))
    prefix, named = ("l{}n", "all lines") if line is None else ("n", f"line {line}")
    name = f"{key}.{line or 'whole'}"
    width = diagram_width(name, kept=f"{key}.width")
    room = (width - EDGE, height - UNDER)
    with show.errors():
        diagram_view(
            _drawn(
                product.code, _drawn_state(product, tasks), line, tuple(stations), room, product
            ),
            height=height,
            width=width,
            key=name,
            label=f"Precedence diagram of {named}, {len(tasks)} tasks",
            choosing=None if chosen is None else _choosing(product, lines, prefix, chosen),
        )
        st.caption(USE if chosen is None else CHOOSING + USE)


def _choosing(product: Product, lines: Sequence[str], prefix: str, chosen: int) -> Choosing:
    """Return how a task is chosen in the diagram of some lines.

    `prefix` is that of the nodes' ids, with the place of the line in it.
    """
    places = [
        (at, f"{prefix.format(nth)}{i}")
        for nth, line in enumerate(lines)
        for i, at in enumerate(a for a, t in enumerate(product.tasks) if t.line == line)
    ]
    position = {product.tasks[at].number: i for i, (at, _) in reversed(list(enumerate(places)))}
    shown = [at for at, _ in places]
    line = [at for at, task in enumerate(product.tasks) if task.line == product.tasks[chosen].line]

    def take(pick: int) -> None:
        place = shown[pick]
        if place not in line:  # the table shows the line of the chosen task
            st.session_state[LINE_WIDGET] = product.tasks[place].line
        chosen_task.choose(product, place)

    return Choosing(
        nodes=[node for _, node in places],
        before=[
            [position[n] for n in dict.fromkeys(product.tasks[at].predecessors) if n in position]
            for at, _ in places
        ],
        chosen=shown.index(chosen) if chosen in shown else -1,
        table=f"st-key-{TABLE_KEY}",
        row=line.index(chosen),
        row_height=ROW_HEIGHT,
        take=take,
    )


def _drawn_state(product: Product, tasks: Sequence[Task]) -> int:
    """Return a number that changes when the drawing would."""
    drawn = [
        (t.number, t.name, t.line, t.time_ms, t.model_times, t.predecessors, t.limits)
        for t in tasks
    ]
    return hash((product.time_unit, product.models, product.lines, *drawn))


@st.cache_data(show_spinner="Drawing the diagram ...", max_entries=64)
def _drawn(
    code: str,
    state: int,
    line: str | None,
    stations: tuple[Station, ...],
    room: tuple[float, float],
    _product: Product,
) -> str:
    if line is None:
        return whole_diagram(_product).decode()
    return line_diagram(_product, line, stations or None, room=room).decode()
