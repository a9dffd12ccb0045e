"""Single fields of a record on a page: each change is stored at once, like a cell of a table.

A field shows what is stored. What is entered is stored before any page is drawn, so that who goes
on elsewhere loses nothing. What cannot be read stays in the field with the reason beside it.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import streamlit as st

from stationflow.model import Product
from stationflow.model.schema.columns import NUMBERS, Column, Kind, Table
from stationflow.ui import show
from stationflow.ui.grids.grid_columns import known_names, label_of, read_written, shown_value
from stationflow.ui.text import plain
from stationflow.units import TimeUnit

SHOWN = "fields.shown"
"""What each field shows, by its name, and how often it was drawn afresh."""


def stored_at_once(
    name: str,
    now: Any,
    store: Callable[[Any], bool],
    meant: Callable[[Any], Any] = lambda entered: entered,
    shown_as: Callable[[Any], Any] = lambda value: value,
) -> dict[str, Any]:
    """Return what a widget takes so that what is entered in it is stored before a page is drawn.

    Parameters
    ----------
    name
        Of the field, in the session.
    now
        What is stored. When it is not what was entered here, the widget is drawn afresh: under a
        key it never had, for a browser may keep what was entered under an old one. Else it lives
        on, with what is being typed in it already.
    store
        Is called with a value; returns whether it is in the store now.
    meant, shown_as
        The value that is entered, or ValueError; what the widget shows of a value.
    """
    shown: dict[str, tuple[Any, int]] = st.session_state.setdefault(SHOWN, {})
    was, turn = shown.get(name, (now, 0))
    turn += was != now
    shown[name] = (now, turn)
    key = f"{name}.{turn}"

    @show.last_door()  # the page is drawn all the same
    def take() -> None:
        entered = st.session_state.to_dict()[key]  # until it is stored no newer run may cut in
        try:
            value = meant(entered)
        except ValueError:  # the page says why
            return
        if store(value):
            is_as_entered = shown_as(value) == entered
            shown[name] = (value if is_as_entered else take, turn)  # no value: drawn afresh

    return {"key": key, "on_change": take}


@dataclass(frozen=True, slots=True)
class Fields:
    """The fields of one record."""

    name: str  # each field's key in the session begins with it
    record: Any  # as the store has it
    store: Callable[[str, Any], bool]
    """Is called with the name of a field and its new value; returns whether it is in the store."""

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
        label = label_of(column, column.form, unit)
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
            st.checkbox(label, value=now, help=help, **self._widget(name))
        else:
            self._text(table, column, label, unit)

    def _text(self, table: Table, column: Column, label: str, unit: TimeUnit) -> None:
        """Show a field for a number or a text."""
        assert column.form is not None
        name = column.field
        now = getattr(self.record, name)
        is_number = column.kind in NUMBERS

        def meant(typed: str) -> Any:
            text = typed.strip()
            if not is_number:
                return text
            return read_written(text, column, unit) if text else table.usual(column)

        def shown_as(value: Any) -> str:
            return shown_value(column, value, unit) if is_number else value

        widget = self._widget(name, meant, shown_as)
        typed = st.text_input(label, value=shown_as(now), help=column.form.help, **widget)
        if typed.strip() != shown_as(now).strip():
            try:
                meant(typed)
            except ValueError as problem:  # the text stays, with the reason
                st.error(plain(f"{label}: {problem} It was left as it was."))

    def _choice(self, name: str, label: str, words: Mapping[Any, str]) -> None:
        """Show a field that takes one of a few values, each with its words."""
        now = getattr(self.record, name)
        shown = words if now in words else {now: str(now), **words}
        values = list(shown)
        st.selectbox(label, values, values.index(now), shown.__getitem__, **self._widget(name))

    def _several(self, name: str, label: str, options: Sequence[str], **look: Any) -> None:
        """Show a field that takes several values; `look` is as for `st.multiselect`."""
        now: tuple[str, ...] = getattr(self.record, name)
        known, chosen = list(dict.fromkeys((*now, *options))), list(dict.fromkeys(now))
        widget = self._widget(name, tuple, list)
        st.multiselect(label, known, chosen, placeholder="none", **widget, **look)

    def _widget(self, name: str, *reading: Callable[[Any], Any]) -> dict[str, Any]:
        """Return what the widget of a field takes; `reading`: see `stored_at_once`."""
        now = getattr(self.record, name)
        return stored_at_once(f"{self.name}.{name}", now, partial(self.store, name), *reading)
