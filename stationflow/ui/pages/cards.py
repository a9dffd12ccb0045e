"""Cards page: what hangs at each station."""

import streamlit as st

from stationflow.actions.card_printing import PAPERS
from stationflow.ui import card_views, show

draft = show.product_heading("Cards", "What hangs at each station?")
line = show.line_choice(draft, "cards.line")
state = card_views.plan_in_force(draft, line)

settings, preview = st.columns([1, 3], gap="large")
with settings, st.container(border=True):
    paper = st.segmented_control("Paper", PAPERS, default=PAPERS[0], key="cards.paper") or PAPERS[0]
    portrait = st.toggle("Upright pages", key="cards.portrait")
    card_views.print_button(state, paper=paper, portrait=portrait)
    st.caption("The preview shows the very pages that print.")
with preview:
    card_views.preview(state, paper=paper, portrait=portrait)
card_views.self_check(state)
