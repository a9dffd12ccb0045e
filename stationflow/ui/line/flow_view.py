"""The line in motion: a simulation beside the pages, and what it says."""

import streamlit as st

from stationflow.actions.showing.line_showing import LineView
from stationflow.actions.showing.simulating import (
    MOST_HOURS,
    MOST_REPLICATIONS,
    MOST_SEED,
    simulation_problems,
)
from stationflow.balancing.time_words import count
from stationflow.drawing.charts.flow_chart import line_over_time, shares_chart
from stationflow.line.simulation.simulated import Estimate, Simulated, SimulationSettings
from stationflow.pace.figures import figure
from stationflow.storage import Draft
from stationflow.ui import session, show, theme
from stationflow.ui.components.line_player import line_player
from stationflow.ui.jobs import job_views
from stationflow.ui.jobs.job_process import Job
from stationflow.ui.text import plain

USUAL = SimulationSettings()
WINDOW_S = 600  # of the line over time that is drawn at once
AS_CHART, AS_PLAYER = "as a chart", "step by step"


def flow(draft: Draft, view: LineView) -> None:
    """Show the settings of a run, how it is doing, and the last answer."""
    _settings(draft)
    with st.container():  # keeps the place of what follows while a run comes and goes
        job_views.watch(draft, job_views.ALL_LINES, lambda _plans: None)
    job = job_views.last_simulation(draft)
    if job is None or job.simulated is None:
        st.info(
            "The formulas say what the line makes on average; the simulation shows it unit by "
            "unit, with stops, scatter, repair and soak, and how sure the answer is. Press "
            "*Simulate*."
        )
        return
    if _is_old(job, draft, view):
        st.warning("This run is of an earlier state of the product or its plans. Simulate again.")
    _answer(job.simulated)


def _settings(draft: Draft) -> None:
    with st.container(horizontal=True, vertical_alignment="bottom"):
        hours = st.number_input(
            "Hours of each run",
            min_value=0.1,
            max_value=float(MOST_HOURS),
            step=1.0,
            format="%g",
            width=150,
            help="After the warm-up, in which the line fills.",
            **session.kept("line.flow.hours", USUAL.hours),
        )
        runs = st.number_input(
            "Runs",
            min_value=1,
            max_value=MOST_REPLICATIONS,
            width=120,
            help="More runs make the limits of the answer narrower.",
            **session.kept("line.flow.runs", USUAL.replications),
        )
        seed = st.number_input(
            "Seed",
            min_value=0,
            max_value=MOST_SEED,
            width=120,
            help="The same seed gives the same answer; plans are compared by the same seed.",
            **session.kept("line.flow.seed", USUAL.seed),
        )
        is_busy = job_views.is_busy(draft, job_views.ALL_LINES)
        if st.button("Simulate", type="primary", disabled=is_busy, key="line.flow.run"):
            asked = SimulationSettings(hours=hours, replications=int(runs), seed=int(seed))
            if problems := simulation_problems(asked):
                st.error(" ".join(problems))
            else:
                job_views.start(draft, job_views.ALL_LINES, asked)
                session.rerun()


def _is_old(job: Job, draft: Draft, view: LineView) -> bool:
    now = tuple(each.plan_id for each in view.gathered.plan.lines)
    return job.checksum != draft.checksum or job.plan_ids != now


def _answer(made: Simulated) -> None:
    if not made.replications:
        show.findings(made.findings)
        return
    boxes = [
        show.NumberBox("Good units an hour", _told(made.output_per_h)),
        show.NumberBox("Time in system (min)", _told(made.time_in_system_s, 1 / 60)),
        show.NumberBox("Units under way", _told(made.wip)),
    ]
    show.number_row(boxes, "line.flow", columns=3, small=True)
    st.caption(
        f"{count(made.replications, 'run')} of {figure(made.settings.hours)} h after "
        f"{figure(made.warm_up_h, 2)} h of warm-up, seed {made.settings.seed}. In brackets the "
        "limits between which the mean lies with 95 % confidence."
    )
    if made.limiter:
        st.markdown(f"**Most likely limiter:** {plain(made.limiter)}")
    if made.findings:
        show.findings(made.findings)
    show.tabs(
        {
            "What each station did": lambda: _shares(made),
            "Where the output goes": lambda: _losses(made),
            "The line over time": lambda: _over_time(made),
            "Where units wait": lambda: _waiting(made),
        },
        "line.flow.tabs",
    )


def _told(estimate: Estimate, scale: float = 1.0) -> str:
    mean = figure(estimate.mean * scale, 2)
    if estimate.low is None or estimate.high is None:
        return mean
    return f"{mean} ({figure(estimate.low * scale, 2)} to {figure(estimate.high * scale, 2)})"


def _shares(made: Simulated) -> None:
    lines = list(dict.fromkeys(each.line for each in made.stations))
    line = lines[0] if lines else ""
    if len(lines) > 1:
        line = st.segmented_control(
            "Line", lines, default=line, required=True, format_func=plain, key="line.flow.line"
        )
    shown = [each for each in made.stations if each.line == line]
    beside = [each for each in shown if each.name]
    stations = [each for each in shown if not each.name]
    st.caption("Letters stand for words in narrow parts; point at a part for its share.")
    for name, part in (("stations", stations), ("beside", beside)):
        if part:
            if name == "beside":
                st.markdown("Machines, tests, soak and repair beside the stations")
            chart = shares_chart(part, inks=theme.chart_inks())
            st.vega_lite_chart(chart, key=f"line.flow.shares.{name}")


def _losses(made: Simulated) -> None:
    if not made.losses:
        st.markdown("Nothing was lost.")
        return
    whole = made.losses[0].per_h or 1.0
    rows = [
        {
            "What": f"{'- ' if loss.part_of else ''}{loss.name}",
            "Where": loss.where,
            "Units an hour": figure(loss.per_h, 3),
            "Share": show.percent(loss.per_h / whole),
        }
        for loss in made.losses
    ]
    columns = {name: show.right() for name in ("Units an hour", "Share")}
    show.table(rows, "Where the output goes", columns)
    st.caption("What stands under the first row adds up to it: each loss, and the output.")


def _waiting(made: Simulated) -> None:
    rows = [
        {
            "Where": each.name,
            "Units on average": figure(each.mean, 2),
            "Most": f"{each.most}",
            "Places": "no limit" if each.places is None else f"{each.places}",
        }
        for each in made.waiting
    ]
    if not rows:
        st.markdown("No unit waits anywhere: there are no buffers, benches or joins.")
        return
    columns = {name: show.right() for name in list(rows[0])[1:]}
    show.table(rows, "Where units wait", columns)


def _over_time(made: Simulated) -> None:
    if not made.trace:
        st.markdown("No events were kept.")
        return
    how = st.segmented_control(
        "Shown", [AS_PLAYER, AS_CHART], default=AS_PLAYER, required=True, key="line.flow.how"
    )
    if how == AS_PLAYER:
        line_player(made, "line.player")
        return
    last = made.trace[-1].at_s
    first = 0
    if last > WINDOW_S:
        steps = range(0, int(last), WINDOW_S)
        first = st.select_slider(
            "From minute", steps, format_func=lambda s: f"{s // 60}", key="line.flow.from"
        )
    end = min(last, first + WINDOW_S)
    chart = line_over_time(made.trace, first, end, inks=theme.chart_inks())
    st.vega_lite_chart(chart, key="line.flow.time")
    with st.expander("The same in words"):
        here = [event for event in made.trace if first <= event.at_s <= end]
        st.code("\n".join(event.words for event in here[:400]), language=None)
