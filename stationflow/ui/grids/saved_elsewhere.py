"""What the pages say when two people edit one product, and how a clash is decided."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from threading import Lock

import streamlit as st

from stationflow.actions.products.saving import Saved, save_edit
from stationflow.balancing.time_words import count
from stationflow.editing.two_editors import Conflict, with_value
from stationflow.errors import StationflowError
from stationflow.model.changes.change_words import changes_words, place_words, value_words
from stationflow.model.changes.differences import Path
from stationflow.storage import Draft
from stationflow.ui import session
from stationflow.ui.text import plain

KEY = "edit.notes"
EVERY_S = 4.0
MOST_KEPT = 40  # own saves that are remembered


@dataclass(frozen=True, slots=True)
class Clash:
    """A conflict that waits for a decision, with who stored the other value, and when."""

    conflict: Conflict
    by: str
    at: datetime


@dataclass(slots=True)
class Notes:
    """What the session remembers of the saves of others."""

    said: list[str] = field(default_factory=list)  # sentences to be shown once
    # Conflicts by product code and place; kept until they are decided.
    clashes: dict[str, dict[Path, Clash]] = field(default_factory=dict)
    turn: int = 0  # goes up whenever tables and forms have to be drawn afresh
    # A run of the page that is cut short goes on beside the next one until it draws again: edits
    # and steps back are stored one after the other, and nothing that holds this may draw.
    lock: Lock = field(default_factory=Lock)
    # What this session made of a state, by its checksum, where nobody else had saved.
    own: dict[str, Draft] = field(default_factory=dict)

    def latest(self, draft: Draft, newest: str) -> Draft:
        """Return the newest state if this session alone made it of `draft`; else `draft`.

        A page that is slow to be drawn anew has fields of a state that was edited since.
        """
        at, seen = draft, set[str]()
        while at.checksum != newest and at.checksum not in seen and at.checksum in self.own:
            seen.add(at.checksum)
            at = self.own[at.checksum]
        return at if at.checksum == newest else draft

    def keep(self, base: str, saved: Saved) -> None:
        """Remember what was made of a state."""
        if saved.theirs is None and base:
            self.own[base] = saved.draft
            while len(self.own) > MOST_KEPT:
                del self.own[next(iter(self.own))]

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
    """Return what this session remembers, and let no newer run cut in where it is known."""
    kept: Notes | None = st.session_state.to_dict().get(KEY)
    return kept or st.session_state.setdefault(KEY, Notes())


def tell(draft: Draft) -> None:
    """Show what others saved: a toast once, clashes to decide, and a note when they save now."""
    kept = notes()
    for sentence in kept.said:
        st.toast(plain(sentence), icon=":material/group:", duration="long")
    kept.said.clear()
    if waiting := kept.clashes.get(draft.product.code):
        label = f"Decide {count(len(waiting), 'conflict')}"
        if st.button(label, type="primary", icon=":material/call_split:", key="edit.decide"):
            _decide(draft.product.code)
    _watch(draft)


@st.fragment(run_every=EVERY_S)
def _watch(draft: Draft) -> None:
    """Say that somebody else saved since the page was drawn; draw it anew if its own hands did.

    What asks by itself tells an edit too that was typed just then, and stores it in a run of its
    own. The run that the edit itself asks for begins beside it and may have read what was before.
    """
    kept = notes()
    try:
        with kept.lock:  # after what is being stored
            newest = session.store().newest(draft.product.code)
    except StationflowError:  # the next full run of the page says what is wrong
        return
    if newest.checksum == draft.checksum:
        return
    if kept.latest(draft, newest.checksum) is not draft:
        session.rerun()
    label = f"{plain(newest.by)} saved version {newest.version}: show"
    if st.button(label, icon=":material/sync:", key="edit.show", type="tertiary"):
        kept.turn += 1
        session.rerun()


@st.dialog("Changed by two", width="medium", on_dismiss="rerun")
def _decide(code: str) -> None:
    """Let the engineer choose between the values that two people gave."""
    waiting = notes().clashes.get(code, {})
    if not waiting:
        session.rerun()
    unit = session.store().draft(code).product.time_unit
    st.caption("The value of the other person is stored. Yours waits here until you choose.")
    for path, clash in list(waiting.items()):
        whose = f"Stored now, by {plain(clash.by)} at {clash.at:%Y-%m-%d %H:%M} UTC"
        sides = (
            ("theirs", "Keep theirs", whose, clash.conflict.theirs),
            ("mine", "Take mine", f"Yours, {plain(session.user())}", clash.conflict.mine),
        )
        with st.container(border=True):
            st.markdown(f"**{plain(place_words(path))}**")
            for column, (side, label, said, value) in zip(st.columns(2), sides, strict=True):
                with column:
                    st.caption(said)
                    st.text(value_words(value, path, unit))
                    st.button(
                        label,
                        key=f"edit.{side}.{path}",
                        type="primary" if side == "mine" else "secondary",
                        on_click=_settle,
                        args=(code, path, side == "mine"),
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
