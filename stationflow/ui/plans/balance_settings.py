"""The form of the Balance page: what is asked, and by which method."""

import os
from collections.abc import Mapping
from typing import Any

import streamlit as st

from stationflow.balancing.methods import METHODS
from stationflow.balancing.methods.method import MethodInfo
from stationflow.model import BalanceSettings, Direction, Product
from stationflow.model.terms import meaning
from stationflow.ui.text import plain
from stationflow.units import seconds, seconds_in_unit, show_seconds

PACE, LIMIT, STATIONS, POSSIBLE, EFFICIENT = (
    "Fewest stations at the line's pace",
    "Fewest stations for a limit I give",
    "Shortest cycle for a number of stations",
    "Is it possible with so many stations?",
    "Best balance efficiency over a range of stations",
)
MOST_STATIONS = 10_000
SHORTEST, LONGEST = 0.001, 1e9  # limits of a station that can be asked for, in any unit
LEAST_MEMORY_MB, MOST_MEMORY_MB = 64, 1_048_576
NO_BREAK = "\N{NO-BREAK SPACE}"
DEFAULT_METHOD = "ranked-positional-weight"


def ask_settings(product: Product, line: str, station_time_s: float | None) -> BalanceSettings:
    """Show the form's fields and return what they say.

    Parameters
    ----------
    station_time_s
        The station time of the line's own pace in seconds, or None.
    """
    goal = st.radio(
        "What is asked", [PACE, LIMIT, STATIONS, POSSIBLE, EFFICIENT], key="balance.goal"
    )
    if goal == PACE:
        shown = (
            show_seconds(station_time_s, product.time_unit) if station_time_s else "not known yet"
        )
        # The number and its unit stay on one line.
        st.text(f"Limit: the station time of the line, {shown.replace(' ', NO_BREAK)}.")
    asked: dict[str, Any] = {}
    if goal in (LIMIT, POSSIBLE):
        unit = product.time_unit
        limit = st.number_input(
            f"Limit of a station ({unit.label})",
            min_value=SHORTEST,
            max_value=LONGEST,
            value=min(
                max(round(seconds_in_unit(station_time_s or 60.0, unit), 3), SHORTEST), LONGEST
            ),
            format="%.3f",
            key=f"balance.limit.{product.code}.{line}",
            help=meaning("limit"),
        )
        asked["limit"] = seconds(limit, unit)
    if goal in (STATIONS, POSSIBLE):
        asked["stations"] = st.number_input(
            "Number of stations", 1, MOST_STATIONS, 5, key=f"balance.stations.{product.code}.{line}"
        )
    if goal == EFFICIENT:
        asked |= _range(product, line)
    name = st.selectbox(
        "Method",
        list(METHODS),
        index=list(METHODS).index(DEFAULT_METHOD),
        format_func=lambda n: METHODS[n].title,
        key="balance.method",
    )
    st.caption(plain(METHODS[name].source))
    return BalanceSettings(method=name, **asked, **_options(METHODS[name]))


def _range(product: Product, line: str) -> dict[str, Any]:
    """Ask for the numbers of stations among which the best is sought."""
    st.caption(
        "The plan with the smallest stations x cycle time wins: the highest balance efficiency "
        "on the cycle time."
    )
    left, right = st.columns(2)
    first = left.number_input(
        "Stations from", 1, MOST_STATIONS, 3, key=f"balance.first.{product.code}.{line}"
    )
    last = right.number_input("to", 1, MOST_STATIONS, 8, key=f"balance.last.{product.code}.{line}")
    if last < first:
        st.warning(
            f"The range runs from {first} to {last} stations; it is read from {last} to {first}."
        )
    return {"stations_from": min(first, last), "stations": max(first, last)}


def _options(method: MethodInfo) -> Mapping[str, Any]:
    """Show the options that the method uses and return their values."""
    options: dict[str, Any] = {}
    if "direction" in method.uses:
        options["direction"] = st.segmented_control(
            "Direction",
            [Direction.BOTH, Direction.FORWARDS, Direction.BACKWARDS],
            default=Direction.BOTH,
            format_func=lambda d: d.value,
            key="balance.direction",
            help="From which end the stations are filled; of both, the better plan is kept.",
        )
    left, right = st.columns(2)
    if "trials" in method.uses:
        options["trials"] = left.number_input("Trials", 1, 1_000_000, 1000, key="balance.trials")
    elif "seconds" in method.uses:
        options["seconds"] = left.number_input(
            "Time limit (s)", 1.0, 3600.0, method.seconds or 60.0, key="balance.seconds"
        )
    if "seed" in method.uses:
        options["seed"] = right.number_input("Seed", 0, 2**31 - 1, 1, key="balance.seed")
    if "cores" in method.uses:
        options["cores"] = left.number_input(
            "Cores", 1, os.cpu_count() or 1, 1, key="balance.cores"
        )
    if "memory_mb" in method.uses:
        options["memory_mb"] = right.number_input(
            "Memory (MiB)",
            LEAST_MEMORY_MB,
            MOST_MEMORY_MB,
            2048,
            step=256,
            key="balance.memory",
            help="The search keeps within this memory; the result says when it was reached.",
        )
    return options
