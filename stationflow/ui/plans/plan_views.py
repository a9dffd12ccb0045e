"""Plans on the Balance page: which one is shown, its figures, chart, stations and diagram."""

from collections.abc import Callable, Sequence
from typing import Any

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from stationflow.actions.opening.plan_states import PlanState, broken_rules, plan_state
from stationflow.actions.plans import hand_planning, plan_upkeep
from stationflow.actions.showing.explaining import Numbers, pick
from stationflow.balancing.explained.summary import reached_words, stop_words
from stationflow.balancing.methods import METHODS, method_title
from stationflow.balancing.metrics import gap
from stationflow.balancing.rebalance.rebalance_words import moves_words
from stationflow.balancing.time_words import count
from stationflow.model import BalanceResult, Ending, Goal, Plan
from stationflow.storage import Draft
from stationflow.ui import downloads, session, show
from stationflow.ui.plans import confirmation, plan_tabs, refused_views, shown_plan
from stationflow.ui.plans.shown_plan import shown_key, take_chosen
from stationflow.ui.text import plain
from stationflow.units import half_up, show_seconds

ENDINGS = {
    Ending.OPTIMAL: "proven best",
    Ending.FOUND: "valid, not proven best",
    Ending.IMPOSSIBLE: "impossible, proven",
    Ending.NOTHING_FOUND: "nothing found",
}
MOST_BROKEN = 3  # broken rules that the plan names; the others are under Findings


def show_plans(draft: Draft, line: str) -> None:
    """Show the chosen plan of a line."""
    is_refused = refused_views.show_refused(draft, line)
    stored = session.opened(draft).plans(line)
    if not stored:
        can_begin = not is_refused and session.opened(draft).work(line)[0] is not None
        if not is_refused:
            other = "; or begin with an empty station board" if can_begin else ""
            st.info(
                "This line has no plan yet. Choose what is asked and a method, "
                f"then press Balance the line{other}."
            )
        if can_begin:
            _begin_by_hand(draft, line)
        show.to_do_first(draft, "balance")
        return
    take_chosen(draft.product.code, line)
    with st.container():  # keeps the place of what follows while what is said of the plan changes
        plan, beside = _chosen(stored, shown_key(draft.product.code, line))
        state = plan_state(session.opened(draft), plan)
        with beside:
            downloads.menu("balance.download", downloads.plan_offers(state))
        _show_age(state)
        _show_broken(state)
    numbers = Numbers(state.judged_by, line, state.judged)
    _drawn(draft, state, numbers)
    confirmation.second_opinion(plan)


def _begin_by_hand(draft: Draft, line: str) -> None:
    """Offer a board on which all tasks wait to be placed."""
    if st.button("Begin by hand", icon=":material/back_hand:", key="balance.by_hand"):
        with show.errors():
            plan = hand_planning.begin_by_hand(session.store(), draft, line, by=session.author())
            if plan is None:
                st.error("The tasks of this line have errors; the findings say what to cure.")
                return
            shown_plan.choose(plan)
            st.session_state["balance.tab"] = "Board"
            session.rerun("Drag the tasks that wait at the left to stations.")


def show_meanwhile(draft: Draft, plan: Plan) -> None:
    """Show the plan of a rule that stands until a long search has its answer."""
    st.info(  # in the place of what is said of a stored plan: what follows keeps its own
        f"**Meanwhile: the best plan of the rules, {plain(METHODS[plan.result.method].title)}."
        "** Not stored; the exact plan takes its place."
    )
    state = plan_state(session.opened(draft), plan)
    numbers = Numbers(state.made_from, plan.line, plan)
    _drawn(draft, state, numbers, chart_px=plan_tabs.LOW_CHART_PX)


def _chosen(stored: Sequence[Plan], key: str) -> tuple[Plan, DeltaGenerator]:
    """Let the engineer choose a plan and put it in force; return it and a place beside it."""
    by_id = {plan.plan_id: plan for plan in stored}
    if st.session_state.get(key) not in by_id:
        st.session_state[key] = next((p for p in stored if p.in_force), stored[0]).plan_id
    row = st.container(horizontal=True, vertical_alignment="bottom")
    chosen = row.selectbox("Plan", list(by_id), format_func=lambda i: _label(by_id[i]), key=key)
    plan = by_id[chosen]
    with row:
        put_in_force(plan, f"balance.put_in_force.{plan.plan_id}", width=130)
    return plan, row


def put_in_force(plan: Plan, key: str, **look: Any) -> None:
    """Show the button that puts a plan in force; `look` is as for `st.button`."""
    label = "In force" if plan.in_force else "Put in force"
    if st.button(label, disabled=plan.in_force, key=key, **look):
        with show.errors():
            plan_upkeep.put_in_force(session.store(), plan, by=session.author())
            session.rerun(f"Plan {plan.number} is in force.")


def _label(plan: Plan) -> str:
    state = " - in force" if plan.in_force else ""
    return f"Plan {plan.number}: {plan.name}, from version {plan.product_version}{state}"


def _show_age(state: PlanState) -> None:
    """Say when a plan is out of date, and what differs."""
    if state.is_out_of_date:
        said = f"the plan {'does not hold' if state.verdict else 'still holds'}."
        differs, judged = plain(" ".join(state.differences[:12])), plain(state.judged_words)
        st.warning(
            f"**This plan is out of date.** {differs} As the product is now, {said}  \n{judged}"
        )


def _show_broken(state: PlanState) -> None:
    """Say in red, on the plan itself, what it breaks."""
    broken = broken_rules(state)
    if broken:
        unplaced = [f for f in broken if f.code == "task-not-assigned"]
        sentences = [f"{f.where}: {f.message}" for f in broken if f not in unplaced[1:]]
        if len(unplaced) > 1:
            sentences[broken.index(unplaced[0])] = f"{len(unplaced)} tasks are at no station yet."
        said = " ".join(sentences[:MOST_BROKEN])
        more = len(sentences) - MOST_BROKEN
        rest = f" And {more} more under Findings." if more > 0 else ""
        st.error(f"**This plan does not hold.** {plain(said)}{rest}")


def _drawn(
    draft: Draft, state: PlanState, numbers: Numbers, chart_px: int = plan_tabs.CHART_PX
) -> None:
    """Show the figures that decide, the tabs with the chart, and how good the plan is."""
    result, unit = state.result, draft.product.time_unit
    of_plan = numbers.of_plan()

    def box(title: str, text: str | Callable[[float], str]) -> show.NumberBox:
        opened = pick(of_plan, title)
        if callable(text):
            text = text(opened[0].value or 0.0) if opened else "-"
        return show.NumberBox(title, text, opened)

    def time(number: float) -> str:  # an opened time is in the shown unit already
        decimals = numbers.words.unit.decimals if numbers.words.unit else 0
        return f"{half_up(number, decimals)} {numbers.words.label}"

    first = [
        box("Stations", str(len(result.stations))),
        show.NumberBox("Lower bound", _bound(draft, result), numbers.lower_bound()),
        box("Cycle time", show_seconds(result.cycle_time, unit)),
        box("Limit", show_seconds(result.limit, unit) if result.limit else "-"),
        box("Balance efficiency", show.percent),
    ]
    second = [
        box("Work content", show_seconds(numbers.total_work, unit)),
        box("Gap", show.percent),
        box("Idle time", time),
        box("Balance delay", show.percent),
        box("Smoothness index", time),
    ]
    show.number_row(first, "balance.figures", columns=5)
    # So high up that the chart is seen without scrolling.
    plan_tabs.tabs(draft, state, numbers, chart_px)
    show.number_row(second, "balance.figures", columns=5, small=True)
    if why := numbers.why_not_less():
        st.markdown(f"**Why it cannot be less.** {plain(why)}")
    way = f", {result.effort.direction.value}" if result.effort.direction else ""
    missing = "does not hold" if broken_rules(state) else "given"
    ending = ENDINGS[result.ending] if result.ending else missing
    st.markdown(
        f"{plain(_way_made(result))}{way}: **{ending}**{_gap(result)}. {plain(_effort(result))}"
    )
    for reached in result.proof.reached:
        st.markdown(f"Then {plain(reached_words(reached, result.time_unit))}.")


def _way_made(result: BalanceResult) -> str:
    """Return the method of a plan, or how else it came about."""
    if result.rebalanced is not None:
        return f"Rebalanced from an old plan. {moves_words(result.rebalanced)} The plan"
    return method_title(result.method)


def _effort(result: BalanceResult) -> str:
    """Return how much was done for a plan, and what stopped it."""
    effort = result.effort
    if result.method not in METHODS and not effort.runtime_s:
        return ""
    said = [f"Time taken {effort.runtime_s:.2f} s"]
    if effort.trials:
        said.append(count(effort.trials, "trial"))
    if effort.nodes:
        said.append(count(effort.nodes, "partial plan"))
    if effort.memory_mb:
        said.append(f"{effort.memory_mb:.0f} MiB of memory")
    is_stopped = result.proof.stopped is not None
    missing = f" The proof is missing: {stop_words(result)}." if is_stopped else ""
    return f"{', '.join(said)}.{missing}"


def _bound(draft: Draft, result: BalanceResult) -> str:
    """Return the lower bound as text: stations, or a time."""
    bound = result.proof.lower_bound
    if not bound:
        return "-"
    return (
        f"{bound:g}" if result.limit is not None else show_seconds(bound, draft.product.time_unit)
    )


def _gap(result: BalanceResult) -> str:
    """Return how far a plan is from its lower bound, in words."""
    over = gap(result)
    if result.ending != Ending.FOUND or over is None:
        return ""
    if not over and result.rebalanced is not None:
        return ""
    if not over:
        return ": at the lower bound, but not all that is entered is kept (see the findings)"
    if result.goal != Goal.FEWEST_STATIONS:
        return f", gap {show.percent(over)}"
    most = len(result.stations) - int(result.proof.lower_bound)
    return f", gap {show.percent(over)} (at most {count(most, 'station')} could be saved)"
