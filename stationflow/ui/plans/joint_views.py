"""All lines balanced at once on the Balance page: start it, see what would move, keep it."""

import streamlit as st

from stationflow.actions.jobs.long_jobs import JointRequest
from stationflow.actions.plans.joint_balancing import joint_words, keep_joint
from stationflow.balancing.time_words import count
from stationflow.line.joint.joint_balance import JointBalance
from stationflow.model import BalanceSettings, Finding
from stationflow.storage import Draft
from stationflow.ui import session, show
from stationflow.ui.jobs import job_views
from stationflow.ui.plans import shown_plan
from stationflow.ui.text import plain


def button(draft: Draft, settings: BalanceSettings, *, disabled: bool) -> None:
    """Show the button that starts it; a product without a main line has none."""
    main = draft.product.main_line
    if main is not None and st.button(
        "Balance all lines at once",
        width="stretch",
        disabled=disabled or job_views.is_busy(draft, main.name),
        help="Each line at its own pace; tasks that may be done on other lines too go where they "
        "save stations. You see what would move before anything is kept.",
        key="balance.run_joint",
    ):
        job_views.start(draft, main.name, JointRequest(settings=settings))
        session.rerun()


def answer(draft: Draft) -> None:
    """Show what the last one came to, until it is kept or put away."""
    job = job_views.last_joint(draft)
    if job is None or job.joint is None:
        return
    found, is_old = job.joint, job.checksum != draft.checksum
    with st.container(border=True, key="joint-answer"):
        st.markdown(f"**All lines at once.** {plain(joint_words(found))}")
        if is_old:
            st.warning("**This is of older data.** The product changed since: balance again.")
        if found.has_plans:
            _lines(found)
        if told := found.findings if found.has_plans else _all_findings(found):
            show.findings(told)
        with st.container(horizontal=True, gap="small"):
            keep = st.button(
                "Keep: move the tasks, put the plans in force",
                type="primary",
                disabled=is_old or not found.has_plans,
                help="One step, which Undo takes back with the plans.",
                key="joint.keep",
            )
            away = st.button("Put away", key="joint.away")
    if keep:
        with show.errors():
            _, plans = keep_joint(session.store(), draft, found, by=session.author())
            job_views.registry().forget(job)
            for plan in plans:
                shown_plan.choose(plan)
            moved = f"{count(len(found.moved), 'task')} moved."
            session.rerun(f"{count(len(plans), 'plan')} are in force. {moved}")
    if away:
        job_views.registry().forget(job)
        session.rerun()


def _lines(found: JointBalance) -> None:
    """Show the stations of each line, and the tasks that come to it."""
    rows = [
        {
            "Line": result.line,
            "Stations": len(result.stations),
            "Not under": f"{result.proof.lower_bound:g}",
            "Comes": ", ".join(move.task for move in found.moved if move.new == result.line),
            "Goes": ", ".join(move.task for move in found.moved if move.old == result.line),
        }
        for result in found.results
    ]
    columns = {"Stations": show.small(), "Not under": show.small()}
    show.table(
        rows, "Stations of each line, and the tasks that change lines", columns, key="joint.table"
    )


def _all_findings(found: JointBalance) -> tuple[Finding, ...]:
    return (*found.findings, *(f for result in found.results for f in result.findings))
