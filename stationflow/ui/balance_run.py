"""Start a balance from the page: short ones at once, long ones in a process of their own."""

import streamlit as st

from stationflow.actions.balancing_jobs import job_request
from stationflow.actions.methods import methods, settings_problems
from stationflow.actions.plans import balance_and_keep
from stationflow.model import BalanceSettings, Plan
from stationflow.storage import Draft, store_address
from stationflow.ui import plan_views, session, show
from stationflow.ui.jobs import BalanceJob
from stationflow.ui.text import plain

JOB = "balance.job"
LONG_TRIALS = 20_000


def buttons(draft: Draft, line: str, settings: BalanceSettings) -> None:
    """Show the buttons that balance one line, or all lines one after the other."""
    job: BalanceJob | None = st.session_state.get(JOB)
    is_busy = job is not None and job.is_running
    for problem in settings_problems(settings):
        st.error(plain(problem))
        is_busy = True
    if st.button(
        "Balance the line", type="primary", width="stretch", disabled=is_busy, key="balance.run"
    ):
        if is_long(settings):
            _start(draft, line, settings)
        else:
            _run(draft, [line], settings)
    if len(draft.product.lines) > 1 and st.button(
        "Balance all lines at their pace",
        width="stretch",
        disabled=is_busy or is_long(settings) or bool(settings.takt or settings.stations),
        help="With a quick method and each line's own pace.",
        key="balance.run_all",
    ):
        _run(draft, [known.name for known in draft.product.lines], settings)


def is_long(settings: BalanceSettings) -> bool:
    """Return whether a balance may take longer than a page should wait."""
    uses = methods()[settings.method].uses
    return ("seconds" in uses and "trials" not in uses) or (settings.trials or 0) > LONG_TRIALS


@st.fragment(run_every=0.5)
def _progress() -> None:
    """Show how a job is doing, until it ends."""
    job: BalanceJob = st.session_state[JOB]
    if not job.is_running:
        st.rerun()
    best = "no plan yet" if job.stations is None else f"best so far {job.stations} stations"
    bound = "" if job.bound is None else f", not better than {job.bound:g}"
    st.progress(job.share, text=f"Balancing line {plain(job.line)}: {best}{bound}")
    if st.button("Stop and keep the best", icon=":material/stop_circle:", key="balance.stop"):
        job.stop()


def watch() -> None:
    """Show a running job; when it has ended, show its plan."""
    job: BalanceJob | None = st.session_state.get(JOB)
    if job is None:
        return
    if job.is_running:
        _progress()
        return
    del st.session_state[JOB]
    if job.plan is None:
        st.error(plain(job.message))
    else:
        plan_views.choose(job.plan)


def _start(draft: Draft, line: str, settings: BalanceSettings) -> None:
    """Start a job."""
    request = job_request(store_address(), draft, line, settings, by=session.user())
    st.session_state[JOB] = BalanceJob(request, line, settings.seconds or 60.0)
    st.rerun()


def _run(draft: Draft, lines: list[str], settings: BalanceSettings) -> None:
    """Balance lines at once."""
    with show.errors():
        plans: list[Plan] = [
            balance_and_keep(
                session.store(), draft, line, settings, by=session.user(), at=session.now()
            )
            for line in lines
        ]
        for plan in plans:
            plan_views.choose(plan)
        done = [plan for plan in plans if plan.plan_id]
        if len(lines) > 1:
            session.notice(f"{len(done)} of {len(lines)} lines are balanced.")
        st.rerun()
