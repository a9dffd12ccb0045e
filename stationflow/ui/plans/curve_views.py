"""The stations-against-cycle curve on the Compare page: compute, watch, choose a point."""

from dataclasses import replace

import streamlit as st

from stationflow.actions.plans import curves, plan_keeping
from stationflow.actions.plans.curves import CurveState
from stationflow.balancing.time_words import count
from stationflow.drawing.charts.curve_chart import PICK, curve_chart
from stationflow.files.exports.curve_tables import answer_words, flat_words, proven_words
from stationflow.model import CurveSettings, CycleCurve
from stationflow.storage import Draft
from stationflow.ui import session, show, theme
from stationflow.ui.downloads import curve_offers, menu
from stationflow.ui.grids.number_field import number_field
from stationflow.ui.jobs import job_views
from stationflow.ui.jobs.job_process import Job
from stationflow.ui.plans import compare_views, shown_plan
from stationflow.ui.text import plain
from stationflow.units import show_seconds

DEFAULT_SECONDS = 60
MOST_SECONDS = 86_400
EVERY_S = 1.0


def curve_section(draft: Draft, line: str) -> None:
    """Show the curve of a line: the one being made, or the last one."""
    limit = session.opened(draft).limit(line)
    state = curves.curve_state(session.opened(draft), line)
    job = job_views.curve_job(draft, line)
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        _compute(draft, line, "Compute again" if state else "Compute the curve")
        if state is not None and job is None:
            offers = curve_offers(draft.product, state.kept, limit)
            menu("compare.curve.download", offers, label="Download the curve")
    if job is not None:
        _growing(job, draft, limit)
    elif state is None:
        st.info(
            "For every number of stations the curve shows the shortest cycle time, and how many "
            "stations the demand needs. This line has none yet."
        )
    else:
        _kept(draft, line, state, limit)


def _compute(draft: Draft, line: str, label: str) -> None:
    seconds = number_field(
        "Time limit (s)",
        1.0,
        MOST_SECONDS,
        float(DEFAULT_SECONDS),
        width=150,
        key="compare.curve.seconds",
        help="For the whole curve. What is proven by then is kept; the rest stays between bound "
        "and plan.",
    )
    if st.button(
        label,
        type="primary",
        icon=":material/show_chart:",
        disabled=seconds is None or job_views.is_busy(draft, line),
        key="compare.curve.run",
    ):
        job_views.start(draft, line, CurveSettings(seconds=seconds))
        session.rerun()


@st.fragment(run_every=EVERY_S)
def _growing(job: Job, draft: Draft, limit: float | None) -> None:
    """Draw a curve while it is made."""
    if not job.is_active:
        session.rerun()
    curve = job.curve
    if curve is None:
        st.text("The curve begins with what can be told at once.")
        return
    unit = draft.product.time_unit
    st.text(answer_words(curve, limit, unit))
    if work := session.opened(draft).work(job.line)[0]:
        curve = replace(curve, work_content=work.total)
    chart = curve_chart(curve, limit, unit, inks=theme.chart_inks())
    st.vega_lite_chart(chart, key="compare.curve.growing")


@st.fragment
def _kept(draft: Draft, line: str, state: CurveState, limit: float | None) -> None:
    """Show the last curve; a click on a point, or the list beside it, chooses a plan."""
    curve, unit = state.kept.curve, draft.product.time_unit
    if state.differences:
        st.warning("**This curve is of older data.** The product changed since it was computed:")
        st.text("\n".join(state.differences[:12]))
    st.text(f"{answer_words(curve, limit, unit)} {flat_words(curve, unit)}")
    key = f"compare.curve.stations.{draft.product.code}.{line}"

    def take_click() -> None:
        if picked := st.session_state["compare.curve.chart"].selection.get(PICK):
            st.session_state[key] = int(picked[0]["stations"])

    st.vega_lite_chart(
        curve_chart(curve, limit, unit, inks=theme.chart_inks()),
        on_select=take_click,
        selection_mode=PICK,
        key="compare.curve.chart",
    )
    proven = len(curve.points) - len(curve.open_points)
    others = "; of the others the bar shows what is not decided" if curve.open_points else ""
    st.caption(
        f"{proven} of {len(curve.points)} points are proven (filled){others}. Computed in "
        f"{curve.runtime_s:.1f} s from version {state.kept.product_version}, "
        f"by {plain(state.kept.by)}."
    )
    _make_plan(draft, line, state, limit, key)
    with st.expander("The points as a table"):
        _table(draft, curve)


def _make_plan(draft: Draft, line: str, state: CurveState, limit: float | None, key: str) -> None:
    """Let the engineer choose a number of stations and make its plan."""
    curve, unit = state.kept.curve, draft.product.time_unit
    points = {point.stations: point for point in curve.points}
    answer = None if limit is None else curve.answer(limit)
    if st.session_state.get(key) not in points:
        st.session_state[key] = answer.stations if answer else curve.points[-1].stations

    def words(stations: int) -> str:
        point = points[stations]
        return f"{stations}: {show_seconds(point.cycle, unit)}, {proven_words(point)}"

    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        title = "Stations (a click on a point chooses too)"
        stations = st.selectbox(title, list(points), format_func=words, key=key, width=420)
        if st.button(
            f"Make the plan of {count(stations, 'station')}",
            icon=":material/add_task:",
            disabled=bool(state.differences),
            key="compare.curve.make",
        ):
            with show.errors():
                store, by = session.store(), session.author()
                plan = curves.plan_of_point(store, draft, line, stations, by=by)
                shown_plan.choose(plan)
                compare_views.add_to_choice(draft, line, [plan.plan_id])
                session.rerun(plan_keeping.kept_words(plan, by))


def _table(draft: Draft, curve: CycleCurve) -> None:
    unit = draft.product.time_unit
    rows = [
        {
            "Stations": point.stations,
            "Cycle time": show_seconds(point.cycle, unit),
            "Lower bound": show_seconds(point.lower_bound, unit),
            "State": proven_words(point),
            "Balance efficiency": f"{curve.efficiency(point):.1%}",
        }
        for point in curve.points
    ]
    alt = "Shortest cycle time and lower bound of each number of stations"
    show.table(rows, alt, key="compare.curve.table")
