"""What a second, independent solver says of a plan, and the button that asks it."""

import streamlit as st

from stationflow.actions.plans import confirming
from stationflow.model import Confirmation, Plan
from stationflow.ui import session, show
from stationflow.ui.text import plain

SECONDS = 20.0
"""So long may the page wait for it."""


def second_opinion(plan: Plan) -> None:
    """Show what was said of a stored plan, and let the engineer ask (again)."""
    if not confirming.can_be_confirmed(plan):
        return
    said = plan.confirmation
    with st.container(horizontal=True, vertical_alignment="center"):
        asked = st.button(
            "Ask a second solver" if said is None else "Ask again",
            icon=":material/fact_check:",
            help="Another solver, which shares nothing with the methods, looks for a plan that "
            f"would contradict this one, for at most {SECONDS:g} s.",
            key="balance.confirm",
        )
        if said is not None:
            _say(said)
    if asked:
        with show.errors(), st.spinner(f"A second solver is asked, at most {SECONDS:g} s ..."):
            confirming.confirm_plan(session.store(), plan, seconds=SECONDS, by=session.author())
            session.rerun()


def _say(said: Confirmation) -> None:
    """Show an opinion: a contradiction stands out."""
    words = plain(f"{said.said} ({said.runtime_s:.1f} s)")
    if said.agrees is False:
        st.error(words)
    else:
        st.markdown(f":material/{'check' if said.agrees else 'hourglass_disabled'}: {words}")
