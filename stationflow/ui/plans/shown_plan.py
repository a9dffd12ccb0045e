"""Which plan of a line the Balance page shows."""

import streamlit as st

from stationflow.model import BalanceResult, Plan


def choose(plan: Plan) -> None:
    """Show this plan next; one without stations is shown with its findings, once."""
    key = shown_key(plan.product, plan.line)
    if plan.plan_id:
        st.session_state[f"{key}.next"] = plan.plan_id
        st.session_state.pop(f"{key}.refused", None)
    else:
        st.session_state[f"{key}.refused"] = plan.result


def take_chosen(code: str, line: str) -> None:
    """Let the field show what was chosen; to be called before the field is drawn."""
    key = shown_key(code, line)
    if chosen := st.session_state.pop(f"{key}.next", None):
        st.session_state[key] = chosen


def take_refused(code: str, line: str) -> BalanceResult | None:
    """Return the answer without stations that is to be shown now, and forget it."""
    refused: BalanceResult | None = st.session_state.pop(f"{shown_key(code, line)}.refused", None)
    return refused


def shown_key(code: str, line: str) -> str:
    """Return under which name the session keeps the plan chosen for a line."""
    return f"balance.plan.{code}.{line}"
