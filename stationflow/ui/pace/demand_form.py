"""The form for demand, working days, and what may be done when demand outgrows the line."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
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
    with st.form("pace.demand"):
        entries = _Entries(key)
        demand = _record(TABLE["demand"], product.demand, entries, st.columns(2))
        calendar = _days(product, key)
        with st.expander("What may be done when demand outgrows the line, and what it costs"):
            reach = _record(TABLE["reach"], product.reach, entries, [st])
        for words in entries.refused:
            st.error(plain(words))
        if (
            st.form_submit_button("Store the demand", type="primary", key="pace.store")
            and not entries.refused
        ):
            edited = replace(product, demand=demand, calendar=calendar, reach=reach)
            if stored_edits.save(form.base, edited):
                session.rerun()


@dataclass(slots=True)
class _Entries:
    """The number fields of the form, and which of them hold what cannot be.

    The browser would keep a number beyond its limits to itself, marked red without a word; so
    the fields take every number, and the limits are judged here.

    Attributes
    ----------
    code
        What the key of each field ends with.
    refused
        A sentence for each number that cannot be; while there is one, nothing is stored.
    """

    code: str
    refused: list[str] = field(default_factory=list)

    def number(
        self,
        place: Any,
        label: str,
        name: str,
        stored: float | None,
        *,
        most: float | None = None,
        help: str | None = None,
    ) -> float | None:
        """Ask for a number from 0 up to `most`; return what is stored where another is entered.

        What a file brought in from beyond the limits stays as it is: findings name it.
        """
        entered: float | None = place.number_input(
            label, value=stored, format="%g", key=f"pace.{name}.{self.code}", help=help
        )
        if entered is None or entered == stored:
            return entered
        if entered >= 0 and (most is None or entered <= most):
            return entered
        rule = "of 0 or more" if most is None else f"from 0 to {most:g}"
        kept = "nothing is stored there" if stored is None else f"{stored:g} stays stored"
        self.refused.append(
            f"{label}: {entered:g} is not stored. Enter a number {rule}; until then the form "
            f"stores nothing, and {kept}."
        )
        return stored


def _record(table: Table, record: Any, entries: _Entries, places: Sequence[Any]) -> Any:
    """Ask for the fields of a record, each where its column says; return the record entered."""
    entered: dict[str, Any] = {}
    for column in table.columns:
        assert column.form is not None
        now, place = getattr(record, column.field), places[column.form.at[0]]
        if column.kind == Kind.CHOICE:
            words = list(column.words or ())
            key = f"pace.{column.name}.{entries.code}"
            new = place.selectbox(column.form.label, words, words.index(now), key=key)
        else:
            most = 1 if column.kind == Kind.SHARE else None
            label, help = column.form.label, column.form.help
            new = entries.number(place, label, column.name, now, most=most, help=help)
        entered[column.field] = now if new is None and table.usual(column) is not None else new
    return replace(record, **entered)


def _days(product: Product, code: str) -> Calendar:
    """Ask for the working days."""
    days = st.pills(
        "Working days",
        list(Weekday),
        selection_mode="multi",
        default=list(product.calendar.days),
        format_func=lambda day: day.value.capitalize(),
        key=f"pace.days.{code}",
    )
    return replace(product.calendar, days=tuple(d for d in Weekday if d in (days or ())))
