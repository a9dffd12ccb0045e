"""What can be done with a plan on the Compare page: put in force, open, name, make again."""

from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st

from stationflow.actions.opening.plan_states import PlanState
from stationflow.actions.plans import plan_upkeep
from stationflow.balancing.balance_check import settings_problems
from stationflow.balancing.methods import METHODS, method_title
from stationflow.model import BalanceSettings, Plan
from stationflow.storage import Draft
from stationflow.ui import session, show
from stationflow.ui.grids.number_field import number_field
from stationflow.ui.jobs import job_views
from stationflow.ui.plans import compare_views, plan_views, shown_plan
from stationflow.ui.text import plain
from stationflow.units import TimeUnit, show_seconds

PACE = "Fewest stations at the line's pace"
BALANCE_PAGE = "stationflow/ui/pages/balance.py"
DEFAULT_SECONDS = 20.0


def actions(
    draft: Draft, line: str, chosen: Sequence[PlanState], labels: Mapping[int, str]
) -> None:
    """Show the buttons for one of the plans that are compared."""
    by_id = {each.plan.plan_id: each for each in chosen}
    key = f"compare.plan.{draft.product.code}.{line}"
    if st.session_state.get(key) not in by_id:
        others = [number for number, each in by_id.items() if not each.plan.in_force]
        st.session_state[key] = max(others) if others else next(iter(by_id))
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        number = st.selectbox(
            "With",
            list(by_id),
            format_func=labels.__getitem__,
            key=key,
            width=270,
        )
        plan = by_id[number].plan
        kind = "secondary" if plan.in_force else "primary"
        plan_views.put_in_force(plan, f"compare.put_in_force.{plan.plan_id}", type=kind)
        if st.button("Open on Balance", key="compare.open"):
            shown_plan.choose(plan)
            st.session_state[session.LINE] = line
            st.switch_page(BALANCE_PAGE)
        _name(plan)
        _make_again(draft, line, plan)
        _archive(plan)


def _name(plan: Plan) -> None:
    store, by = session.store(), session.author()
    with (
        show.closing_popover("Name and remark", "compare.naming"),
        st.form(f"compare.name.{plan.plan_id}", border=False),
    ):
        name = st.text_input("Name", plan.name, max_chars=plan_upkeep.LONGEST_NAME)
        remark = st.text_area("Remark", plan.remark, max_chars=plan_upkeep.LONGEST_REMARK)
        if st.form_submit_button("Keep", key="compare.keep_name"):
            with show.errors():
                number = plan.plan_id
                plan_upkeep.describe_plan(
                    store, plan.product, number, name=name, remark=remark, by=by
                )
                show.close_popover("compare.naming")
                session.rerun(f"Name and remark of {plan.label} are kept.")


def _make_again(draft: Draft, line: str, plan: Plan) -> None:
    if not st.button(
        "Make it again",
        disabled=job_views.is_busy(draft, line) or not plan_upkeep.can_be_made_again(plan),
        help="With the same settings, on the product as it is now. Not for a plan that was given.",
        key="compare.make_again",
    ):
        return
    if job_views.is_long(plan.asked):
        job_views.start(draft, line, plan.asked)
        session.rerun()
    with show.errors():
        made = plan_upkeep.make_again(session.store(), draft, plan, by=session.author())
        if not made.plan.plan_id:
            st.error(plain(made.words))
            show.findings(made.plan.result.findings)
            return
        compare_views.add_to_choice(draft, line, [made.plan.plan_id])
        session.rerun(made.words)


def _archive(plan: Plan) -> None:
    help = "A plan in force cannot be archived." if plan.in_force else None
    if show.archive_button(plan.archived, "compare", disabled=plan.in_force, help=help):
        with show.errors():
            archived = not plan.archived
            plan_upkeep.archive_plan(session.store(), plan, archived=archived, by=session.author())
            said = f"Plan {plan.number} is archived. Nothing of it is lost."
            session.rerun(said if archived else "")


def plan_list(draft: Draft, listed: Sequence[PlanState]) -> None:
    """Show all plans of the line as a table that can be sorted."""
    show.table(
        [_row(each, draft.product.time_unit) for each in listed],
        "All plans of the line",
        {"Cycle time": show.right()},
        key="compare.list",
    )


def _row(each: PlanState, unit: TimeUnit) -> dict[str, Any]:
    plan, method = each.plan, each.plan.result.method
    kept = "archived" if plan.archived else "kept"
    return {
        "Plan": plan.number,
        "Name": plan.name,
        "State": "in force" if plan.in_force else kept,
        "Stations": len(plan.result.stations),
        "Cycle time": show_seconds(plan.result.cycle_time, unit),
        "Method": method_title(method),
        "From version": plan.product_version,
        "Out of date": "yes" if each.is_out_of_date else "no",
        "Made by": plan.by,
        "Made (UTC)": f"{plan.at:%Y-%m-%d %H:%M}" if plan.at else "",
        "Remark": plan.remark,
    }


def methods_form(draft: Draft, line: str, base: Plan | None) -> None:
    """Let the engineer balance the line by several methods at once."""
    asks = [PACE]
    has_own = base is not None and bool(base.asked.limit or base.asked.stations)
    if base is not None and has_own and plan_upkeep.can_be_made_again(base):
        asks.append(f"The same as {base.label}")
    names = st.multiselect(
        "Methods",
        list(METHODS),
        default=list(METHODS),
        format_func=lambda name: METHODS[name].title,
        key=f"compare.methods.{draft.product.code}.{line}",
    )
    asked = st.radio("What is asked", asks, key=f"compare.asked.{draft.product.code}.{line}")
    seconds = number_field(
        "Time limit of the exact method (s)", 1.0, 3600.0, DEFAULT_SECONDS, key="compare.seconds"
    )
    same = base.asked if base is not None and asked != PACE else BalanceSettings()
    every = plan_upkeep.settings_of_methods(names, same, seconds=seconds or DEFAULT_SECONDS)
    problems = dict.fromkeys(p for settings in every for p in settings_problems(settings))
    for problem in problems:
        st.error(plain(problem))
    if st.button(
        "Balance by these methods",
        type="primary",
        disabled=not names or seconds is None or bool(problems) or job_views.is_busy(draft, line),
        key="compare.run",
    ):
        job_views.start(draft, line, *every)
        show.close_popover("compare.by_methods")
        session.rerun()
    st.caption("Each method's plan is kept; stopping keeps what has been found.")
