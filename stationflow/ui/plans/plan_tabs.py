"""What stands below the figures of a plan: chart, stations, tasks, diagram, numbers, findings.

Only the open tab is drawn, and opening another draws nothing else of the page anew.
"""

from collections.abc import Callable, Sequence
from typing import TypeVar

import streamlit as st

from stationflow.actions.opening.plan_states import PlanState
from stationflow.actions.showing.explaining import Numbers
from stationflow.balancing.load_rows import load_chart_rows
from stationflow.balancing.work import balanced_times
from stationflow.drawing.charts.load_chart import load_chart
from stationflow.model.terms import meaning
from stationflow.storage import Draft
from stationflow.ui import show, theme
from stationflow.ui.tasks import diagrams
from stationflow.ui.text import plain
from stationflow.units import show_seconds

TAB = "balance.tab"
CHART, STATIONS, TASKS, DIAGRAM, NUMBERS, FINDINGS = (
    "Load chart",
    "Stations",
    "Tasks",
    "Precedence diagram",
    "All numbers",
    "Findings",
)
T = TypeVar("T")
TALL = 20  # more rows than this scroll in a table of fixed height


@st.fragment
def tabs(draft: Draft, state: PlanState, numbers: Numbers) -> None:
    """Show the open one of the tabs of a plan."""
    drawn: dict[str, Callable[[], None]] = {
        CHART: lambda: _chart(state, numbers),
        STATIONS: lambda: _stations(state, numbers),
        TASKS: lambda: _tasks(state, numbers),
        DIAGRAM: lambda: diagrams.precedence(
            draft,
            state.plan.line,
            height=620,
            stations=state.plan.result.stations,
            key="balance.diagram",
        ),
        NUMBERS: lambda: _all_numbers(numbers),
        FINDINGS: lambda: show.findings(
            [*state.verdict, *state.plan.result.findings], nothing="Nothing to say."
        ),
    }
    named = st.tabs(list(drawn), key=TAB, on_change="rerun")
    for tab, draw in zip(named, drawn.values(), strict=True):
        if tab.open:
            with tab:
                draw()


def _chart(state: PlanState, numbers: Numbers) -> None:
    """Show the load chart."""
    result, product = state.plan.result, state.made_from
    tasks = product.tasks_of(result.line)
    rows = load_chart_rows(
        result,
        numbers.times or balanced_times(product, result.line),
        {task.number: task.name for task in tasks},
    )
    chart = load_chart(rows, result.limit, product.time_unit, height=370, inks=theme.chart_inks())
    has_own_width = chart["width"] != "container"  # many stations: moved sideways, not squeezed
    with st.container(key="wide-chart" if has_own_width else None):
        st.vega_lite_chart(
            chart, width="content" if has_own_width else "stretch", key="balance.chart"
        )


def _stations(state: PlanState, numbers: Numbers) -> None:
    """Show the stations as a table; the chosen one opens."""
    result, product = state.plan.result, state.made_from
    names = {task.number: task.name for task in product.tasks}
    unit = product.time_unit
    limit = result.limit or result.cycle_time
    key = f"balance.station.{product.code}.{result.line}"
    known = [station.number for station in result.stations]
    st.dataframe(
        [
            {
                "Station": station.number,
                "Load": show_seconds(load, unit),
                "Idle": show_seconds(limit - load, unit) if limit >= load else "over",
                "Loaded": round(load / limit, 3) if limit else 0.0,
                "Tasks": "; ".join(f"{n} {names.get(n, '')}".strip() for n in station.tasks),
            }
            for station, load in zip(result.stations, result.loads, strict=True)
        ],
        hide_index=True,
        height="content" if len(result.stations) < TALL else 560,
        column_config={
            "Station": st.column_config.NumberColumn(width="small"),
            "Load": st.column_config.TextColumn(width="small", alignment="right"),
            "Idle": st.column_config.TextColumn(width="small", alignment="right"),
            "Loaded": st.column_config.ProgressColumn(
                width="small", format="percent", min_value=0.0, max_value=1.0
            ),
            "Tasks": st.column_config.TextColumn(width="large"),
        },
        on_select=lambda: _take_row(f"{key}.rows", key, known),
        selection_mode="single-row",
        key=f"{key}.rows",
        alt="Stations with their load and tasks",
    )
    chosen = _choice("Open the numbers of station", known, key)
    show.opened(numbers.station(chosen))


def _tasks(state: PlanState, numbers: Numbers) -> None:
    """Show weight and possible stations of each task; the chosen one opens."""
    product, line = state.made_from, state.plan.line
    rows = numbers.task_rows()
    if not rows:
        st.text("The tasks have errors; the findings say what to cure.")
        return
    names = {task.number: task.name for task in product.tasks_of(line)}
    unit = product.time_unit
    key = f"balance.task.{product.code}.{line}"
    known = [row.number for row in rows]
    st.dataframe(
        [
            {
                "Task": row.number,
                "Name": names.get(row.number, ""),
                "Time": show_seconds(row.time, unit),
                "Positional weight": show_seconds(row.weight, unit),
                "Station": row.station,
                "Earliest": row.earliest,
                "Latest": row.latest,
            }
            for row in rows
        ],
        hide_index=True,
        height="content" if len(rows) < TALL else 560,
        column_config={
            "Task": st.column_config.TextColumn(width="small"),
            "Name": st.column_config.TextColumn(width="large"),
            "Time": st.column_config.TextColumn(width="small", alignment="right"),
            "Positional weight": st.column_config.TextColumn(
                width="small", alignment="right", help=meaning("positional weight")
            ),
            "Station": st.column_config.NumberColumn(width="small"),
            "Earliest": st.column_config.NumberColumn(
                width="small", help="First station the task can be at, by limit and order."
            ),
            "Latest": st.column_config.NumberColumn(
                width="small", help="Last station it can be at, on so many stations as here."
            ),
        },
        on_select=lambda: _take_row(f"{key}.rows", key, known),
        selection_mode="single-row",
        key=f"{key}.rows",
        alt="Tasks with positional weight, station, earliest and latest station",
    )
    chosen = _choice(
        "Open the numbers of task", known, key, lambda n: plain(f"{n} {names.get(n, '')}")
    )
    show.opened(numbers.task(chosen))


def _take_row(table: str, key: str, known: Sequence[T]) -> None:
    """Open what the chosen row of a table stands for."""
    rows = st.session_state[table].selection.rows
    if rows and rows[0] < len(known):
        st.session_state[key] = known[rows[0]]


def _choice(title: str, known: Sequence[T], key: str, named: Callable[[T], str] = str) -> T:
    """Let the engineer choose by keyboard what a row of the table chooses by mouse."""
    if st.session_state.get(key) not in known:
        st.session_state[key] = known[0]
    chosen: T = st.selectbox(title, known, key=key, format_func=named, width=360)
    return chosen


def _all_numbers(numbers: Numbers) -> None:
    """Open every number of the plan and its line."""
    show.opened([*numbers.of_plan(), *numbers.bounds(), *numbers.order()])
