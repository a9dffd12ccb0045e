"""What the Pace page shows: the pace of each line, its calendar, ways to reach a demand."""

from collections.abc import Sequence
from dataclasses import replace

import streamlit as st

from stationflow.actions import pacing
from stationflow.actions.pacing import LinePace
from stationflow.model import Product
from stationflow.storage import Draft
from stationflow.ui import detail_tables as tables
from stationflow.ui import editing, session, show
from stationflow.ui.text import plain
from stationflow.units import show_time


def pace_metrics(product: Product, paces: Sequence[LinePace]) -> None:
    """Show takt time, operating takt and station time of the main line, large."""
    main = product.main_line
    pace = next((p for p in paces if main and p.line == main.name), None)
    if pace is None:
        return
    unit = product.time_unit
    columns = st.columns(3)
    for column, title, time_s in zip(
        columns,
        ("Takt time", "Operating takt", "Station time"),
        (pace.takt_time_s, pace.operating_takt_s, pace.station_time_s),
        strict=True,
    ):
        column.metric(title, "-" if time_s is None else show_time(time_s, unit), border=True)


def pace_table(product: Product, paces: Sequence[LinePace]) -> None:
    """Show the pace of every line, each number ready to be opened."""
    unit = product.time_unit
    labels = {line.name: line.label for line in product.lines}
    st.dataframe(
        [
            {
                "Line": labels[pace.line],
                "Takt time": show_time(pace.takt_time_s, unit) if pace.takt_time_s else "-",
                "Operating takt": (
                    show_time(pace.operating_takt_s, unit) if pace.operating_takt_s else "-"
                ),
                "Station time": show_time(pace.station_time_s, unit)
                if pace.station_time_s
                else "-",
                "Starts a week": (
                    "-" if pace.starts_per_week is None else f"{pace.starts_per_week:.1f}"
                ),
            }
            for pace in paces
        ],
        hide_index=True,
        height="content",
        column_config={
            "Takt time": st.column_config.TextColumn(alignment="right"),
            "Operating takt": st.column_config.TextColumn(alignment="right"),
            "Station time": st.column_config.TextColumn(
                alignment="right", help="The limit of the work at one station of the line."
            ),
            "Starts a week": st.column_config.TextColumn(alignment="right"),
        },
        alt="Pace of every line",
    )
    for pace in paces:
        if pace.numbers:
            with st.expander(f"How the numbers of {plain(labels[pace.line])} come about"):
                show.opened(pace.numbers)


def ways(product: Product) -> None:
    """Show whether the demand is reached, and what would reach it, at the pace the line holds."""
    cycle_time_s = pacing.cycle_time_of_plan(session.store(), product)
    found = pacing.ways(product, cycle_time_s)
    if not found:
        st.text("Enter demand and calendar to see the ways to reach it.")
        return
    if cycle_time_s is None:
        st.caption("At the operating takt; once a plan is in force, at the cycle time it holds.")
    else:
        shown = show_time(cycle_time_s, product.time_unit)
        st.caption(
            f"At the cycle time of the plan in force, {shown}: "
            "its slowest station plus repositioning."
        )
    st.markdown("\n".join(f"- {plain(way.words)}" for way in found))
    with st.expander("How these numbers come about"):
        show.opened(
            [*pacing.capacity_numbers(product, cycle_time_s), *(way.number for way in found)]
        )


def calendar_tables(draft: Draft) -> None:
    """Show the tables of shifts and breaks."""
    product = draft.product
    calendar = product.calendar
    editing.table(
        f"pace.{product.code}.shifts",
        draft,
        tables.SHIFT_TABLE,
        calendar.shifts,
        lambda edit: replace(product, calendar=replace(calendar, shifts=edit.records)),
        height="content",
    )
    if calendar.shifts:
        breaks = tables.break_table(calendar.shifts)
        editing.table(
            f"pace.{product.code}.breaks",
            draft,
            breaks,
            tables.breaks_of(calendar.shifts),
            lambda edit: replace(
                product,
                calendar=replace(
                    calendar, shifts=tables.with_breaks(calendar.shifts, edit.records)
                ),
            ),
            height="content",
        )


def line_tables(draft: Draft) -> None:
    """Show the tables of lines and models."""
    product = draft.product
    editing.table(
        f"pace.{product.code}.lines",
        draft,
        tables.line_table(product),
        product.lines,
        lambda edit: pacing.with_lines(product, edit.records, edit.came_from),
        height="content",
    )
    editing.table(
        f"pace.{product.code}.models",
        draft,
        tables.MODEL_TABLE,
        product.models,
        lambda edit: pacing.with_models(product, edit.records, edit.came_from),
        height="content",
    )
