"""Pace page: how fast must we go."""

import streamlit as st

from stationflow.actions.showing import pacing
from stationflow.ui import downloads, session, show, undo
from stationflow.ui.grids import stored_edits
from stationflow.ui.pace import demand_form, pace_views

draft = show.product_heading(
    "Pace",
    "How fast must we go?",
    "Demand, shifts and losses give the takt time, and how much work each station may hold.",
)
product = draft.product
show.to_do_next(draft, "pace")

numbers, entry = st.columns([1, 1], gap="large")
with entry:
    with st.container(horizontal=True, vertical_alignment="bottom"):
        st.subheader("Demand and calendar", anchor=False)
        undo.undo_buttons(draft)
    demand_form.demand_form(draft)
    pace_views.calendar_tables(draft)
with numbers:
    with st.container(horizontal=True, vertical_alignment="bottom"):
        st.subheader("The pace of each line", anchor=False)
        downloads.menu("pace.download", downloads.pace_offers(draft))
    paces = pacing.paces(product)
    if paces:
        line = show.line_choice(draft, "pace.line")
        pace_views.pace_numbers(product, next(p for p in paces if p.line == line))
    pace_views.pace_table(product, paces)
    st.subheader("Ways to reach the demand", anchor=False)
    pace_views.ways(session.opened(draft))
    show.findings(pacing.findings(product), nothing="The pace can be computed.")

st.subheader("Lines and models", anchor=False)
stored_edits.product_table(draft, "lines", "content")
stored_edits.product_table(draft, "models", "content")
show.next_step("balance", "Balance")
