"""Plans on the Balance page: which one is shown, its figures, chart, stations and diagram."""

from collections.abc import Sequence

import streamlit as st

from stationflow.actions import plans
from stationflow.actions.methods import explained_result, methods, result_gap
from stationflow.actions.plans import PlanState
from stationflow.drawing.load_chart import load_chart, load_chart_rows, load_chart_svg
from stationflow.model import BalanceResult, Ending, Explained, Goal, Plan
from stationflow.storage import Draft
from stationflow.ui import diagrams, session, show, theme
from stationflow.ui.text import plain
from stationflow.units import show_time

ENDINGS = {
    Ending.OPTIMAL: "proven best",
    Ending.FOUND: "valid, not proven best",
    Ending.IMPOSSIBLE: "impossible, proven",
    Ending.NOTHING_FOUND: "nothing found",
}


def choose(plan: Plan) -> None:
    """Show this plan next; one without stations is shown with its findings, once."""
    key = _key(plan.product, plan.line)
    if plan.plan_id:
        st.session_state[key] = plan.plan_id
        st.session_state.pop(f"{key}.refused", None)
    else:
        st.session_state[f"{key}.refused"] = plan.result


def show_plans(draft: Draft, line: str) -> None:
    """Show the chosen plan of a line."""
    key = _key(draft.product.code, line)
    refused: BalanceResult | None = st.session_state.pop(f"{key}.refused", None)
    if refused is not None:
        _show_refused(refused)
    stored = session.store().plans(draft.product.code, line)
    if not stored:
        st.info(
            "This line has no plan yet. Choose what is asked and a method, "
            "then press Balance the line."
        )
        return
    plan = _chosen(stored, key)
    state = plans.plan_state(session.store(), draft, plan)
    _show_age(state)
    _figures(draft, plan.result)
    chart, stations, diagram, numbers, findings = st.tabs(
        ["Load chart", "Stations", "Precedence diagram", "How the numbers come about", "Findings"]
    )
    with chart:
        _chart(state)
    with stations:
        _stations(state)
    with diagram:
        diagrams.precedence(
            draft, line, height=620, stations=plan.result.stations, key="balance.diagram"
        )
    with numbers:
        show.opened(explained_result(plan.result))
    with findings:
        show.findings([*state.verdict, *plan.result.findings], nothing="Nothing to say.")


def _key(code: str, line: str) -> str:
    """Return under which name the session keeps the plan chosen for a line."""
    return f"balance.plan.{code}.{line}"


def _chosen(stored: Sequence[Plan], key: str) -> Plan:
    """Let the engineer choose a plan and put it in force."""
    ids = [plan.plan_id for plan in stored]
    by_id = {plan.plan_id: plan for plan in stored}
    if st.session_state.get(key) not in by_id:
        in_force = next((p.plan_id for p in stored if p.in_force), ids[0])
        st.session_state[key] = in_force
    left, right = st.columns([4, 1], vertical_alignment="bottom")
    chosen = left.selectbox("Plan", ids, format_func=lambda i: _label(by_id[i]), key=key)
    plan = by_id[chosen]
    if right.button(
        "In force" if plan.in_force else "Put in force",
        disabled=plan.in_force,
        width="stretch",
        key="balance.put_in_force",
    ):
        with show.errors():
            plans.put_in_force(session.store(), plan.product, plan.plan_id)
            st.rerun()
    return plan


def _label(plan: Plan) -> str:
    """Return a plan as it stands in the list."""
    state = " - in force" if plan.in_force else ""
    return f"Plan {plan.plan_id}: {plan.name}, from version {plan.product_version}{state}"


def _show_refused(result: BalanceResult) -> None:
    """Say why there is no plan."""
    words = {
        Ending.IMPOSSIBLE: "What is asked is impossible.",
        Ending.NOTHING_FOUND: "No plan was found in the time given.",
        None: "The line could not be balanced; the findings say what to cure.",
    }
    st.error(words.get(result.ending, "There is no plan."))
    show.findings(result.findings)


def _show_age(state: PlanState) -> None:
    """Say when a plan is out of date, and what differs."""
    if not state.is_out_of_date:
        return
    st.warning("**This plan is out of date.** The product changed since it was made:")
    st.text("\n".join(state.differences[:12]))
    if state.verdict:
        st.markdown(
            f"As the product is now, the plan breaks {len(state.verdict)} rules (Findings)."
        )
    else:
        st.markdown("As the product is now, the plan still holds.")


def _figures(draft: Draft, result: BalanceResult) -> None:
    """Show the figures of a plan, large."""
    unit = draft.product.time_unit
    numbers = {e.name: e for e in explained_result(result)}
    columns = st.columns(5)
    columns[0].metric("Stations", len(result.stations), border=True)
    columns[1].metric("Lower bound", _bound(draft, result), border=True, help=_proof(result))
    longest = max(station.work for station in result.stations)
    columns[2].metric("Cycle time", show_time(longest, unit), border=True)
    columns[3].metric("Limit", show_time(result.takt, unit) if result.takt else "-", border=True)
    efficiency = _first(numbers, "balance efficiency")
    columns[4].metric(
        "Balance efficiency",
        f"{efficiency.value:.1%}" if efficiency and efficiency.value is not None else "-",
        border=True,
        help="Opened below with both bases, under How the numbers come about.",
    )
    way = f", {result.direction.value}" if result.direction else ""
    ending = ENDINGS[result.ending] if result.ending else "given"
    trials = f", {result.trials} trials" if result.trials else ""
    st.markdown(
        f"{plain(methods()[result.method].title)}{way}: **{ending}**{_gap(result)}. "
        f"Time taken {result.runtime_s:.2f} s{trials}."
    )


def _first(numbers: dict[str, Explained], word: str) -> Explained | None:
    """Return the first number whose name begins with a word."""
    return next((e for name, e in numbers.items() if name.startswith(word)), None)


def _bound(draft: Draft, result: BalanceResult) -> str:
    """Return the lower bound as text: stations, or a time."""
    if result.takt is not None:
        return f"{result.lower_bound:g}"
    return show_time(result.lower_bound, draft.product.time_unit)


def _proof(result: BalanceResult) -> str:
    """Return which bounds stand behind the lower bound."""
    single = ", ".join(f"{name} = {value:g}" for name, value in result.bounds)
    return f"No plan can do with less. Single bounds: {single or 'none'}."


def _gap(result: BalanceResult) -> str:
    """Return how far a plan is from its lower bound, in words."""
    over = result_gap(result)
    if result.ending != Ending.FOUND or over is None:
        return ""
    if result.goal != Goal.FEWEST_STATIONS:
        return f", gap {over:.1%}"
    most = len(result.stations) - int(result.lower_bound)
    return f", gap {over:.1%} (at most {most} station{'' if most == 1 else 's'} could be saved)"


def _chart(state: PlanState) -> None:
    """Show the load chart."""
    result, product = state.plan.result, state.made_from
    tasks = product.tasks_of(result.line)
    rows = load_chart_rows(
        result,
        plans.balanced_times(product, result.line),
        {task.number: task.name for task in tasks},
    )
    chart = load_chart(rows, result.takt, product.time_unit, height=430, inks=theme.chart_inks())
    has_own_width = chart["width"] != "container"  # many stations: moved sideways, not squeezed
    with st.container(key="wide-chart" if has_own_width else None):
        st.vega_lite_chart(
            chart, width="content" if has_own_width else "stretch", key="balance.chart"
        )
    st.download_button(
        "Download the chart (SVG)",
        load_chart_svg(rows, result.takt, product.time_unit, title=state.plan.name),
        file_name=f"{product.code}-{result.line}-load.svg",
        mime="image/svg+xml",
        icon=":material/download:",
        key="balance.chart_svg",
    )


def _stations(state: PlanState) -> None:
    """Show the stations as a table."""
    result, product = state.plan.result, state.made_from
    names = {task.number: task.name for task in product.tasks}
    unit = product.time_unit
    limit = result.takt or max(station.work for station in result.stations)
    st.dataframe(
        [
            {
                "Station": station.number,
                "Load": show_time(station.work, unit),
                "Idle": show_time(limit - station.work, unit) if limit >= station.work else "over",
                "Loaded": round(station.work / limit, 3) if limit else 0.0,
                "Tasks": "; ".join(f"{n} {names.get(n, '')}".strip() for n in station.tasks),
            }
            for station in result.stations
        ],
        hide_index=True,
        height="content" if len(result.stations) < 20 else 640,
        column_config={
            "Station": st.column_config.NumberColumn(width="small"),
            "Load": st.column_config.TextColumn(width="small", alignment="right"),
            "Idle": st.column_config.TextColumn(width="small", alignment="right"),
            "Loaded": st.column_config.ProgressColumn(
                width="small", format="percent", min_value=0.0, max_value=1.0
            ),
            "Tasks": st.column_config.TextColumn(width="large"),
        },
        alt="Stations with their load and tasks",
    )
