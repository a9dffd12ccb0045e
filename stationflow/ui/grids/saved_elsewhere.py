"""What the pages say when two people edit one product, and how a clash is decided."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

import streamlit as st

from stationflow.actions.products.saving import Saved, save_edit
from stationflow.editing.change_words import changes_words, place_words, value_words
from stationflow.editing.two_editors import Conflict, Path, with_value
from stationflow.errors import StationflowError
from stationflow.storage import Draft
from stationflow.ui import session
from stationflow.ui.text import plain

KEY = "edit.notes"
EVERY_S = 4.0


@dataclass(frozen=True, slots=True)
class Clash:
    """A conflict that waits for a decision, with who stored the other value, and when."""

    conflict: Conflict
    by: str
    at: datetime


@dataclass(slots=True)
class Notes:
    """What the session remembers of the saves of others.

    Attributes
    ----------
    said
        Sentences to be shown once.
    clashes
        Conflicts by product code and place; kept until they are decided.
    turn
        Goes up whenever tables and forms have to be drawn afresh.
    """

    said: list[str] = field(default_factory=list)
    clashes: dict[str, dict[Path, Clash]] = field(default_factory=dict)
    turn: int = 0

    def note(self, saved: Saved, clashing: Sequence[Conflict] = ()) -> None:
        """Note what came of a save."""
        product, theirs = saved.draft.product, saved.theirs or saved.draft
        unit = product.time_unit
        if saved.elsewhere and theirs.checksum != saved.draft.checksum:
            self.say(f"{theirs.by} had changed: {changes_words(saved.elsewhere, unit)}.")
        for old, new in saved.new_numbers:
            self.say(f"Your new task {old} has the number {new}: {old} was used elsewhere.")
        for conflict in (*saved.conflicts, *clashing):
            waiting = self.clashes.setdefault(product.code, {})
            waiting[conflict.path] = Clash(conflict, theirs.by, theirs.at)
            self.say(
                f"{place_words(conflict.path)} was changed by {theirs.by} too. "
                "Nothing is lost: choose under “Decide”."
            )

    def say(self, sentence: str) -> None:
        """Keep a sentence to be shown, once."""
        if sentence not in self.said:
            self.said.append(sentence)


def notes() -> Notes:
    """Return what this session remembers."""
    kept: Notes = st.session_state.setdefault(KEY, Notes())
    return kept


def tell(draft: Draft) -> None:
    """Show what others saved: a toast once, clashes to decide, and a note when they save now."""
    kept = notes()
    for sentence in kept.said:
        st.toast(plain(sentence), icon=":material/group:", duration="long")
    kept.said.clear()
    waiting = kept.clashes.get(draft.product.code)
    if waiting:
        count = len(waiting)
        label = "Decide 1 conflict" if count == 1 else f"Decide {count} conflicts"
        if st.button(label, type="primary", icon=":material/call_split:", key="edit.decide"):
            _decide(draft.product.code)
    _watch(draft.product.code, draft.checksum)


@st.fragment(run_every=EVERY_S)
def _watch(code: str, checksum: str) -> None:
    """Say that somebody else saved since the page was drawn."""
    try:
        newest = session.store().newest(code)
    except StationflowError:  # the next full run of the page says what is wrong
        return
    if newest.checksum == checksum:
        return
    label = f"{plain(newest.by)} saved version {newest.version}: show"
    if st.button(label, icon=":material/sync:", key="edit.show", type="tertiary"):
        notes().turn += 1
        session.rerun()


@st.dialog("Changed by two", width="medium", on_dismiss="rerun")
def _decide(code: str) -> None:
    """Let the engineer choose between the values that two people gave."""
    kept = notes()
    waiting = kept.clashes.get(code, {})
    if not waiting:
        session.rerun()
    unit = session.store().draft(code).product.time_unit
    st.caption("The value of the other person is stored. Yours waits here until you choose.")
    for number, (path, clash) in enumerate(list(waiting.items())):
        with st.container(border=True):
            st.markdown(f"**{plain(place_words(path))}**")
            theirs, mine = st.columns(2)
            with theirs:
                st.caption(f"Stored now, by {plain(clash.by)} at {clash.at:%Y-%m-%d %H:%M} UTC")
                st.text(value_words(clash.conflict.theirs, path, unit))
                st.button(
                    "Keep theirs",
                    key=f"edit.theirs.{number}",
                    on_click=_settle,
                    args=(code, path, False),
                )
            with mine:
                st.caption(f"Yours, {plain(session.user())}")
                st.text(value_words(clash.conflict.mine, path, unit))
                st.button(
                    "Take mine",
                    key=f"edit.mine.{number}",
                    type="primary",
                    on_click=_settle,
                    args=(code, path, True),
                )


def _settle(code: str, path: Path, take_mine: bool) -> None:
    """Do what was decided about one value."""
    kept = notes()
    waiting = kept.clashes[code]
    if path in waiting and take_mine:
        store, by = session.store(), session.author()
        try:
            draft = store.draft(code)
            product = with_value(draft.product, path, waiting[path].conflict.mine)
            saved = save_edit(store, product, base=draft, by=by)
        except LookupError:
            kept.say(
                f"{place_words(path)} is not there any more; your value cannot be put in. "
                "Type it where it belongs now, or keep theirs."
            )
            return
        except StationflowError as problem:
            kept.say(f"{problem.message} {problem.hint}")
            return
        kept.note(saved)
    waiting.pop(path, None)
    kept.turn += 1
