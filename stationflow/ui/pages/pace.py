"""Pace page: how fast must we go."""

import streamlit as st

from stationflow.actions import pacing
from stationflow.ui import demand_form, pace_views, show

draft = show.product_heading("Pace", "How fast must we go?")
product = draft.product

numbers, entry = st.columns([1, 1], gap="large")
with entry:
    st.subheader("Demand and calendar", anchor=False)
    demand_form.demand_form(draft)
    pace_views.calendar_tables(draft)
with numbers:
    st.subheader("The pace of each line", anchor=False)
    paces = pacing.paces(product)
    pace_views.pace_metrics(product, paces)
    pace_views.pace_table(product, paces)
    st.subheader("Ways to reach the demand", anchor=False)
    pace_views.ways(product)
    show.findings(pacing.findings(product), nothing="The pace can be computed.")

st.subheader("Lines and models", anchor=False)
pace_views.line_tables(draft)
show.next_step("balance", "Balance")
