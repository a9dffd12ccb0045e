"""What the Pace page shows: the pace of each line, its calendar, ways to reach a demand."""

import math
from collections.abc import Sequence

import streamlit as st

from stationflow.actions.opening.opened import Opened
from stationflow.actions.showing import pacing
from stationflow.balancing.explained.capacity_explained import capacity_numbers
from stationflow.editing.two_editors import with_value
from stationflow.model import Explained, Product
from stationflow.model.explanation import key_word
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


TIMES = {
    "Takt time": "takt_time_s",
    "Operating takt": "operating_takt_s",
    "Station time": "station_time_s",
}
"""The times of a pace, each with its field."""


def pace_numbers(product: Product, pace: LinePace) -> None:
    """Show the pace of one line, each figure ready to be opened."""
    opened = {number.key: number for number in pace.numbers}

    def box(title: str, text: str, key: str) -> show.NumberBox:
        return show.NumberBox(title, text, [opened[key]] if key in opened else ())

    def each_week(title: str, key: str) -> show.NumberBox:
        return box(title, _units(opened[key].value if key in opened else None), key)

    times = [
        box(title, _pace_time(getattr(pace, field), product.time_unit), key_word(title))
        for title, field in TIMES.items()
    ]
    show.number_row(times, "pace.figures", columns=3)
    rest = [
        each_week("Good units a week", "good-units-per-week"),
        each_week("Starts a week", "starts-per-week"),
    ]
    if working := opened.get("working-time"):
        shown = f"{half_up((working.value or 0.0) / 3600, 1)} h"
        rest.insert(0, show.NumberBox("Working time", shown, [working]))
    show.number_row(rest, "pace.figures", columns=3, small=True)


def pace_table(product: Product, paces: Sequence[LinePace]) -> None:
    """Show the pace of all lines side by side, where there are several."""
    if len(paces) < 2:
        return
    labels, unit = {line.name: line.label for line in product.lines}, product.time_unit
    rows = [
        {
            "Line": labels[pace.line],
            **{title: _pace_time(getattr(pace, field), unit) for title, field in TIMES.items()},
            "Starts a week": _units(pace.starts_per_week),
        }
        for pace in paces
    ]
    columns = {title: show.right(help=meaning(title.lower())) for title in TIMES}
    show.table(rows, "Pace of every line", columns | {"Starts a week": show.right()})


def _pace_time(time_s: float | None, unit: TimeUnit) -> str:
    """Return a time of the pace as text; one that would be rounded to nothing is not called 0."""
    if time_s is None:
        return "-"
    least = 10.0**-unit.decimals
    is_tiny = 0 < seconds_in_unit(time_s, unit) < least
    return f"under {least:g} {unit.label}" if is_tiny else show_seconds(time_s, unit)


def _units(units: float | None) -> str:
    """Return a number of units a week as text; a mean may end in tenths."""
    if units is None:
        return "-"
    decimals = 0 if units == round(units) else 1
    return f"{units:,.{decimals}f}".replace(",", " ")


def ways(opened: Opened) -> None:
    """Show whether the demand is reached, and what would reach it, at the pace the line holds."""
    product = opened.product
    cycle_time_s, state = pacing.cycle_in_force_s(opened), pacing.state_in_force(opened)
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
        return
    shown = show_seconds(cycle_time_s, product.time_unit)
    st.caption(
        f"At the cycle time of the plan in force, {shown}: its slowest station plus repositioning."
    )
    if state is not None and state.is_out_of_date:
        st.caption(f"The plan in force is out of date. {plain(state.judged_words)}")
    _boxes([*numbers, *(way.number for way in found)])
    st.markdown("\n".join(f"- {plain(way.words)}" for way in found))


def _boxes(numbers: Sequence[Explained]) -> None:
    """Show what a line makes and needs, each figure ready to be opened."""
    show.number_row(
        [show.NumberBox(TITLES[n.key], _amount(n), [n]) for n in numbers],
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
    product, calendar = draft.product, draft.product.calendar
    stored_edits.product_table(draft, "shifts", "content")
    if calendar.shifts:
        stored_edits.table(
            f"breaks.{product.code}",
            draft,
            tables.break_table(product),
            tables.breaks_of(calendar.shifts),
            lambda edit: with_value(
                product, ("calendar", "shifts"), tables.with_breaks(calendar.shifts, edit.records)
            ),
            height="content",
        )
