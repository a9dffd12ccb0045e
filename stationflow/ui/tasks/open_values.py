"""Values of a product that could not be read: how they are cured."""

from collections.abc import Sequence

import streamlit as st

from stationflow.model import Finding
from stationflow.model.changes.cell_places import kept_as_it_stands
from stationflow.storage import Draft
from stationflow.ui import session, show
from stationflow.ui.grids import stored_edits
from stationflow.ui.text import plain


def show_findings(draft: Draft, found: Sequence[Finding]) -> None:
    """Show all findings, and first what could not be read when the product came in."""
    _open_values(draft)
    show.findings(found)


def _open_values(draft: Draft) -> None:
    unread = [each for each in draft.product.unread if each.cell]
    if not unread:
        return
    st.markdown(
        "**To be entered.** These values could not be read when the product came in, and what is "
        "made from them waits. Enter each in its table; where what stands there now is right, "
        "say so."
    )
    for each in unread:
        with st.container(horizontal=True, vertical_alignment="center"):
            said = f"**{plain(each.finding.where)}**: {plain(each.finding.message)}"
            st.markdown(said, width="stretch")
            # A press is for this value, whatever the list has become since.
            key = f"tasks.right.{each.cell}"
            if st.button("Right as it stands", key=key) and stored_edits.save(
                draft, kept_as_it_stands(draft.product, each)
            ):
                session.rerun(f"{each.finding.where} is taken as it stands.")
