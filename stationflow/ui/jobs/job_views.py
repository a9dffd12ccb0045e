"""How long runs look: their progress on a page, and quietly in the heading of all pages."""

from collections.abc import Callable

import streamlit as st

from stationflow.actions.jobs.long_jobs import Asked, JointRequest
from stationflow.actions.plans.plan_keeping import kept_words, was_there
from stationflow.balancing.methods import METHODS
from stationflow.balancing.time_words import count
from stationflow.line.simulation.simulated import SimulationSettings
from stationflow.model import BalanceSettings, CurveSettings, Goal, Plan, RebalanceSettings
from stationflow.storage import Draft, store_address
from stationflow.ui import session
from stationflow.ui.jobs import long_runs
from stationflow.ui.jobs.job_process import Job, JobState
from stationflow.ui.text import plain
from stationflow.units import TimeUnit, show_seconds

ALL_LINES = ""  # stands for the name of a line where a job is of all together
WATCHED = "jobs.watched"  # numbers of the jobs whose end this browser waits for
QUIET = "jobs-quiet"
MOST_QUIET = 2
EVERY_S = 1.0
QUIET_EVERY_S = 3.0
LONG_TRIALS = 20_000


def is_long(settings: BalanceSettings) -> bool:
    """Return whether a balance may take longer than a page should wait."""
    uses = METHODS[settings.method].uses
    return (
        bool(settings.then)
        or ("seconds" in uses and "trials" not in uses)
        or (settings.trials or 0) > LONG_TRIALS
    )


def registry() -> long_runs.JobRegistry:
    """Return the jobs of the server."""
    return long_runs.registry(store_address())


def start(draft: Draft, line: str, *asked: Asked) -> Job:
    """Start a job for a line, or for all together, which this browser watches to its end."""
    job = registry().add(store_address(), draft, line, *asked, by=session.author())
    _watched().add(job.number)
    return job


def meanwhile(draft: Draft, line: str) -> Plan | None:
    """Return the plan of a rule that stands until a job of the line ends; None: none does."""
    active = registry().active(draft.product.code, line)
    return next((job.meanwhile for job in active if job.meanwhile), None)


def is_busy(draft: Draft, line: str) -> bool:
    """Return whether the line is being balanced, by whomever."""
    return bool(registry().active(draft.product.code, line))


def curve_job(draft: Draft, line: str) -> Job | None:
    """Return the curve that is being made of a line; None: none is."""
    active = registry().active(draft.product.code, line)
    return next((job for job in active if job.is_curve), None)


def last_rebalance(draft: Draft, line: str) -> Job | None:
    """Return the last rebalancing of a line that has ended; None: there was none."""
    known = registry().known(draft.product.code, line)
    return next((job for job in reversed(known) if job.rebalanced and not job.is_active), None)


def last_joint(draft: Draft) -> Job | None:
    """Return the last balance of all lines at once that has ended; None: there was none."""
    known = registry().known(draft.product.code)
    return next((job for job in reversed(known) if job.joint and not job.is_active), None)


def last_simulation(draft: Draft) -> Job | None:
    """Return the last simulation of the product that gave an answer; None: there was none."""
    known = registry().known(draft.product.code, ALL_LINES)
    return next((job for job in reversed(known) if job.simulated), None)


def watch(draft: Draft, line: str, take: Callable[[list[Plan]], None]) -> None:
    """Show the jobs of a line; hand over the plans of one that has ended, and say what failed."""
    watched = _watched()
    for job in registry().known(draft.product.code, line):
        if job.is_active:
            watched.add(job.number)
            _progress(job, draft.product.time_unit)
            continue
        if job.number in watched:
            watched.discard(job.number)
            if job.plans:
                take(list(job.plans))
            for plan in job.plans:
                if was_there(plan, job.asked_by):
                    st.info(plain(kept_words(plan, job.asked_by)))
        if job.message:
            _failure(job)


def _watched() -> set[int]:
    watched: set[int] = st.session_state.setdefault(WATCHED, set())
    return watched


@st.fragment(run_every=EVERY_S)
def _progress(job: Job, unit: TimeUnit) -> None:
    """Show how a job is doing, until it ends."""
    if not job.is_active:
        session.rerun()
    with st.container(border=True):
        words, button = st.columns([3, 1], vertical_alignment="center")
        words.progress(job.share, text=plain(progress_words(job, unit)))
        kept = "what is done" if job.is_simulation else "the best"
        label = "Take off the list" if job.state == JobState.WAITING else f"Stop and keep {kept}"
        if button.button(
            "Stopping ..." if job.is_stopping else label,
            icon=":material/stop_circle:",
            disabled=job.is_stopping,
            width="stretch",
            key=f"jobs.stop.{job.number}",
        ):
            registry().stop(job)
            session.rerun(scope="fragment")


def progress_words(job: Job, unit: TimeUnit) -> str:
    """Return how a job is doing, in words."""
    if job.state == JobState.WAITING:
        return f"{job.where} waits for its turn: a core, or another run on the line."
    if job.is_preparing:
        what = "simulation" if job.is_simulation else "search"
        return f"{job.where}: the {what} is made ready, once on this machine, some ten seconds."
    passed = f"({job.elapsed_s:.0f} s, by {job.by})"
    asked = job.now
    if isinstance(asked, SimulationSettings):
        done, of = job.replications
        return f"Simulating all lines: {done} of {of or asked.replications} runs done {passed}"
    if isinstance(asked, CurveSettings):
        return f"Curve of line {job.line}: {_proven_words(job) or 'beginning'} {passed}"
    if isinstance(asked, RebalanceSettings):
        return f"Rebalancing line {job.line}: the least upheaval is looked for {passed}"
    if isinstance(asked, JointRequest):
        best = f"best so far {count(job.stations, 'station')}" if job.stations else "no plan yet"
        return f"All lines at once: {best} {passed}"
    several = f" ({job.step} of {len(job.asked)})" if len(job.asked) > 1 else ""
    said = "no plan yet"
    if job.stations is not None:
        said = f"best so far {count(job.stations, 'station')}"
        if asked.goal == Goal.SHORTEST_CYCLE and job.limit is not None:
            said += f", cycle {show_seconds(job.limit, unit)}"
    if job.bound is not None:
        is_of_stations = asked.goal in (Goal.FEWEST_STATIONS, Goal.FEASIBLE)
        bound = count(job.bound, "station") if is_of_stations else show_seconds(job.bound, unit)
        said += f", proven: not under {bound}"
    title = METHODS[asked.method].title
    return f"Balancing line {job.line}, {title}{several}: {said} {passed}"


def _proven_words(job: Job) -> str:
    """Return how many points of a curve are proven; empty: none is known."""
    curve = job.curve
    if curve is None:
        return ""
    proven = len(curve.points) - len(curve.open_points)
    return f"{proven} of {len(curve.points)} points proven"


def _failure(job: Job) -> None:
    """Say why a job gave less than was asked, until somebody has read it."""
    words, button = st.columns([6, 1], vertical_alignment="center")
    words.error(plain(f"{job.where}: {job.message}"))
    if button.button("Read", width="stretch", key=f"jobs.read.{job.number}"):
        registry().forget(job)
        session.rerun()


def quiet() -> None:
    """Keep a small place in the heading of every page for what is running."""
    with st.container(key=QUIET):
        if registry().active():
            _quiet_lines()


@st.fragment(run_every=QUIET_EVERY_S)
def _quiet_lines() -> None:
    active = registry().active()
    said = [_quiet_line(job) for job in active[:MOST_QUIET]]
    if len(active) > MOST_QUIET:
        said.append(f"and {len(active) - MOST_QUIET} more")
    if said:
        st.caption(f":material/progress_activity: At work: {plain('; '.join(said))}")
    else:
        st.caption(
            ":material/check: What ran has ended: plans are on the Balance page, curves on "
            "Compare, simulations on Line."
        )


def _quiet_line(job: Job) -> str:
    """Return one job in a few words."""
    where = f"{job.product} {job.line or 'all lines'}"
    if job.state == JobState.WAITING:
        return f"{where}, waiting"
    said = ""
    if job.is_curve:
        said = f", {_proven_words(job) or 'curve'}"
    elif job.replications[1]:
        said = f", {job.replications[0]} of {job.replications[1]} runs"
    elif job.stations is not None:
        said = f", best {count(job.stations, 'station')}"
    return f"{where}, {job.elapsed_s:.0f} s{said}"
