"""The whole line, counted once for each state of product and plans."""

import streamlit as st

from stationflow.actions.opening.whole_plan import GatheredPlan, gathered_plan
from stationflow.actions.showing.line_showing import LineView, line_view_of
from stationflow.storage import Draft
from stationflow.ui import session


def line_state(draft: Draft) -> tuple[LineView, int]:
    """Return the whole line as it is now, and a number that changes when it does."""
    gathered = gathered_plan(session.opened(draft))
    state = hash((draft.checksum, gathered.plan))
    return _counted(draft.product.code, state, gathered), state


@st.cache_resource(show_spinner="Counting the line ...", max_entries=16)
def _counted(code: str, state: int, _gathered: GatheredPlan) -> LineView:
    return line_view_of(_gathered)
