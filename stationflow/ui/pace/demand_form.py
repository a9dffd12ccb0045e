"""The form for demand, working days, and what may be done when demand outgrows the line."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import streamlit as st

from stationflow.model import Calendar, Product, Weekday
from stationflow.model.schema.columns import Kind, Table
from stationflow.model.schema.tables import TABLE
from stationflow.storage import Draft
from stationflow.ui import session
from stationflow.ui.grids import stored_edits
from stationflow.ui.text import plain


def demand_form(draft: Draft) -> None:
    """Show the form and store what is entered."""
    form = stored_edits.form("pace.demand", draft, f"pace.quantity.{draft.product.code}")
    product = form.base.product
    key = f"{product.code}{form.suffix}"
    refused: list[str] = []
    with st.form("pace.demand"):
        demand = _record(TABLE["demand"], product.demand, key, st.columns(2), refused)
        calendar = _days(product, key)
        with st.expander("What may be done when demand outgrows the line, and what it costs"):
            reach = _record(TABLE["reach"], product.reach, key, [st], refused)
        for words in refused:
            st.error(plain(words))
        pressed = st.form_submit_button("Store the demand", type="primary", key="pace.store")
        if pressed and not refused:
            edited = replace(product, demand=demand, calendar=calendar, reach=reach)
            if stored_edits.save(form.base, edited):
                session.rerun()


def _record(table: Table, record: Any, code: str, places: Sequence[Any], refused: list[str]) -> Any:
    """Ask for the fields of a record, each where its column says; return the record entered.

    The browser would keep a number beyond its limits to itself, marked red without a word; so
    the fields take every number, and the limits are judged here: the sentence about one goes
    into `refused`, and what is stored stays. What a file brought in from beyond the limits
    stays as it is too: findings name it.
    """
    entered: dict[str, Any] = {}
    for column in table.columns:
        assert column.form is not None
        now, place = getattr(record, column.field), places[column.form.at[0]]
        label, key = column.form.label, f"pace.{column.name}.{code}"
        if column.kind == Kind.CHOICE:
            words = list(column.words or ())
            new = place.selectbox(label, words, words.index(now), key=key)
        else:
            help = column.form.help
            new = place.number_input(label, value=now, format="%g", key=key, help=help)
            is_share = column.kind == Kind.SHARE
            if new not in (None, now) and (new < 0 or (is_share and new > 1)):
                rule = "from 0 to 1" if is_share else "of 0 or more"
                kept = "nothing is stored there" if now is None else f"{now:g} stays stored"
                refused.append(
                    f"{label}: {new:g} is not stored. Enter a number {rule}; until then the form "
                    f"stores nothing, and {kept}."
                )
                new = now
        entered[column.field] = now if new is None and table.usual(column) is not None else new
    return replace(record, **entered)


def _days(product: Product, code: str) -> Calendar:
    days = st.pills(
        "Working days",
        list(Weekday),
        selection_mode="multi",
        default=list(product.calendar.days),
        format_func=lambda day: day.value.capitalize(),
        key=f"pace.days.{code}",
    )
    return replace(product.calendar, days=tuple(d for d in Weekday if d in (days or ())))
