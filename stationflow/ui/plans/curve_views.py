"""The stations-against-cycle curve on the Compare page: compute, watch, choose a point."""

import streamlit as st

from stationflow.actions.plans import curves
from stationflow.actions.plans.curves import CurveState
from stationflow.drawing.charts.curve_chart import PICK, curve_chart
from stationflow.files.exports.curve_tables import answer_words, flat_words, proven_words
from stationflow.model import CurvePoint, CurveSettings, CycleCurve
from stationflow.storage import Draft, store_address
from stationflow.ui import session, show, theme
from stationflow.ui.downloads import curve_offers, menu
from stationflow.ui.jobs import job_views
from stationflow.ui.jobs.long_runs import CurveJob
from stationflow.ui.plans import compare_views, plan_views
from stationflow.ui.text import plain
from stationflow.units import show_seconds

DEFAULT_SECONDS = 60
MOST_SECONDS = 86_400
EVERY_S = 1.0
TALL = 14  # more rows than this scroll


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
    """Show the time limit and the button that starts a curve."""
    seconds = st.number_input(
        "Time limit (s)",
        min_value=1,
        max_value=MOST_SECONDS,
        value=DEFAULT_SECONDS,
        step=10,
        width=150,
        key="compare.curve.seconds",
        help="For the whole curve. What is proven by then is kept; the rest stays between bound "
        "and plan.",
    )
    if st.button(
        label,
        type="primary",
        icon=":material/show_chart:",
        disabled=job_views.is_busy(draft, line),
        key="compare.curve.run",
    ):
        settings = CurveSettings(seconds=float(seconds))
        job = job_views.registry().add_curve(
            store_address(), draft, line, settings, by=session.author()
        )
        st.session_state.setdefault(job_views.WATCHED, set()).add(job.number)
        session.rerun()


@st.fragment(run_every=EVERY_S)
def _growing(job: CurveJob, draft: Draft, limit: float | None) -> None:
    """Draw a curve while it is made."""
    if not job.is_active:
        session.rerun()
    curve = job.curve
    if curve is None:
        st.text("The curve begins with what can be told at once.")
        return
    unit = draft.product.time_unit
    st.text(answer_words(curve, limit, unit))
    st.vega_lite_chart(
        curve_chart(curve, limit, unit, inks=theme.chart_inks()), key="compare.curve.growing"
    )


@st.fragment
def _kept(draft: Draft, line: str, state: CurveState, limit: float | None) -> None:
    """Show the last curve; a click on a point, or the list beside it, chooses a plan."""
    curve, unit = state.kept.curve, draft.product.time_unit
    if state.differences:
        st.warning("**This curve is of older data.** The product changed since it was computed:")
        st.text("\n".join(state.differences[:12]))
    st.text(f"{answer_words(curve, limit, unit)} {flat_words(curve, unit)}")
    key = f"compare.curve.stations.{draft.product.code}.{line}"
    chart = "compare.curve.chart"
    st.vega_lite_chart(
        curve_chart(curve, limit, unit, inks=theme.chart_inks()),
        on_select=lambda: _take_click(chart, key),
        selection_mode=PICK,
        key=chart,
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


def _take_click(chart: str, key: str) -> None:
    """Choose the number of stations of the point that was clicked."""
    picked = st.session_state[chart].selection.get(PICK)
    if picked:
        st.session_state[key] = int(picked[0]["stations"])


def _make_plan(draft: Draft, line: str, state: CurveState, limit: float | None, key: str) -> None:
    """Let the engineer choose a number of stations and make its plan."""
    curve = state.kept.curve
    known = [point.stations for point in curve.points]
    answer = None if limit is None else curve.answer(limit)
    if st.session_state.get(key) not in known:
        st.session_state[key] = answer.stations if answer else known[-1]
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        stations = st.selectbox(
            "Stations (a click on a point chooses too)",
            known,
            format_func=lambda n: _point_words(draft, curve.at(n)),
            key=key,
            width=420,
        )
        if st.button(
            f"Make the plan of {stations} station{'' if stations == 1 else 's'}",
            icon=":material/add_task:",
            disabled=bool(state.differences),
            key="compare.curve.make",
        ):
            with show.errors():
                plan = curves.plan_of_point(
                    session.store(), draft, line, stations, by=session.author()
                )
                plan_views.choose(plan)
                compare_views.add_to_choice(draft, line, [plan.plan_id])
                session.notice(f"Plan {plan.plan_id} is stored: {plan.name}.")
                session.rerun()


def _point_words(draft: Draft, point: CurvePoint) -> str:
    """Return a point as it stands in the list."""
    cycle = show_seconds(point.cycle, draft.product.time_unit)
    return f"{point.stations}: {cycle}, {proven_words(point)}"


def _table(draft: Draft, curve: CycleCurve) -> None:
    """Show the points as a table."""
    unit = draft.product.time_unit
    st.dataframe(
        [
            {
                "Stations": point.stations,
                "Cycle time": show_seconds(point.cycle, unit),
                "Lower bound": show_seconds(point.lower_bound, unit),
                "State": proven_words(point),
                "Balance efficiency": f"{curve.efficiency(point):.1%}",
            }
            for point in curve.points
        ],
        hide_index=True,
        height="content" if len(curve.points) < TALL else 460,
        key="compare.curve.table",
        alt="Shortest cycle time and lower bound of each number of stations",
    )
