"""Single fields of a record on a page: each change is stored at once, like a cell of a table.

A field shows what is stored. What cannot be read stays in it with the reason beside it, so
that nothing typed is lost; what can be read is given back to be stored.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import streamlit as st

from stationflow.model import Product
from stationflow.model.schema.columns import NUMBERS, Column, Kind, Table
from stationflow.ui.grids.grid_columns import known_names, label_of, read, shown_value
from stationflow.ui.text import plain


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

    def form(self, table: Table, product: Product, numbers: Sequence[str] = ()) -> None:
        """Show the fields of a record where their columns say; `numbers` of tasks are offered."""
        shown = sorted(((c.form.at, c) for c in table.columns if c.form), key=lambda each: each[0])
        widths = {at[0]: c.form.width for at, c in reversed(shown) if c.form}
        weights = [width if isinstance(width, int) else 1 for _, width in sorted(widths.items())]
        is_row = all(row == 0 for (_, row), _ in shown)
        places = st.columns(weights, vertical_alignment="bottom" if is_row else "top")
        for (place, _), column in shown:
            with places[place]:
                self._field(table, column, product, numbers)

    def _field(
        self, table: Table, column: Column, product: Product, numbers: Sequence[str]
    ) -> None:
        """Show one field by the kind of its column."""
        assert column.form is not None
        name, help, unit = column.field, column.form.help, product.time_unit
        label = label_of(column, column.form, unit)
        now = getattr(self.record, name)
        if column.form.is_chosen:
            names = ["", *known_names(table, column, product)]
            self.choice(name, label, names, lambda value: value or "none")
        elif column.kind in NUMBERS:
            self._typed(
                name,
                label,
                shown_value(column, now, unit),
                lambda text: (
                    read(text, column.kind, lowest=column.lowest, unit=unit) if text else None
                ),
                help,
            )
        elif column.kind == Kind.KEYS:
            self.several(name, label, numbers, help=help)
        elif column.kind == Kind.NAMES:
            names = known_names(table, column, product, used=True)
            self.several(name, label, names, is_open=True, help=help)
        elif column.kind == Kind.CHOICE:
            self.choice(name, label, (None, *(column.words or ())), lambda w: w or "not stated")
        elif column.kind == Kind.YES_NO and table.usual(column) is None:
            words = {None: "not stated", True: "yes", False: "no"}
            self.choice(name, label, tuple(words), lambda value: words[value])
        elif column.kind == Kind.YES_NO:
            self._note(
                name, now, st.checkbox(label, value=now, help=help, key=self._key(name, now))
            )
        else:
            self._typed(name, label, now, lambda text: text, help)

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

    def several(
        self,
        name: str,
        label: str,
        options: Sequence[str],
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
