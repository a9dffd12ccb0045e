"""Pace page: how fast must we go."""

from dataclasses import replace

import streamlit as st

from stationflow.actions import pacing
from stationflow.model import Period, Weekday
from stationflow.ui import detail_tables as tables
from stationflow.ui import editing, pace_views, show

draft = show.product_heading("Pace", "How fast must we go?")
product = draft.product
code = product.code

numbers, entry = st.columns([1, 1], gap="large")
with entry:
    st.subheader("Demand and calendar", anchor=False)
    with st.form("pace.demand"):
        demand, reach = product.demand, product.reach
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
            "Yield: share of started units that become good", 0.0, 1.0, demand.yield_share,
            format="%.4f", key=f"pace.yield.{code}",
        )  # fmt: skip
        availability = right.number_input(
            "Availability: share of the time the line runs", 0.0, 1.0, demand.availability,
            format="%.4f", key=f"pace.availability.{code}",
        )  # fmt: skip
        days = st.pills(
            "Working days", list(Weekday), selection_mode="multi",
            default=list(product.calendar.days), key=f"pace.days.{code}",
        )  # fmt: skip
        with st.expander("What may be done when demand outgrows the line, and what it costs"):
            limit_h = st.number_input(
                "Overtime allowed by law and agreement (h a week)", min_value=0.0,
                value=reach.overtime_limit_h, key=f"pace.overtime_limit.{code}",
            )  # fmt: skip
            cost_h = st.number_input(
                "Cost of one overtime hour of the line", min_value=0.0,
                value=reach.overtime_cost, key=f"pace.overtime_cost.{code}",
            )  # fmt: skip
            shift_cost = st.number_input(
                "Cost of a further shift a week", min_value=0.0,
                value=reach.shift_cost, key=f"pace.shift_cost.{code}",
            )  # fmt: skip
            line_cost = st.number_input(
                "Cost of a further copy of the line a week", min_value=0.0,
                value=reach.line_cost, key=f"pace.line_cost.{code}",
            )  # fmt: skip
        if st.form_submit_button("Store the demand", type="primary", key="pace.store"):
            edited = replace(
                product,
                demand=replace(
                    demand, quantity=quantity, period=period or demand.period,
                    yield_share=yield_share, availability=availability,
                ),
                calendar=replace(
                    product.calendar, days=tuple(d for d in Weekday if d in (days or ()))
                ),
                reach=replace(
                    reach, overtime_limit_h=limit_h, overtime_cost=cost_h,
                    shift_cost=shift_cost, line_cost=line_cost,
                ),
            )  # fmt: skip
            if editing.save(draft, edited):
                st.rerun()
    pace_views.calendar_tables(draft)

with numbers:
    st.subheader("The pace of each line", anchor=False)
    paces = pacing.paces(product)
    pace_views.pace_metrics(product, paces)
    pace_views.pace_table(product, paces)
    st.subheader("Ways to reach the demand", anchor=False)
    pace_views.ways(product)
    show.findings(pacing.findings(product), nothing="The pace can be computed.")

st.subheader("Lines and models", anchor=False)
lines = tables.line_table(product)
st.caption(lines.help)
editing.table(
    f"pace.{code}.lines", draft, lines, product.lines,
    lambda edit: pacing.with_lines(product, edit.records, edit.came_from), height="content",
)  # fmt: skip
st.caption(tables.MODEL_TABLE.help)
editing.table(
    f"pace.{code}.models", draft, tables.MODEL_TABLE, product.models,
    lambda edit: pacing.with_models(product, edit.records, edit.came_from), height="content",
)  # fmt: skip
show.next_step("balance", "Balance")
