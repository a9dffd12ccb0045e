"""Show an editable table on a page and store what is edited."""

from collections.abc import Callable, Mapping
from typing import Any

import streamlit as st

from stationflow.actions import editing
from stationflow.model import Product
from stationflow.storage import Draft
from stationflow.ui import grid, session, show
from stationflow.ui.detail_tables import DetailTable
from stationflow.ui.grid import GridEdit
from stationflow.ui.text import plain


def table(
    name: str,
    draft: Draft,
    what: DetailTable,
    records: tuple[Any, ...],
    edited: Callable[[GridEdit], Product],
    *,
    height: grid.Height = "auto",
) -> None:
    """Show one editable table; an edit is in the store before the page goes on.

    Parameters
    ----------
    name
        Name of the grid in the session.
    draft
        The product as the store has it.
    what
        The table.
    records
        Its records.
    edited
        Makes the edited product from an edit.
    """
    if what.help:
        st.caption(f"**{plain(what.title)}.** {plain(what.help)}")
    tell_problems(name)
    edit = grid.edit_grid(
        name, records, what.columns, what.new, height=height, alt=f"{what.title}, editable"
    )
    if edit is not None and store_edit(name, draft, edited(edit), edit):
        grid.keep(name, edit, what.columns)
        st.rerun()


def store_edit(name: str, draft: Draft, product: Product, edit: GridEdit) -> bool:
    """Store an edited product; return whether the grid may go on as it is.

    Cells that could not be taken are told at the next run, and the grid is then
    drawn afresh so that it shows what is really stored.
    """
    if edit.problems:
        st.session_state[f"{name}.problems"] = edit.problems
    if save(draft, product) and not edit.problems:
        return True
    grid.renew(name)
    if edit.problems:
        st.rerun()
    return False


def save(draft: Draft, product: Product, contents: Mapping[str, bytes] | None = None) -> bool:
    """Store an edited product; return whether that was done."""
    with show.errors():
        editing.save_product(
            session.store(),
            product,
            base=draft.checksum,
            by=session.user(),
            at=session.now(),
            contents=contents,
        )
        return True
    return False


def tell_problems(name: str) -> None:
    """Say, once, which cells could not be taken."""
    for problem in st.session_state.pop(f"{name}.problems", ()):
        st.error(plain(problem))


def undo_buttons(draft: Draft) -> None:
    """Show undo and redo."""
    code = draft.product.code
    with st.container(horizontal=True, gap="small", width="content"):
        if st.button("Undo", icon=":material/undo:", disabled=not draft.can_undo, key="edit.undo"):
            with show.errors():
                editing.undo(session.store(), code, **session.who())
                st.rerun()
        if st.button("Redo", icon=":material/redo:", disabled=not draft.can_redo, key="edit.redo"):
            with show.errors():
                editing.redo(session.store(), code, **session.who())
                st.rerun()
