"""Single fields of a record on a page: each change is stored at once, like a cell of a table.

A field shows what is stored. What cannot be read stays in it with the reason beside it, so
that nothing typed is lost; what can be read is given back to be stored.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import streamlit as st

from stationflow.model import Product
from stationflow.model.schema.columns import NUMBERS, Column, Kind, Table
from stationflow.ui.grids.grid_columns import known_names, label_of, read_number, shown_value
from stationflow.ui.text import plain


@dataclass(slots=True)
class Fields:
    """The fields of one record, and what was changed in them."""

    name: str  # each field's key in the session begins with it
    record: Any  # as the store has it
    changes: dict[str, Any] = field(default_factory=dict)  # filled while the page is drawn

    def form(
        self,
        table: Table,
        product: Product,
        numbers: Sequence[str] = (),
        without: Collection[str] = (),
    ) -> None:
        """Show the fields of a record where their columns say; `numbers` of tasks are offered.

        Fields of `without` are shown only where something is entered in them.
        """
        shown = sorted(
            (
                (c.form.at, c)
                for c in table.columns
                if c.form
                and (c.field not in without or getattr(self.record, c.field) != table.usual(c))
            ),
            key=lambda each: each[0],
        )
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
        name, unit = column.field, product.time_unit
        now = getattr(self.record, name)
        label, key = label_of(column, column.form, unit), self._key(name, now)
        help = column.form.help
        if column.form.is_chosen:
            names = ["", *known_names(table, column, product)]
            self._choice(name, label, {each: each or "none" for each in names})
        elif column.kind == Kind.KEYS:
            self._several(name, label, numbers, help=help)
        elif column.kind == Kind.NAMES:
            names = known_names(table, column, product, used=True)
            self._several(name, label, names, accept_new_options=True, help=help)
        elif column.kind == Kind.CHOICE:
            words: dict[Any, str] = {w: w.replace("-", " ") for w in column.words or ()}
            open = {None: "not stated"} if table.usual(column) is None else {}
            self._choice(name, label, {**open, **words, **(column.titles or {})})
        elif column.kind == Kind.YES_NO and table.usual(column) is None:
            self._choice(name, label, {None: "not stated", True: "yes", False: "no"})
        elif column.kind == Kind.YES_NO:
            self._note(name, st.checkbox(label, value=now, help=help, key=key))
        else:
            is_number = column.kind in NUMBERS
            shown = shown_value(column, now, unit) if is_number else now
            typed = st.text_input(label, value=shown, help=help, key=key).strip()
            if typed == shown.strip():
                return
            if not is_number:
                self._note(name, typed)
                return
            try:
                number = read_number(typed, column, unit) if typed else table.usual(column)
            except ValueError as problem:  # the text stays, with the reason
                st.error(plain(f"{label}: {problem} It was left as it was."))
            else:
                self._note(name, number)

    def _choice(self, name: str, label: str, words: Mapping[Any, str]) -> None:
        """Show a field that takes one of a few values, each with its words."""
        now = getattr(self.record, name)
        shown = words if now in words else {now: str(now), **words}
        values, key = list(shown), self._key(name, now)
        new = st.selectbox(label, values, values.index(now), shown.__getitem__, key=key)
        self._note(name, new)

    def _several(self, name: str, label: str, options: Sequence[str], **look: Any) -> None:
        """Show a field that takes several values; `look` is as for `st.multiselect`."""
        now: tuple[str, ...] = getattr(self.record, name)
        known, chosen = list(dict.fromkeys((*now, *options))), list(dict.fromkeys(now))
        key = self._key(name, now)
        new = st.multiselect(label, known, chosen, placeholder="none", key=key, **look)
        if set(new) != set(now):
            self.changes[name] = tuple(new)

    def _key(self, name: str, now: Any) -> str:
        """Return the key of a field: another one when the stored value is another."""
        return f"{self.name}.{name}.{now!r}"

    def _note(self, name: str, new: Any) -> None:
        if new != getattr(self.record, name):
            self.changes[name] = new
