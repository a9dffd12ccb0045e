"""The form for demand, working days, and what may be done when demand outgrows the line."""

from dataclasses import dataclass, field, replace
from typing import Any

import streamlit as st

from stationflow.model import Calendar, Demand, Period, Product, ReachOptions, Weekday
from stationflow.storage import Draft
from stationflow.ui import session
from stationflow.ui.grids import stored_edits
from stationflow.ui.text import plain

REACH_FIELDS = {
    "overtime_limit_h": "Overtime allowed by law and agreement (h a week)",
    "overtime_cost": "Cost of one overtime hour of the line",
    "shift_cost": "Cost of a further shift a week",
    "line_cost": "Cost of a further copy of the line a week",
}


def demand_form(draft: Draft) -> None:
    """Show the form and store what is entered."""
    form = stored_edits.form("pace.demand", draft, f"pace.quantity.{draft.product.code}")
    product = form.base.product
    key = f"{product.code}{form.suffix}"
    with st.form("pace.demand"):
        entries = _Entries(key)
        demand = _demand(product, entries)
        calendar = _days(product, key)
        with st.expander("What may be done when demand outgrows the line, and what it costs"):
            reach = _reach(product, entries)
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


def _demand(product: Product, entries: _Entries) -> Demand:
    """Ask for the demand."""
    demand = product.demand
    left, right = st.columns(2)
    quantity = entries.number(left, "Good units wanted", "quantity", demand.quantity)
    period = right.selectbox(
        "in each",
        list(Period),
        list(Period).index(demand.period),
        key=f"pace.period.{entries.code}",
    )
    yield_share = entries.number(
        left,
        "Yield (share)",
        "yield",
        demand.yield_share,
        most=1,
        help="Share of the started units that become good in the end: 0.98 for 98 %.",
    )
    availability = entries.number(
        right,
        "Availability (share)",
        "availability",
        demand.availability,
        most=1,
        help="Share of the working time the line really runs; planned stops belong to the shifts.",
    )
    return replace(
        demand,
        quantity=quantity,
        period=period or demand.period,
        yield_share=demand.yield_share if yield_share is None else yield_share,
        availability=demand.availability if availability is None else availability,
    )


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


def _reach(product: Product, entries: _Entries) -> ReachOptions:
    """Ask what overtime, shifts and lines are allowed and cost."""
    entered = {
        name: entries.number(st, label, name, getattr(product.reach, name))
        for name, label in REACH_FIELDS.items()
    }
    return replace(product.reach, **entered)
