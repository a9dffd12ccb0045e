"""Start a balance from the page: short ones at once, long ones in a process of their own."""

import streamlit as st

from stationflow.actions.plans.plan_keeping import balance_and_keep, kept_words, was_there
from stationflow.actions.plans.rule_plan import best_rule_plan
from stationflow.balancing.balance_check import settings_problems
from stationflow.balancing.methods import METHODS
from stationflow.model import BalanceSettings, Plan
from stationflow.storage import Draft
from stationflow.ui import session, show
from stationflow.ui.jobs import job_views, made_ready
from stationflow.ui.plans import joint_views, shown_plan
from stationflow.ui.text import plain


def buttons(draft: Draft, line: str, asked: BalanceSettings | None) -> None:
    """Show the buttons that balance one line, or all lines; None: what is asked cannot be read."""
    settings = asked or BalanceSettings()
    problems = settings_problems(settings)
    for problem in problems:
        st.error(plain(problem))
    is_wrong = asked is None or bool(problems)
    if st.button(
        "Balance the line",
        type="primary",
        width="stretch",
        disabled=is_wrong or job_views.is_busy(draft, line),
        key="balance.run",
    ):
        balance_lines(draft, [line], settings)
    lines = [known.name for known in draft.product.made_lines]
    is_own = bool(settings.limit or settings.stations)  # no line's own pace
    if len(lines) > 1 and st.button(
        "Balance all lines at their pace",
        width="stretch",
        disabled=is_wrong or is_own or any(job_views.is_busy(draft, known) for known in lines),
        help="Each line at its own pace, with the method and options above.",
        key="balance.run_all",
    ):
        balance_lines(draft, lines, settings)
    if len(lines) > 1 and any(task.other_lines for task in draft.product.tasks):
        joint_views.button(draft, settings, disabled=is_wrong or is_own)


def balance_lines(draft: Draft, lines: list[str], settings: BalanceSettings) -> None:
    """Balance lines at once, or start a job for each where that takes long."""
    if job_views.is_long(settings):
        for line in lines:
            job = job_views.start(draft, line, settings)
            if METHODS[settings.method].prepare and not made_ready.is_ready("search"):
                job.meanwhile = best_rule_plan(draft, line, settings)
        session.rerun()
    with show.errors():
        by = session.author()
        plans: list[Plan] = [
            balance_and_keep(session.store(), draft, line, settings, by=by) for line in lines
        ]
        for plan in plans:
            shown_plan.choose(plan)
        done = [plan for plan in plans if plan.plan_id]
        same = [kept_words(plan, by) for plan in done if was_there(plan, by)]
        if len(lines) > 1:
            session.rerun(" ".join([f"{len(done)} of {len(lines)} lines are balanced.", *same]))
        for words in same:
            st.info(plain(words))
        # One line needs no second run of the page: its plan is drawn further below in this one.
