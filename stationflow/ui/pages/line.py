"""Line page: does the whole line hold the pace."""

import streamlit as st

from stationflow.actions.opening.whole_plan import gathered_plan
from stationflow.drawing.line_drawing.line_content import NO_NOTES
from stationflow.ui import downloads, session, show
from stationflow.ui.line import drawing_view

draft = show.product_heading(
    "Line",
    "Does the whole line hold the pace?",
    "Main line, feeders, machines, tests and soak together: how long the line is, when each "
    "feeder starts, what stops cost and what one more buffer place would bring.",
)
gathered = gathered_plan(session.opened(draft))
notes = NO_NOTES
if not gathered.plan.lines:
    st.info(
        "No line has a plan in force yet. Balance the lines on the Balance page; then they are "
        "drawn here, and counted."
    )
    show.to_do_first(draft, "cards")
else:
    downloads.menu("line.download", [drawing_view.drawing_offer(draft, gathered, notes)])
    drawing_view.drawing(draft, gathered, notes)
    with st.expander("What the numbers of the drawing mean"):
        drawing_view.position_table(gathered, notes)
show.findings(gathered.findings, nothing="Every line has a plan in force that holds today.")
show.next_step("cards", "Cards")
