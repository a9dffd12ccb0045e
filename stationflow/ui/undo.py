"""Undo and redo by button and by key, and what each step brought back."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

import streamlit as st

from stationflow.actions.products.going_back import Way, go_back, go_back_to, last_steps
from stationflow.errors import StationflowError
from stationflow.model import Product
from stationflow.model.changes.change_words import changes_words
from stationflow.model.changes.differences import differences
from stationflow.storage import Draft
from stationflow.ui import session, show
from stationflow.ui.components.undo_keys import undo_keys
from stationflow.ui.grids import saved_elsewhere
from stationflow.ui.text import plain

KEY = "undo.heard"
STEPS, MOST_KEY = 20, "edit.history.most"  # steps shown at once, and how many are
GONE_KEY = "edit.history.gone"  # whether the list has just been left by going back
TOLD_FOR = timedelta(seconds=10)  # as long as a long toast stands
MOST_TOLD = 10  # more sentences than this do not find room beside the page


@dataclass(slots=True)
class _Heard:
    """How many presses were taken of each opening of the page, and the last sentences."""

    taken: dict[str, int]
    said: list[tuple[datetime, Way, str]] = field(default_factory=list)
    is_told: bool = True


def undo_buttons(draft: Draft) -> None:
    """Show undo and redo, and what others saved; take the steps that were pressed."""
    code = draft.product.code
    store, by, notes = session.store(), session.author(), saved_elsewhere.notes()
    with st.container(horizontal=True, gap="small", width="content", vertical_alignment="center"):
        saved_elsewhere.tell(draft)
        pressed: list[Way] = []
        way: Way
        for way, target, key in (("undo", draft.undo_to, "Z"), ("redo", draft.redo_to, "Y")):
            help = None
            if target:
                help = f"{_step_words(code, draft.checksum, target, draft.product)} (Ctrl+{key})"
            icon, off = f":material/{way}:", not target
            if st.button(way.capitalize(), icon=icon, disabled=off, help=help, key=f"edit.{way}"):
                pressed.append(way)
        if st.button("History", icon=":material/history:", key="edit.history"):
            st.session_state.pop(GONE_KEY, None)
            _history(draft)
        presses = undo_keys("undo.keys")
    # What is told to a page that knows nothing yet was taken before the server was started anew.
    first = _Heard({presses.page: len(presses.ways)})
    heard: _Heard = st.session_state.setdefault(KEY, first)
    _tell(heard)
    with show.errors():
        with notes.lock:  # nothing in it draws, so nothing cuts in
            taken = heard.taken.get(presses.page, 0)
            ways = [*pressed, *presses.ways[taken:]]
            if ways:
                heard.taken[presses.page] = max(taken, len(presses.ways))
                _note(heard, by.at, ways, go_back(store, code, ways, by=by))
                notes.turn += 1
        if ways or not heard.is_told:
            session.rerun()


def _note(heard: _Heard, now: datetime, ways: Sequence[Way], said: Sequence[str]) -> None:
    """Keep what steps brought back, to be told when the page is drawn anew."""
    kept = [one for one in heard.said if not heard.is_told or now - one[0] < TOLD_FOR]
    for way, words in zip(ways, said, strict=True):
        if not kept or kept[-1][1:] != (way, words):  # nothing left: said once
            kept.append((now, way, words))
    heard.said, heard.is_told = kept, False


def _tell(heard: _Heard) -> None:
    """Say what the last steps brought back: all of them, for a toast takes the place of another."""
    if not heard.is_told:
        said = heard.said
        for _, way, sentence in said[-MOST_TOLD:]:
            st.toast(plain(sentence), icon=f":material/{way}:", duration="long")
        heard.is_told = said is heard.said  # another run may have taken a step meanwhile


@st.dialog("History", width="medium")
def _history(draft: Draft) -> None:
    """Show the last steps, each with a way back to it."""
    if st.session_state.pop(GONE_KEY, False):
        session.rerun()
    code = draft.product.code
    most = st.session_state.get(MOST_KEY, STEPS)
    st.caption("Newest first. Going back is a step of its own, which Undo takes back.")
    steps = last_steps(session.store(), code, most)
    for place, step in enumerate(steps):
        said, back = st.columns([3, 1], vertical_alignment="center")
        said.markdown(
            f"{plain(step.words)}  \n:gray[version {step.at.version}, "
            f"{plain(step.at.by)}, {step.at.at:%Y-%m-%d %H:%M} UTC]"
        )
        is_now = step.at.checksum == draft.checksum
        label = "As it is now" if is_now else "Go back to here"
        back.button(
            label,
            disabled=is_now,
            key=f"edit.history.{place}",
            on_click=_go_to,
            args=(draft, step.at.checksum),
        )
    if len(steps) == most:
        st.button("Show earlier steps", key="edit.history.more", on_click=_more)


def _go_to(draft: Draft, checksum: str) -> None:
    """Make the product again what a step left."""
    notes, store, by = saved_elsewhere.notes(), session.store(), session.author()
    st.session_state[GONE_KEY] = True
    try:
        with notes.lock:
            notes.note(go_back_to(store, draft, checksum, by=by))
            notes.turn += 1
    except StationflowError as problem:
        notes.say(f"{problem.message} {problem.hint}")
    else:
        session.notice("The product is again as it was then; Undo takes that back.")


def _more() -> None:
    st.session_state[MOST_KEY] = st.session_state.get(MOST_KEY, STEPS) + STEPS


@st.cache_data(show_spinner=False, max_entries=64)
def _step_words(code: str, checksum: str, target: str, _product: Product) -> str:
    """Return what a step back or forward changes, in words."""
    other = session.store().saved_product(code, target)
    return plain(changes_words(differences(_product, other), _product.time_unit))
