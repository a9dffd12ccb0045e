"""How long runs look: their progress on a page, and quietly in the heading of all pages."""

from collections.abc import Callable

import streamlit as st

from stationflow.balancing.methods import METHODS
from stationflow.model import Goal, Plan
from stationflow.storage import Draft, store_address
from stationflow.ui import session
from stationflow.ui.jobs import long_runs
from stationflow.ui.jobs.long_runs import BalanceJob, CurveJob, Job, JobRegistry, JobState
from stationflow.ui.text import plain
from stationflow.units import TimeUnit, show_seconds

WATCHED = "jobs.watched"
"""Numbers of the jobs this browser has seen at work, whose end it waits for."""
QUIET = "jobs-quiet"
MOST_QUIET = 2
EVERY_S = 1.0
QUIET_EVERY_S = 3.0


def registry() -> JobRegistry:
    """Return the jobs of the server."""
    return long_runs.registry(store_address())


def is_busy(draft: Draft, line: str) -> bool:
    """Return whether the line is being balanced, by whomever."""
    return bool(registry().active(draft.product.code, line))


def watch(draft: Draft, line: str, take: Callable[[list[Plan]], None]) -> None:
    """Show the jobs of a line; when one has ended, hand its plans over, and say what failed.

    Parameters
    ----------
    draft
        The open product.
    line
        Name of the line.
    take
        What the page does with plans that have come out while this browser watched.
    """
    watched: set[int] = st.session_state.setdefault(WATCHED, set())
    for job in registry().known(draft.product.code, line):
        if job.is_active:
            watched.add(job.number)
            _progress(job, draft.product.time_unit)
            continue
        if job.number in watched:
            watched.discard(job.number)
            if isinstance(job, BalanceJob) and job.plans:
                take(list(job.plans))
        if job.message:
            _failure(job)


@st.fragment(run_every=EVERY_S)
def _progress(job: Job, unit: TimeUnit) -> None:
    """Show how a job is doing, until it ends."""
    if not job.is_active:
        session.rerun()
    with st.container(border=True):
        words, button = st.columns([3, 1], vertical_alignment="center")
        words.progress(job.share, text=plain(progress_words(job, unit)))
        label = "Take off the list" if job.state == JobState.WAITING else "Stop and keep the best"
        if button.button(
            "Stopping ..." if job.is_stopping else label,
            icon=":material/stop_circle:",
            disabled=job.is_stopping,
            width="stretch",
            key=f"jobs.stop.{job.number}",
        ):
            registry().stop(job)
            session.rerun("fragment")


def curve_job(draft: Draft, line: str) -> CurveJob | None:
    """Return the curve that is being made of a line; None: none is."""
    active = registry().active(draft.product.code, line)
    return next((job for job in active if isinstance(job, CurveJob)), None)


def progress_words(job: Job, unit: TimeUnit) -> str:
    """Return how a job is doing, in words."""
    if job.state == JobState.WAITING:
        return f"Line {job.line} waits for its turn: a core, or another run on the line."
    if job.is_preparing:
        return f"Line {job.line}: the search is prepared, once on this machine, some ten seconds."
    if isinstance(job, CurveJob):
        known = _proven_words(job) or "beginning"
        return f"Curve of line {job.line}: {known} ({job.elapsed_s:.0f} s, by {job.by})"
    assert isinstance(job, BalanceJob)
    several = f" ({job.step} of {len(job.settings)})" if len(job.settings) > 1 else ""
    best = "no plan yet"
    if job.stations is not None:
        best = f"best so far {job.stations} station{'' if job.stations == 1 else 's'}"
        if _goal(job) == Goal.SHORTEST_CYCLE and job.limit is not None:
            best += f", cycle {show_seconds(job.limit, unit)}"
    bound = "" if job.bound is None else f", proven: not under {_bound(job, unit)}"
    return (
        f"Balancing line {job.line}, {METHODS[job.method].title}{several}: "
        f"{best}{bound} ({job.elapsed_s:.0f} s, by {job.by})"
    )


def _proven_words(job: CurveJob) -> str:
    """Return how many points of a curve are proven; empty: none is known."""
    curve = job.curve
    if curve is None:
        return ""
    proven = len(curve.points) - len(curve.open_points)
    return f"{proven} of {len(curve.points)} points proven"


def _goal(job: BalanceJob) -> Goal:
    """Return what the method at work is asked for."""
    return job.settings[job.step - 1].goal


def _bound(job: BalanceJob, unit: TimeUnit) -> str:
    """Return the bound in words: stations or a time, as the goal says."""
    bound = job.bound or 0.0
    if _goal(job) in (Goal.FEWEST_STATIONS, Goal.FEASIBLE):
        return f"{bound:g} station{'' if bound == 1 else 's'}"
    return show_seconds(bound, unit)


def _failure(job: Job) -> None:
    """Say why a job gave less than was asked, until somebody has read it."""
    words, button = st.columns([6, 1], vertical_alignment="center")
    words.error(plain(f"Line {job.line}: {job.message}"))
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
    """Say in small letters what is running."""
    active = registry().active()
    said = [_quiet_line(job) for job in active[:MOST_QUIET]]
    if len(active) > MOST_QUIET:
        said.append(f"and {len(active) - MOST_QUIET} more")
    if said:
        st.caption(f":material/progress_activity: Balancing {plain('; '.join(said))}")
    else:
        st.caption(
            ":material/check: What ran has ended: plans are on the Balance page, curves on Compare."
        )


def _quiet_line(job: Job) -> str:
    """Return one job in a few words."""
    where = f"{job.product} {job.line}"
    if job.state == JobState.WAITING:
        return f"{where}, waiting"
    said = ""
    if isinstance(job, CurveJob):
        known = _proven_words(job)
        said = f", {known}" if known else ", curve"
    elif isinstance(job, BalanceJob) and job.stations is not None:
        said = f", best {job.stations} station{'' if job.stations == 1 else 's'}"
    return f"{where}, {job.elapsed_s:.0f} s{said}"
