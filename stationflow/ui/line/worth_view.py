"""What one more buffer place, spare or empty place would bring."""

import streamlit as st

from stationflow.actions.showing.line_showing import LineView
from stationflow.pace.figures import figure
from stationflow.ui import show
from stationflow.ui.text import plain

ORDERS = ("by gain", "by gain for its cost")
LEAST_SHOWN = 0.0005  # units an hour: what is less is written as 0
NOTHING_PAYS = (
    "No place and no spare by itself brings more: the pace that was set is the limit, or several "
    "stations limit alike."
)
NO_OUTPUT = "The output cannot be told yet: the lines need plans and a pace."


def worth(view: LineView) -> None:
    """Show what pays, ranked."""
    told = view.throughput
    if told.output_per_h is None:
        st.info(plain(told.answer) or NO_OUTPUT)
        return
    st.markdown(
        f"By formula the line makes **{figure(told.output_per_h, 2)} good units an hour**"
        + (f"; most likely {told.limiter} limits it." if told.limiter else ".")
    )
    order = st.segmented_control(
        "Ranked", ORDERS, default=ORDERS[0], required=True, key="line.worth.order"
    )
    ranked = told.values_by_cost if order == ORDERS[1] else told.values
    values = [value for value in ranked if abs(value.gain_per_h) >= LEAST_SHOWN]
    if ranked and not any(value.gain_per_h > 0 for value in values):
        st.markdown(NOTHING_PAYS)
    rows = [
        {
            "Rank": f"{rank}",
            "One more": value.what,
            "Where": value.where,
            "Good units/h more": figure(value.gain_per_h, 3),
            "Cost": _cost(value.cost, is_weekly=value.is_weekly),
            "Units for its cost": "-"
            if value.gain_per_cost is None or not value.is_weekly
            else figure(value.gain_per_cost, 3),
        }
        for rank, value in enumerate(values, start=1)
    ]
    if not ranked:
        st.markdown("No cost is entered. Enter costs under *Enter*, or rank by gain.")
    if not rows:
        return
    columns = {"Rank": show.small()}
    columns |= {name: show.right() for name in list(rows[0])[3:]}
    show.table(rows, "What one more of something brings", columns)
    st.caption(
        "Each is tried by itself on the whole line; two together may bring less or more than their "
        "sum. A gain below 0 costs output. What changes nothing is left out."
    )


def _cost(cost: float | None, *, is_weekly: bool) -> str:
    if cost is None:
        return "-"
    return f"{figure(cost, 2)} {'a week' if is_weekly else 'once'}"
