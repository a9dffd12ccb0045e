"""Single fields of a record on a page: each change is stored at once, like a cell of a table.

A field shows what is stored. What cannot be read stays in it with the reason beside it, so
that nothing typed is lost; what can be read is given back to be stored.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import streamlit as st

from stationflow.model.schema.columns import Kind
from stationflow.ui.grids.grid_columns import read, shown_number, shown_time
from stationflow.ui.text import plain
from stationflow.units import TimeUnit


@dataclass(slots=True)
class Fields:
    """The fields of one record, and what was changed in them.

    Attributes
    ----------
    name
        Name of the record in the session: each field's key begins with it.
    record
        The record as the store has it.
    changes
        New values by field, filled while the page is drawn.
    """

    name: str
    record: Any
    changes: dict[str, Any] = field(default_factory=dict)

    def text(self, name: str, label: str, help: str | None = None) -> None:
        """Show a field for free text."""
        self._typed(name, label, getattr(self.record, name), lambda text: text, help)

    def number(
        self,
        name: str,
        label: str,
        kind: Kind = Kind.NUMBER,
        *,
        lowest: int = 0,
        help: str | None = None,
    ) -> None:
        """Show a field for a number, empty for none."""
        shown = shown_number(getattr(self.record, name))
        self._typed(name, label, shown, lambda t: read(t, kind, lowest=lowest) if t else None, help)

    def time(self, name: str, label: str, unit: TimeUnit, help: str | None = None) -> None:
        """Show a field for a time in `unit`, empty for none."""
        shown = shown_time(getattr(self.record, name), unit)
        self._typed(
            name,
            f"{label} ({unit.label})",
            shown,
            lambda text: read(text, Kind.TIME, unit=unit) if text else None,
            help,
        )

    def choice(
        self, name: str, label: str, options: Sequence[Any], words: Callable[[Any], str]
    ) -> None:
        """Show a field that takes one of a few values."""
        now = getattr(self.record, name)
        values = list(options) if now in options else [now, *options]
        new = st.selectbox(
            label, values, index=values.index(now), format_func=words, key=self._key(name, now)
        )
        self._note(name, now, new)

    def answer(self, name: str, label: str) -> None:
        """Show a field that is yes, no or not stated."""
        words = {None: "not stated", True: "yes", False: "no"}
        self.choice(name, label, tuple(words), lambda value: words[value])

    def switch(self, name: str, label: str, help: str | None = None) -> None:
        """Show a field that is on or off."""
        now = getattr(self.record, name)
        new = st.checkbox(label, value=now, help=help, key=self._key(name, now))
        self._note(name, now, new)

    def several(
        self,
        name: str,
        label: str,
        options: Sequence[str],
        words: Callable[[str], str] = str,
        *,
        is_open: bool = False,
        help: str | None = None,
    ) -> None:
        """Show a field that takes several values; with `is_open` new ones can be typed."""
        now: tuple[str, ...] = getattr(self.record, name)
        known = list(dict.fromkeys((*now, *options)))
        new = st.multiselect(
            label,
            known,
            default=list(dict.fromkeys(now)),
            format_func=words,
            accept_new_options=is_open,
            placeholder="none",
            help=help,
            key=self._key(name, now),
        )
        if set(new) != set(now):
            self.changes[name] = tuple(new)

    def _typed(
        self,
        name: str,
        label: str,
        now: str,
        judge: Callable[[str], Any],
        help: str | None,
    ) -> None:
        """Show a field that is typed; a text that cannot be read stays, with the reason."""
        typed = st.text_input(label, value=now, help=help, key=self._key(name, now)).strip()
        if typed == now.strip():
            return
        try:
            self._note(name, getattr(self.record, name), judge(typed))
        except ValueError as problem:
            st.error(plain(f"{label}: {problem} It was left as it was."))

    def _key(self, name: str, now: Any) -> str:
        """Return the key of a field: another one when the stored value is another."""
        return f"{self.name}.{name}.{now!r}"

    def _note(self, name: str, now: Any, new: Any) -> None:
        """Note a value that differs from what is stored."""
        if new != now:
            self.changes[name] = new
