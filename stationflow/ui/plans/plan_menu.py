"""What can be done with a plan on the Compare page: put in force, open, name, make again."""

from collections.abc import Sequence

import streamlit as st

from stationflow.actions.opening.plan_states import PlanState
from stationflow.actions.plans import plan_upkeep
from stationflow.balancing.balance_check import settings_problems
from stationflow.balancing.methods import METHODS
from stationflow.model import BalanceSettings, Plan
from stationflow.storage import Draft
from stationflow.ui import session, show
from stationflow.ui.jobs import job_views
from stationflow.ui.plans import balance_run, compare_views, plan_views
from stationflow.ui.text import plain
from stationflow.units import show_seconds

PACE, AS_BASE = "Fewest stations at the line's pace", "The same as plan {number}"
BALANCE_PAGE = "stationflow/ui/pages/balance.py"
DEFAULT_SECONDS = 20.0


def actions(draft: Draft, line: str, listed: Sequence[PlanState], chosen: Sequence[int]) -> None:
    """Show the buttons for one of the plans that are compared."""
    by_id = {each.plan.plan_id: each for each in listed}
    key = f"compare.plan.{draft.product.code}.{line}"
    if st.session_state.get(key) not in chosen:
        others = [number for number in chosen if not by_id[number].plan.in_force]
        st.session_state[key] = max(others) if others else chosen[0]
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        number = st.selectbox(
            "With",
            chosen,
            format_func=lambda n: compare_views.plan_label(by_id[n]),
            key=key,
            width=270,
        )
        each = by_id[number]
        _put_in_force(each.plan)
        if st.button("Open on Balance", key="compare.open"):
            plan_views.choose(each.plan)
            st.session_state[session.LINE] = line
            st.switch_page(BALANCE_PAGE)
        _name(each)
        _make_again(draft, line, each.plan)
        _archive(each)


def _put_in_force(plan: Plan) -> None:
    """Put a plan in force."""
    if st.button(
        "In force" if plan.in_force else "Put in force",
        type="secondary" if plan.in_force else "primary",
        disabled=plan.in_force,
        key="compare.put_in_force",
    ):
        with show.errors():
            session.store().put_in_force(plan.product, plan.plan_id, by=session.author())
            session.notice(f"Plan {plan.plan_id} is in force.")
            session.rerun()


def _name(each: PlanState) -> None:
    """Let the engineer name a plan and write a remark."""
    plan = each.plan
    with (
        st.popover("Name and remark"),
        st.form(f"compare.name.{plan.plan_id}", border=False),
    ):
        name = st.text_input("Name", plan.name, max_chars=plan_upkeep.LONGEST_NAME)
        remark = st.text_area("Remark", each.plan.remark, max_chars=plan_upkeep.LONGEST_REMARK)
        if st.form_submit_button("Keep", key="compare.keep_name"):
            with show.errors():
                plan_upkeep.describe_plan(
                    session.store(),
                    plan.product,
                    plan.plan_id,
                    name=name,
                    remark=remark,
                    by=session.author(),
                )
                session.notice(f"Name and remark of plan {plan.plan_id} are kept.")
                session.rerun()


def _make_again(draft: Draft, line: str, plan: Plan) -> None:
    """Balance again with the settings of a plan."""
    if not st.button(
        "Make it again",
        disabled=job_views.is_busy(draft, line) or not plan_upkeep.can_be_made_again(plan),
        help="With the same settings, on the product as it is now. Not for a plan that was given.",
        key="compare.make_again",
    ):
        return
    if balance_run.is_long(plan.asked):
        balance_run.start(draft, line, plan.asked)
        session.rerun()
    with show.errors():
        made = plan_upkeep.make_again(session.store(), draft, plan, by=session.author())
        if not made.plan.plan_id:
            st.error(plain(made.words))
            show.findings(made.plan.result.findings)
            return
        compare_views.add_to_choice(draft, line, [made.plan.plan_id])
        session.notice(made.words)
        session.rerun()


def _archive(each: PlanState) -> None:
    """Take a plan out of the lists, or put it back."""
    plan = each.plan
    if each.plan.archived:
        if st.button("Bring back", key="compare.bring_back"):
            with show.errors():
                _set_archived(plan, archived=False)
                session.rerun()
    elif st.button(
        "Archive",
        disabled=plan.in_force,
        help="A plan in force cannot be archived." if plan.in_force else None,
        key="compare.archive",
    ):
        with show.errors():
            _set_archived(plan, archived=True)
            session.notice(f"Plan {plan.plan_id} is archived. Nothing of it is lost.")
            session.rerun()


def _set_archived(plan: Plan, *, archived: bool) -> None:
    """Keep whether a plan is out of the lists."""
    store, by = session.store(), session.author()
    store.note_plan(plan.product, plan.plan_id, archived=archived, by=by)


def plan_list(draft: Draft, listed: Sequence[PlanState]) -> None:
    """Show all plans of the line as a table that can be sorted."""
    unit = draft.product.time_unit
    st.dataframe(
        [
            {
                "Plan": each.plan.plan_id,
                "Name": each.plan.name,
                "State": _state(each),
                "Stations": len(each.plan.result.stations),
                "Cycle time": show_seconds(each.plan.result.cycle_time, unit),
                "Method": METHODS[each.plan.result.method].title
                if each.plan.result.method in METHODS
                else each.plan.result.method,
                "From version": each.plan.product_version,
                "Out of date": "yes" if each.is_out_of_date else "no",
                "Made by": each.plan.by,
                "Made (UTC)": f"{each.plan.at:%Y-%m-%d %H:%M}" if each.plan.at else "",
                "Remark": each.plan.remark,
            }
            for each in listed
        ],
        hide_index=True,
        height=compare_views.ROW_PX * min(len(listed) + 1, 14) + 3,
        column_config={"Cycle time": st.column_config.TextColumn(alignment="right")},
        key="compare.list",
        alt="All plans of the line",
    )


def _has_own_limit(plan: Plan) -> bool:
    """Return whether a plan was asked for something else than the line's pace."""
    return bool(plan.asked.limit or plan.asked.stations)


def _state(each: PlanState) -> str:
    """Return the state of a plan in words."""
    if each.plan.in_force:
        return "in force"
    return "archived" if each.plan.archived else "kept"


def methods_form(draft: Draft, line: str, base: Plan | None) -> None:
    """Let the engineer balance the line by several methods at once."""
    known = METHODS
    asks = [PACE]
    if base is not None and plan_upkeep.can_be_made_again(base) and _has_own_limit(base):
        asks.append(AS_BASE.format(number=base.plan_id))
    names = st.multiselect(
        "Methods",
        list(known),
        default=list(known),
        format_func=lambda name: known[name].title,
        key=f"compare.methods.{draft.product.code}.{line}",
    )
    asked = st.radio("What is asked", asks, key=f"compare.asked.{draft.product.code}.{line}")
    seconds = st.number_input(
        "Time limit of the exact method (s)", 1.0, 3600.0, DEFAULT_SECONDS, key="compare.seconds"
    )
    same = base.asked if base is not None and asked != PACE else BalanceSettings()
    every = plan_upkeep.settings_of_methods(names, same, seconds=seconds)
    problems = dict.fromkeys(p for settings in every for p in settings_problems(settings))
    for problem in problems:
        st.error(plain(problem))
    if st.button(
        "Balance by these methods",
        type="primary",
        disabled=not names or bool(problems) or job_views.is_busy(draft, line),
        key="compare.run",
    ):
        balance_run.start(draft, line, *every)
        session.rerun()
    st.caption("Each method's plan is kept; stopping keeps what has been found.")
