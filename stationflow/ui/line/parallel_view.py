"""One fast main line beside parallel ones."""

import streamlit as st

from stationflow.actions.showing.line_showing import LineView, parallel_options
from stationflow.model.schema.cells import capital
from stationflow.ui import show


def parallel(view: LineView) -> None:
    """Show one main line and parallel ones side by side, with their numbers opened."""
    options = parallel_options(view.gathered.product)
    if not options:
        st.info("There is nothing to compare yet: tasks, demand and calendar come first.")
        return
    rows = [option.row for option in options]
    show.table(rows, "Parallel main lines", {name: show.right() for name in rows[0]})
    st.caption(
        "Each number of lines is balanced anew at its own pace, by ranked positional weight; a "
        "longer search may save a station. *At least*: no plans have fewer. Costs are those "
        "entered under *Enter*."
    )
    names = [option.name for option in options if option.numbers]
    chosen = st.segmented_control(
        "Open the numbers of", names, default=names[0], required=True, key="line.parallel.of"
    )
    numbers = next(option.numbers for option in options if option.name == chosen)
    boxes = [show.NumberBox(capital(n.name), show.number(n, 2), [n]) for n in numbers]
    show.number_row(boxes, f"line.parallel.{chosen}", columns=4, small=True)
