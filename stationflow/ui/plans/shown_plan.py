"""Which plan of a line the Balance page shows."""

import streamlit as st

from stationflow.model import Plan


def choose(plan: Plan) -> None:
    """Show this plan next; one without stations is shown with its findings."""
    key = shown_key(plan.product, plan.line)
    if plan.plan_id:
        st.session_state[f"{key}.next"] = plan.plan_id
        st.session_state.pop(refused_key(plan.product, plan.line), None)
    else:
        st.session_state[refused_key(plan.product, plan.line)] = plan.result


def take_chosen(code: str, line: str) -> None:
    """Let the field show what was chosen; to be called before the field is drawn."""
    key = shown_key(code, line)
    if chosen := st.session_state.pop(f"{key}.next", None):
        st.session_state[key] = chosen


def shown_key(code: str, line: str) -> str:
    """Return under which name the session keeps the plan chosen for a line."""
    return f"balance.plan.{code}.{line}"


def refused_key(code: str, line: str) -> str:
    """Return under which name the session keeps the last answer without stations."""
    return f"{shown_key(code, line)}.refused"
