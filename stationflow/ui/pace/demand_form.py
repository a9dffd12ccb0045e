"""The fields for demand, working days, and what may be done when demand outgrows the line.

Each change is stored at once, before any page is drawn: who types and goes on to another page
loses nothing.
"""

from collections.abc import Callable
from functools import partial
from typing import Any

import streamlit as st

from stationflow.editing.two_editors import with_value
from stationflow.model import Product, Weekday
from stationflow.model.schema.columns import Column, Kind, Table
from stationflow.model.schema.tables import TABLE
from stationflow.storage import Draft
from stationflow.ui.grids import stored_edits
from stationflow.ui.grids.grid_columns import read, shown_number
from stationflow.ui.text import plain


def demand_form(draft: Draft) -> None:
    """Show the fields."""
    places = st.columns(2)
    _record(TABLE["demand"], draft, draft.product.demand, places)
    _days(draft)
    with st.expander("What may be done when demand outgrows the line, and what it costs"):
        _record(TABLE["reach"], draft, draft.product.reach, [st])


def _record(table: Table, draft: Draft, record: Any, places: Any) -> None:
    """Show the fields of a record, each where its column says."""
    for column in table.columns:
        assert column.form is not None
        now, place = getattr(record, column.field), places[column.form.at[0]]
        key = f"pace.{column.name}.{draft.product.code}"
        take = partial(_take, draft, table, column, key)
        if column.kind == Kind.CHOICE:
            _show(key, now, now)
            words = list(column.words or ())
            place.selectbox(column.form.label, words, words.index(now), key=key, on_change=take)
            continue
        _show(key, now, shown_number(now))
        # Of two runs that overlap, one for the page that is left, the second may know the field by
        # its value at the beginning only: an empty one would be stored.
        shown = st.session_state[key]
        label, help = column.form.label, column.form.help
        text = place.text_input(label, shown, key=key, on_change=take, help=help)
        try:
            _read(table, column, text, now)
        except ValueError as problem:  # the text stays, with the reason
            stays = "nothing is stored there" if now is None else f"{now:g} stays stored"
            place.error(plain(f"{column.form.label}: {problem} Until then {stays}."))


def _show(key: str, stored: Any, shown: Any) -> None:
    """Let a field show what is stored, or what was typed there and could not be taken."""
    if st.session_state.get(f"{key}.of", _show) != stored:
        st.session_state[f"{key}.of"] = stored
        st.session_state[key] = shown
        st.session_state.pop(f"{key}.typed", None)
    elif key not in st.session_state:  # the page was left
        st.session_state[key] = st.session_state.get(f"{key}.typed", shown)


def _read(table: Table, column: Column, text: str, now: Any) -> Any:
    """Return what the text of a field means; ValueError says why it means nothing.

    What a file brought in from beyond the limits stays as it is: findings name it.
    """
    if text.strip() == shown_number(now):
        return now
    number = read(text.strip(), column.kind) if text.strip() else table.usual(column)
    if column.kind == Kind.SHARE and number is not None and number > 1:
        raise ValueError(f"“{text.strip()}” was not taken: enter a share from 0 to 1, or with %.")
    return number


def _take(draft: Draft, table: Table, column: Column, key: str) -> None:
    """Store what was entered in a field; what cannot be read stays in it."""
    entered = st.session_state.to_dict()[key]  # until it is stored no newer run may cut in
    now = getattr(getattr(draft.product, table.path), column.field)
    try:
        value = entered if column.kind == Kind.CHOICE else _read(table, column, entered, now)
    except ValueError:
        pass  # the page says why
    else:
        path = (table.path, column.field)
        _store(draft, key, lambda product: with_value(product, path, value))
    st.session_state[f"{key}.typed"] = entered


def _store(draft: Draft, key: str, edited: Callable[[Product], Product]) -> None:
    """Store the product with one field changed; the field then shows what is stored."""
    if stored_edits.change(draft, edited):
        st.session_state.pop(f"{key}.of", None)  # "480,0" is shown as what it means


def _days(draft: Draft) -> None:
    """Let the engineer choose the working days."""
    calendar = draft.product.calendar
    key = f"pace.days.{draft.product.code}"

    def take() -> None:
        chosen = st.session_state.to_dict()[key] or ()
        days = tuple(day for day in Weekday if day in chosen)
        _store(draft, key, lambda product: with_value(product, ("calendar", "days"), days))

    _show(key, calendar.days, list(calendar.days))
    st.pills(
        "Working days",
        list(Weekday),
        selection_mode="multi",
        default=list(calendar.days),
        format_func=lambda day: day.value.capitalize(),
        key=key,
        on_change=take,
    )
