"""Cards page: what hangs at each station."""

import streamlit as st

from stationflow.ui import session, show
from stationflow.ui.plans import card_views

draft = show.product_heading(
    "Cards",
    "What hangs at each station?",
    "The sheet that hangs at each station: what is done there, with which parts, tools and "
    "checks; looked at here, then printed.",
)
line = show.line_choice(draft, "cards.line")
opened = session.opened(draft)
state = card_views.plan_in_force(draft, opened, line)

plan_id = state.plan.plan_id
settings, preview = st.columns([1, 3], gap="large")
with settings, st.container(border=True):
    language = card_views.language_choice()
    cards = card_views.card_set(plan_id, state.differences, language, opened, state)
    form = card_views.form_choice(cards, state, language)
    card_views.print_button(cards, form)
    st.caption("The preview shows the very pages of the PDF.")
with preview, st.container(key="card-pages"):
    card_views.preview(cards, state, language, form)
st.subheader("Self-check", anchor=False)
show.findings(cards.findings, nothing="The cards are complete.")
