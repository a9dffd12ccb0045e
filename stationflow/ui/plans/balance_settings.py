"""The form of the Balance page: what is asked, and by which method."""

import os
from typing import Any

import streamlit as st

from stationflow.balancing.balance_check import LEAST_MEMORY_MB
from stationflow.balancing.methods import METHODS
from stationflow.balancing.methods.method import MethodInfo
from stationflow.model import BalanceSettings, Direction, FinerGoal, Product
from stationflow.model.schema.cells import plain_number
from stationflow.model.size_limits import MOST_STATIONS
from stationflow.model.terms import meaning
from stationflow.model.way_out import WayOut
from stationflow.ui import session
from stationflow.ui.grids.number_field import number_field
from stationflow.ui.text import plain
from stationflow.units import seconds, seconds_in_unit, show_seconds

PACE, LIMIT, STATIONS, POSSIBLE, EFFICIENT = (
    "Fewest stations at the line's pace",
    "Fewest stations for a limit I give",
    "Shortest cycle for a number of stations",
    "Is it possible with so many stations?",
    "Best balance efficiency over a range of stations",
)
SHORTEST, LONGEST = 0.001, 1e9  # limits of a station that can be asked for, in any unit
NO_BREAK = "\N{NO-BREAK SPACE}"
PROVEN, TEXTBOOK = "Best plan, proven", "Textbook rule"
USUAL_WAY = PROVEN
BEST_METHOD = "exact"
TEXTBOOK_METHODS = [name for name in METHODS if name != BEST_METHOD]
THEN = {
    FinerGoal.SMOOTHEST: "the smoothest",
    FinerGoal.LEAST_EQUIPMENT: "the cheapest equipment",
}
OPTIONS: tuple[tuple[str, int, tuple[Any, ...], dict[str, Any]], ...] = (
    ("trials", 0, ("Trials", 1, 1_000_000, 1000), {}),
    ("seconds", 0, ("Time limit (s)", 1.0, 3600.0, 60.0), {}),
    ("seed", 1, ("Seed", 0, 2**31 - 1, 1), {}),
    ("cores", 0, ("Cores", 1, os.cpu_count() or 1, 1), {}),
    (
        "memory_mb",
        1,
        ("Memory (MiB)", LEAST_MEMORY_MB, 1_048_576, 2048),
        {
            "help": "The search keeps within this memory; the result says when it was reached.",
        },
    ),
)
"""The numbers a method may use, each with its column, its label, limits and usual value."""


def ask_settings(
    product: Product, line: str, station_time_s: float | None
) -> BalanceSettings | None:
    """Show the form's fields and return what they say; None: a number in them cannot be taken.

    `station_time_s` is the station time of the line's own pace in seconds, or None.
    """
    unit, place = product.time_unit, f"{product.code}.{line}"
    goals = [PACE, LIMIT, STATIONS, POSSIBLE, EFFICIENT]
    goal = st.radio("What is asked", goals, **session.kept("balance.goal", PACE))
    if goal == PACE:
        shown = show_seconds(station_time_s, unit) if station_time_s else "not known yet"
        # The number and its unit stay on one line.
        st.text(f"Limit: the station time of the line, {shown.replace(' ', NO_BREAK)}.")
    asked: dict[str, Any] = {}
    if goal in (LIMIT, POSSIBLE):
        usual = round(seconds_in_unit(station_time_s or 60.0, unit), 3)
        limit = number_field(
            f"Limit of a station ({unit.label})",
            SHORTEST,
            LONGEST,
            min(max(usual, SHORTEST), LONGEST),
            key=f"balance.limit.{place}",
            help=meaning("limit"),
        )
        asked["limit"] = None if limit is None else seconds(limit, unit)
    if goal in (STATIONS, POSSIBLE):
        asked["stations"] = number_field(
            "Number of stations", 1, MOST_STATIONS, 5, key=f"balance.stations.{place}"
        )
    if goal == EFFICIENT:
        asked |= _range(place)
    st.segmented_control(
        "Method", [PROVEN, TEXTBOOK], width="stretch", **session.kept("balance.way", USUAL_WAY)
    )
    name = chosen_method()
    if name != BEST_METHOD:
        name = st.selectbox(
            "Rule",
            TEXTBOOK_METHODS,
            format_func=lambda n: METHODS[n].title,
            **session.kept("balance.method", TEXTBOOK_METHODS[0]),
        )
        st.caption(plain(METHODS[name].source))
    asked |= _options(METHODS[name])
    asked["then"] = tuple(
        st.multiselect(
            "Then, among the best plans",
            list(FinerGoal),
            format_func=THEN.__getitem__,
            help="One after the other, in this order; a constraint solver looks for it.",
            **session.kept("balance.then", []),
        )
    )
    return None if None in asked.values() else BalanceSettings(method=name, **asked)


def chosen_method() -> str:
    """Return the method that is chosen in the form."""
    if st.session_state.get("balance.way") != TEXTBOOK:
        return BEST_METHOD
    chosen: str = st.session_state.get("balance.method", TEXTBOOK_METHODS[0])
    return chosen


def ask_for(product: Product, line: str, way: WayOut) -> None:
    """Put into the form what a way out asks for instead."""
    unit, place = product.time_unit, f"{product.code}.{line}"
    if way.limit is not None:
        if st.session_state.get("balance.goal", PACE) == PACE:
            session.put("balance.goal", LIMIT)
        session.put(f"balance.limit.{place}", plain_number(seconds_in_unit(way.limit, unit)))
    if way.stations is not None:
        is_range = st.session_state.get("balance.goal") == EFFICIENT
        field = "last" if is_range else "stations"
        session.put(f"balance.{field}.{place}", str(way.stations))


def _range(place: str) -> dict[str, Any]:
    st.caption(
        "The plan with the smallest stations x cycle time wins: the highest balance efficiency "
        "on the cycle time."
    )
    left, right = st.columns(2)
    with left:
        first = number_field("Stations from", 1, MOST_STATIONS, 3, key=f"balance.first.{place}")
    with right:
        last = number_field("to", 1, MOST_STATIONS, 8, key=f"balance.last.{place}")
    if first is None or last is None:
        return {"stations": None}
    if last < first:
        st.warning(
            f"The range runs from {first} to {last} stations; it is read from {last} to {first}."
        )
    return {"stations_from": min(first, last), "stations": max(first, last)}


def _options(method: MethodInfo) -> dict[str, Any]:
    options: dict[str, Any] = {}
    if "direction" in method.uses:
        chosen = st.segmented_control(
            "Direction",
            [Direction.BOTH, Direction.FORWARDS, Direction.BACKWARDS],
            format_func=lambda d: d.value,
            help="From which end the stations are filled; of both, the better plan is kept.",
            **session.kept("balance.direction", Direction.BOTH),
        )
        options["direction"] = chosen or Direction.BOTH
    columns = st.columns(2)
    asked = method.uses - {"seconds"} if "trials" in method.uses else method.uses
    for name, column, (label, least, most, usual), look in OPTIONS:
        if name in asked:
            value = method.seconds or usual if name == "seconds" else usual
            with columns[column]:
                key = f"balance.{name}"
                options[name] = number_field(label, least, most, value, key=key, **look)
    return options
