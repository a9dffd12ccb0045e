"""Line page: does the whole line hold the pace."""

import streamlit as st

from stationflow.ui import show, undo
from stationflow.ui.jobs import made_ready
from stationflow.ui.line import (
    drawing_view,
    entering,
    flow_view,
    line_downloads,
    numbers_view,
    parallel_view,
    worth_view,
)
from stationflow.ui.line.line_state import line_state
from stationflow.ui.text import plain

draft = show.product_heading(
    "Line",
    "Does the whole line hold the pace?",
    "Main line, feeders, machines, tests and soak together: how long the line is, when each "
    "feeder starts, what stops cost and what one more buffer place would bring.",
)
made_ready.begin("simulation")
TABS = "line.tabs"
# What is typed is stored at once; the line is counted and drawn anew when the tab is left.
is_entering = st.session_state.get(TABS) == "Enter"
if not is_entering:
    view, state = line_state(draft)
    if not view.gathered.plan.lines:
        st.info(
            "No line has a plan in force yet. Balance the lines on the Balance page; then they "
            "are drawn here, and counted."
        )
        show.to_do_first(draft, "line")
    else:
        if view.throughput.answer:
            st.markdown(plain(view.throughput.answer))
        with st.container(horizontal=True, vertical_alignment="bottom"):
            undo.undo_buttons(draft)
            line_downloads.download(draft, view)
            st.markdown(show.how_many(view.findings, "See them under *Findings*."))
        drawing_view.drawing(view, state)
show.tabs(
    {
        "Numbers": lambda: numbers_view.numbers(view),
        "Flow": lambda: flow_view.flow(draft, view),
        "What pays": lambda: worth_view.worth(view),
        "Parallel lines": lambda: parallel_view.parallel(view),
        "Positions": lambda: drawing_view.position_table(view),
        "Enter": lambda: entering.entering(draft),
        "Findings": lambda: show.findings(
            view.findings, nothing="Every line has a plan in force that holds today."
        ),
    },
    TABS,
)
show.next_step("cards", "Cards")
