"""An answer without a plan: why there is none, and ways out at a press."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

import streamlit as st

from stationflow.actions.plans.way_out_taken import product_with
from stationflow.balancing.impossible.explained_result import WAYS
from stationflow.model import BalanceResult, Ending, Finding, Product
from stationflow.model.way_out import WayOut
from stationflow.storage import Draft
from stationflow.ui import session, show, undo
from stationflow.ui.grids import stored_edits
from stationflow.ui.plans import balance_settings
from stationflow.ui.plans.shown_plan import refused_key
from stationflow.ui.text import plain

REFUSED = {
    Ending.IMPOSSIBLE: "What is asked is impossible.",
    Ending.NOTHING_FOUND: "No plan was found in the time given.",
    None: "The line could not be balanced; the findings say what to cure.",
}


@dataclass(slots=True)
class _Refused:
    """An answer without a plan, and the states of the product that it is shown for."""

    result: BalanceResult
    of: str = ""  # checksum of the product it was made from; empty: not shown yet
    after: str = ""  # checksum of the product after a way out was taken
    taken: str = ""  # which way, in words


def show_refused(draft: Draft, line: str) -> bool:
    """Show the last answer without a plan; return whether there is one.

    One with ways out stays until a plan came out or the product was edited otherwise.
    """
    key = refused_key(draft.product.code, line)
    refused = st.session_state.get(key)
    if isinstance(refused, BalanceResult):  # fresh
        refused = st.session_state[key] = _Refused(refused)
    if not isinstance(refused, _Refused):
        return False
    refused.of = refused.of or draft.checksum
    has_ways = bool(refused.result.ways_out)
    if not has_ways or draft.checksum not in (refused.of, refused.after):
        del st.session_state[key]
        if has_ways:
            return False
    if draft.checksum == refused.after:
        st.success(
            f"**Taken: {plain(refused.taken)}.** Balance the line again, or take it back (Ctrl+Z)."
        )
    else:
        st.error(REFUSED.get(refused.result.ending, "There is no plan."))
        why_and_ways(refused.result, "balance.way", partial(_take, draft, key))
    if has_ways:
        undo.undo_buttons(draft)
    return True


def why_and_ways(result: BalanceResult, key: str, take: Callable[[WayOut], None]) -> None:
    """Show why there is no plan, and the ways out, each of which `take` takes at a press."""
    show.findings([_without_ways(finding) for finding in result.findings])
    if result.ways_out:
        st.markdown("**Ways out**, each tried on the whole line; the cheapest first:")
    for turn, way in enumerate(result.ways_out):
        label, icon = plain(way.said), ":material/exit_to_app:"
        st.button(label, icon=icon, key=f"{key}.{turn}", on_click=take, args=(way,))


def _without_ways(finding: Finding) -> Finding:
    """Return a finding without the ways out, which stand below it as buttons."""
    return replace(finding, hint=finding.hint.partition(WAYS)[0].strip())


def _take(draft: Draft, key: str, way: WayOut) -> None:
    """Take a way out: what it enters is one edit, what it asks for goes into the form."""
    product: Product = product_with(draft.product, way)
    if product != draft.product and not stored_edits.save(draft, product):
        return
    balance_settings.ask_for(draft.product, st.session_state[key].result.line, way)
    refused: _Refused = st.session_state[key]
    refused.taken = way.said
    refused.after = session.store().draft(draft.product.code).checksum
    if refused.after == refused.of:  # only what is asked for is other
        del st.session_state[key]
        session.notice(f"{way.said}: it stands in the form; balance the line again.")
