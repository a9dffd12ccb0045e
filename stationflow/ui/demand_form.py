"""The form for demand, working days, and what may be done when demand outgrows the line."""

from dataclasses import replace
from typing import Any

import streamlit as st

from stationflow.model import Calendar, Demand, Period, Product, ReachOptions, Weekday
from stationflow.storage import Draft
from stationflow.ui import editing

REACH_FIELDS = {
    "overtime_limit_h": "Overtime allowed by law and agreement (h a week)",
    "overtime_cost": "Cost of one overtime hour of the line",
    "shift_cost": "Cost of a further shift a week",
    "line_cost": "Cost of a further copy of the line a week",
}


def demand_form(draft: Draft) -> None:
    """Show the form and store what is entered."""
    form = editing.form("pace.demand", draft, f"pace.quantity.{draft.product.code}")
    product = form.base.product
    key = f"{product.code}{form.suffix}"
    with st.form("pace.demand"):
        demand = _demand(product, key)
        calendar = _days(product, key)
        with st.expander("What may be done when demand outgrows the line, and what it costs"):
            reach = _reach(product, key)
        if st.form_submit_button("Store the demand", type="primary", key="pace.store"):
            edited = replace(product, demand=demand, calendar=calendar, reach=reach)
            if editing.save(form.base, edited):
                st.rerun()


def _demand(product: Product, code: str) -> Demand:
    """Ask for the demand."""
    demand = product.demand
    left, right = st.columns(2)
    quantity = left.number_input(
        "Good units wanted",
        min_value=0.0,
        value=demand.quantity,
        format="%g",
        key=f"pace.quantity.{code}",
    )
    period = right.selectbox(
        "in each", list(Period), list(Period).index(demand.period), key=f"pace.period.{code}"
    )
    yield_share = left.number_input(
        "Yield (share)",
        *_share_limits(demand.yield_share),
        demand.yield_share,
        format="%g",
        key=f"pace.yield.{code}",
        help="Share of the started units that become good in the end: 0.98 for 98 %.",
    )
    availability = right.number_input(
        "Availability (share)",
        *_share_limits(demand.availability),
        demand.availability,
        format="%g",
        key=f"pace.availability.{code}",
        help="Share of the working time the line really runs; planned stops belong to the shifts.",
    )
    return replace(
        demand,
        quantity=quantity,
        period=period or demand.period,
        yield_share=yield_share,
        availability=availability,
    )


def _share_limits(now: float) -> tuple[float, float]:
    """Return lowest and highest entry: 0 and 1, or what a file brought in from outside them.

    Findings name such a share; the page has to open with it.
    """
    return min(0.0, now), max(1.0, now)


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


def _reach(product: Product, code: str) -> ReachOptions:
    """Ask what overtime, shifts and lines are allowed and cost."""
    entered: dict[str, Any] = {
        field: st.number_input(
            label,
            min_value=0.0,
            value=getattr(product.reach, field),
            format="%g",
            key=f"pace.{field}.{code}",
        )
        for field, label in REACH_FIELDS.items()
    }
    return replace(product.reach, **entered)
