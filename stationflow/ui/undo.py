"""Undo and redo by button and by key, and what each step brought back."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta

import streamlit as st

from stationflow.actions.change_words import changes_words
from stationflow.actions.going_back import Way, go_back
from stationflow.actions.merging import differences
from stationflow.model import Product
from stationflow.storage import Draft
from stationflow.ui import saved_elsewhere, session, show
from stationflow.ui.components.undo_keys import Presses, undo_keys
from stationflow.ui.text import plain

KEY = "undo.heard"
TOLD_FOR = timedelta(seconds=10)  # as long as a long toast stands


@dataclass(slots=True)
class _Heard:
    """The presses that were taken, and the sentences of the last steps."""

    presses: Presses
    said: list[tuple[datetime, Way, str]] = field(default_factory=list)
    is_told: bool = True


def undo_buttons(draft: Draft) -> None:
    """Show undo and redo, and what others saved; take the steps that were pressed."""
    code = draft.product.code
    store, who, notes = session.store(), session.who(), saved_elsewhere.notes()
    with st.container(horizontal=True, gap="small", width="content", vertical_alignment="center"):
        saved_elsewhere.tell(draft)
        pressed: list[Way] = []
        way: Way
        for way, target, key in (("undo", draft.undo_to, "Z"), ("redo", draft.redo_to, "Y")):
            words = _step_words(code, draft.checksum, target, draft.product) if target else ""
            if st.button(
                way.capitalize(),
                icon=f":material/{way}:",
                disabled=not target,
                help=f"{words} (Ctrl+{key})" if target else None,
                key=f"edit.{way}",
            ):
                pressed.append(way)
        presses = undo_keys("undo.keys")
    # What the browser tells a page that knows nothing yet was taken before the server's restart.
    heard: _Heard = st.session_state.setdefault(KEY, _Heard(presses))
    _tell(heard)
    ways = [*pressed, *presses.since(heard.presses)]
    if ways:  # from here on nothing may cut in before all is noted
        with show.errors():
            heard.presses = presses
            said = go_back(store, code, ways, **who)
            now = who["at"]
            heard.said = [one for one in heard.said if now - one[0] < TOLD_FOR]
            heard.said += [(now, way, words) for way, words in zip(ways, said, strict=True)]
            heard.is_told = False
            notes.turn += 1
            session.rerun()


def _tell(heard: _Heard) -> None:
    """Say what the last steps brought back: all of them, for a toast takes the place of another."""
    if not heard.is_told:
        for _, way, sentence in heard.said:
            st.toast(plain(sentence), icon=f":material/{way}:", duration="long")
        heard.is_told = True


@st.cache_data(show_spinner=False, max_entries=64)
def _step_words(code: str, checksum: str, target: str, _product: Product) -> str:
    """Return what a step back or forward changes, in words."""
    other = session.store().saved_product(code, target)
    return plain(changes_words(differences(_product, other), _product.time_unit))
