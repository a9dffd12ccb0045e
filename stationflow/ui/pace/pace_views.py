"""What the Pace page shows: the pace of each line, its calendar, ways to reach a demand."""

import math
from collections.abc import Sequence
from dataclasses import replace

import streamlit as st

from stationflow.actions.opening.opened import Opened
from stationflow.actions.showing import pacing
from stationflow.balancing.explained.capacity_explained import capacity_numbers
from stationflow.editing.renaming import with_list
from stationflow.model import Explained, Product
from stationflow.model.references import Thing
from stationflow.model.schema.tables import TABLE
from stationflow.model.terms import meaning
from stationflow.pace.reach import ways_to_reach
from stationflow.pace.takt import LinePace
from stationflow.storage import Draft
from stationflow.ui import show
from stationflow.ui.grids import detail_tables as tables
from stationflow.ui.grids import stored_edits
from stationflow.ui.text import plain
from stationflow.units import TimeUnit, half_up, seconds_in_unit, show_seconds

TITLES = {
    "good-units-made-per-week": "Made a week",
    "workers": "Workers at least",
    "overtime": "Overtime a week",
    "further-shifts": "Further shifts",
    "further-lines": "Further lines",
}
"""What stands above each figure of the ways to reach a demand, by the key of the number."""


def pace_numbers(product: Product, pace: LinePace) -> None:
    """Show the pace of one line, each figure ready to be opened."""
    unit = product.time_unit
    opened = {number.key: number for number in pace.numbers}

    def box(title: str, text: str, key: str) -> show.NumberBox:
        return show.NumberBox(
            title=title, text=text, numbers=[opened[key]] if key in opened else ()
        )

    def time(title: str, time_s: float | None, key: str) -> show.NumberBox:
        return box(title, "-" if time_s is None else _pace_time(time_s, unit), key)

    def each_week(title: str, key: str) -> show.NumberBox:
        value = opened[key].value if key in opened else None
        return box(title, "-" if value is None else _units(value), key)

    show.number_row(
        [
            time("Takt time", pace.takt_time_s, "takt-time"),
            time("Operating takt", pace.operating_takt_s, "operating-takt"),
            time("Station time", pace.station_time_s, "station-time"),
        ],
        "pace.figures",
        columns=3,
    )
    working = opened.get("working-time")
    rest = [each_week("Good units a week", "good-units-per-week")]
    rest.append(each_week("Starts a week", "starts-per-week"))
    if working is not None:
        shown = f"{half_up((working.value or 0.0) / 3600, 1)} h"
        rest.insert(0, show.NumberBox(title="Working time", text=shown, numbers=[working]))
    show.number_row(rest, "pace.figures", columns=3, small=True)


def pace_table(product: Product, paces: Sequence[LinePace]) -> None:
    """Show the pace of all lines side by side, where there are several."""
    if len(paces) < 2:
        return
    unit = product.time_unit
    labels = {line.name: line.label for line in product.lines}
    st.dataframe(
        [
            {
                "Line": labels[pace.line],
                "Takt time": _pace_time(pace.takt_time_s, unit) if pace.takt_time_s else "-",
                "Operating takt": (
                    _pace_time(pace.operating_takt_s, unit) if pace.operating_takt_s else "-"
                ),
                "Station time": _pace_time(pace.station_time_s, unit)
                if pace.station_time_s
                else "-",
                "Starts a week": (
                    "-" if pace.starts_per_week is None else _units(pace.starts_per_week)
                ),
            }
            for pace in paces
        ],
        hide_index=True,
        height="content",
        column_config={
            "Takt time": st.column_config.TextColumn(alignment="right", help=meaning("takt time")),
            "Operating takt": st.column_config.TextColumn(
                alignment="right", help=meaning("operating takt")
            ),
            "Station time": st.column_config.TextColumn(
                alignment="right", help=meaning("station time")
            ),
            "Starts a week": st.column_config.TextColumn(alignment="right"),
        },
        alt="Pace of every line",
    )


def _pace_time(time_s: float, unit: TimeUnit) -> str:
    """Return a time of the pace as text; one that would be rounded to nothing is not called 0."""
    least = 10.0**-unit.decimals
    is_tiny = 0 < seconds_in_unit(time_s, unit) < least
    return f"under {least:g} {unit.label}" if is_tiny else show_seconds(time_s, unit)


def _units(units: float) -> str:
    """Return a number of units a week as text; a mean may end in tenths."""
    decimals = 0 if units == round(units) else 1
    return f"{units:,.{decimals}f}".replace(",", " ")


def ways(opened: Opened) -> None:
    """Show whether the demand is reached, and what would reach it, at the pace the line holds."""
    product = opened.product
    cycle_time_s = pacing.cycle_in_force_s(opened)
    found = ways_to_reach(product, cycle_time_s)
    if not found:
        st.text("Enter demand and calendar to see the ways to reach it.")
        return
    numbers = capacity_numbers(product, cycle_time_s)
    if cycle_time_s is None:  # at its operating takt a line reaches every demand
        st.text(
            "Whether the line reaches the demand shows once a plan is in force: what its slowest "
            "station takes is then set against the demand."
        )
        _boxes([number for number in numbers if number.key == "workers"])
        show.page_link("balance", "Balance the line")
        return
    shown = show_seconds(cycle_time_s, product.time_unit)
    st.caption(
        f"At the cycle time of the plan in force, {shown}: its slowest station plus repositioning."
    )
    _boxes([*numbers, *(way.number for way in found)])
    st.markdown("\n".join(f"- {plain(way.words)}" for way in found))


def _boxes(numbers: Sequence[Explained]) -> None:
    """Show what a line makes and needs, each figure ready to be opened."""
    show.number_row(
        [show.NumberBox(title=TITLES[n.key], text=_amount(n), numbers=[n]) for n in numbers],
        "pace.ways",
        columns=3,
        small=True,
    )


def _amount(number: Explained) -> str:
    """Return what a line makes or needs as text, short."""
    if number.value is None:
        return "-"
    if number.key == "overtime":  # shown rounded up: the hours shown must be enough
        return f"{math.ceil(number.value * 10) / 10:g} h"
    return f"{number.value:,.0f}".replace(",", " ")


def calendar_tables(draft: Draft) -> None:
    """Show the tables of shifts and breaks."""
    product = draft.product
    calendar = product.calendar
    stored_edits.table(
        f"pace.{product.code}.shifts",
        draft,
        tables.detail_table(TABLE["shifts"], product),
        calendar.shifts,
        lambda edit: replace(product, calendar=replace(calendar, shifts=edit.records)),
        height="content",
    )
    if calendar.shifts:
        breaks = tables.break_table(product)
        stored_edits.table(
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
    stored_edits.table(
        f"pace.{product.code}.lines",
        draft,
        tables.detail_table(TABLE["lines"], product),
        product.lines,
        lambda edit: with_list(product, Thing.LINE, edit.records, edit.came_from),
        height="content",
    )
    stored_edits.table(
        f"pace.{product.code}.models",
        draft,
        tables.detail_table(TABLE["models"], product),
        product.models,
        lambda edit: with_list(product, Thing.MODEL, edit.records, edit.came_from),
        height="content",
    )
