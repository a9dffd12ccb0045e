"""What stands below the figures of a plan: chart, board, stations, tasks, diagram, findings.

Only the open tab is drawn, and opening another draws nothing else of the page anew.
"""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any, TypeVar

import streamlit as st

from stationflow.actions.opening.plan_states import PlanState
from stationflow.actions.showing.explaining import Numbers
from stationflow.balancing.load_rows import load_chart_rows
from stationflow.balancing.work import balanced_times
from stationflow.drawing.charts.load_chart import load_chart
from stationflow.drawing.limit_tips import limit_tips
from stationflow.model import by_severity
from stationflow.model.terms import meaning
from stationflow.storage import Draft
from stationflow.ui import show, theme
from stationflow.ui.plans import hand_board_view, rebalance_views
from stationflow.ui.tasks import diagrams
from stationflow.ui.text import plain
from stationflow.units import show_seconds

T = TypeVar("T")
CHART_PX = 330  # with the figures above it, it ends in a window of 800 pixels
LOW_CHART_PX = 262  # and so with the progress of a search above it


@st.fragment
@show.errors()
def tabs(draft: Draft, state: PlanState, numbers: Numbers, chart_px: int = CHART_PX) -> None:
    """Show the open one of the tabs of a plan."""
    plan = state.plan
    show.tabs(
        {
            "Load chart": lambda: _chart(state, numbers, chart_px),
            "Board": lambda: hand_board_view.board(draft, state),
            "Stations": lambda: _stations(state, numbers),
            "Tasks": lambda: _tasks(state, numbers),
            "Precedence diagram": lambda: diagrams.precedence(
                draft, plan.line, height=620, stations=state.result.stations, key="balance.diagram"
            ),
            "Rebalance": lambda: rebalance_views.rebalance_tab(draft, plan),
            "All numbers": lambda: show.opened(
                [*numbers.of_plan(), *numbers.bounds(), *numbers.order()]
            ),
            "Findings": lambda: show.findings(
                by_severity([*state.verdict, *state.result.findings]), nothing="Nothing to say."
            ),
        },
        "balance.tab",
    )


def _chart(state: PlanState, numbers: Numbers, height: int) -> None:
    result, product = state.result, state.judged_by
    names = {task.number: task.name for task in product.tasks_of(result.line)}
    there = numbers.there
    times = there.of_task if there else balanced_times(product, result.line)
    rows = load_chart_rows(result, times, names, turns=there.turns if there else None)
    chart = load_chart(
        rows,
        result.limit,
        product.time_unit,
        height=height,
        inks=theme.chart_inks(),
        tips=limit_tips(product, result.line),
    )
    has_own_width = chart["width"] != "container"  # many stations: moved sideways, not squeezed
    with st.container(key="wide-chart" if has_own_width else None):
        st.vega_lite_chart(
            chart, width="content" if has_own_width else "stretch", key="balance.chart"
        )


def _stations(state: PlanState, numbers: Numbers) -> None:
    """Show the stations as a table; the chosen one opens."""
    result, product = state.result, state.judged_by
    names = {task.number: task.name for task in product.tasks}
    unit = product.time_unit
    limit = result.limit or result.cycle_time
    rows = [
        {
            "Station": station.number,
            "Load": show_seconds(load, unit),
            "Idle": show_seconds(limit - load, unit) if limit >= load else "over",
            "Loaded": round(load / limit, 3) if limit else 0.0,
            "Tasks": "; ".join(f"{n} {names.get(n, '')}".strip() for n in station.tasks),
        }
        for station, load in zip(result.stations, result.loads, strict=True)
    ]
    columns = {
        "Station": st.column_config.NumberColumn(width="small"),
        "Load": show.right(width="small"),
        "Idle": show.right(width="small"),
        "Loaded": st.column_config.ProgressColumn(
            width="small", format="percent", min_value=0.0, max_value=1.0
        ),
        "Tasks": st.column_config.TextColumn(width="large"),
    }
    lifted = [numbers.lifting(station.number) for station in result.stations]
    if any(lifted):  # between the loads and the tasks
        for row, indices in zip(rows, lifted, strict=True):
            row["Lifting index"] = "; ".join(show.number(index, 2) for index in indices)
            row["Tasks"] = row.pop("Tasks")
        about = "Of what one person lifts at the station; above 1 plan two people or an aid."
        columns["Lifting index"] = show.right(width="small", help=about)
    key = f"balance.station.{product.code}.{result.line}"
    known = [station.number for station in result.stations]
    _pickable(rows, "Stations with their load and tasks", columns, known, key)
    show.opened(numbers.station(_choice("Open the numbers of station", known, key)))


def _tasks(state: PlanState, numbers: Numbers) -> None:
    """Show weight and possible stations of each task; the chosen one opens."""
    product, line = state.judged_by, state.plan.line
    listed = numbers.task_rows()
    if not listed:
        st.text("The tasks have errors; the findings say what to cure.")
        return
    names = {task.number: task.name for task in product.tasks_of(line)}
    unit = product.time_unit
    rows = [
        {
            "Task": row.number,
            "Name": names.get(row.number, ""),
            "Time": show_seconds(row.time, unit),
            "Positional weight": show_seconds(row.weight, unit),
            "Station": row.station,
            "Earliest": row.earliest,
            "Latest": row.latest,
        }
        for row in listed
    ]
    number = partial(st.column_config.NumberColumn, width="small")
    columns = {
        "Task": show.small(),
        "Name": st.column_config.TextColumn(width="large"),
        "Time": show.right(width="small"),
        "Positional weight": show.right(width="small", help=meaning("positional weight")),
        "Station": number(),
        "Earliest": number(help="First station the task can be at, by limit and order."),
        "Latest": number(help="Last station it can be at, on so many stations as here."),
    }
    key = f"balance.task.{product.code}.{line}"
    known = [row.number for row in listed]
    alt = "Tasks with positional weight, station, earliest and latest station"
    _pickable(rows, alt, columns, known, key)
    chosen = _choice(
        "Open the numbers of task", known, key, lambda n: plain(f"{n} {names.get(n, '')}")
    )
    show.opened(numbers.task(chosen))


def _pickable(
    rows: Sequence[Mapping[str, Any]],
    alt: str,
    columns: Mapping[str, Any],
    known: Sequence[object],
    key: str,
) -> None:
    """Show a table; what the chosen row stands for is noted under `key`."""

    def take() -> None:
        picked = st.session_state[f"{key}.rows"].selection.rows
        if picked and picked[0] < len(known):
            st.session_state[key] = known[picked[0]]

    show.table(rows, alt, columns, on_select=take, selection_mode="single-row", key=f"{key}.rows")


def _choice(title: str, known: Sequence[T], key: str, named: Callable[[T], str] = str) -> T:
    """Let the engineer choose by keyboard what a row of the table chooses by mouse."""
    if st.session_state.get(key) not in known:
        st.session_state[key] = known[0]
    chosen: T = st.selectbox(title, known, key=key, format_func=named, width=360)
    return chosen
