"""Plans on the Balance page: which one is shown, its figures, chart, stations and diagram."""

from collections.abc import Sequence

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from stationflow.actions.opening.plan_states import PlanState, plan_state
from stationflow.actions.showing.explaining import Numbers, pick
from stationflow.balancing.explained.summary import stop_words
from stationflow.balancing.methods import METHODS
from stationflow.balancing.metrics import gap
from stationflow.balancing.time_words import count
from stationflow.model import BalanceResult, Ending, Goal, Plan
from stationflow.storage import Draft
from stationflow.ui import downloads, session, show
from stationflow.ui.plans import confirmation, plan_tabs
from stationflow.ui.text import plain
from stationflow.units import half_up, show_seconds

ENDINGS = {
    Ending.OPTIMAL: "proven best",
    Ending.FOUND: "valid, not proven best",
    Ending.IMPOSSIBLE: "impossible, proven",
    Ending.NOTHING_FOUND: "nothing found",
}


def choose(plan: Plan) -> None:
    """Show this plan next; one without stations is shown with its findings, once."""
    key = _key(plan.product, plan.line)
    if plan.plan_id:
        st.session_state[key] = plan.plan_id
        st.session_state.pop(f"{key}.refused", None)
    else:
        st.session_state[f"{key}.refused"] = plan.result


def show_plans(draft: Draft, line: str) -> None:
    """Show the chosen plan of a line."""
    key = _key(draft.product.code, line)
    refused: BalanceResult | None = st.session_state.pop(f"{key}.refused", None)
    if refused is not None:
        _show_refused(refused)
    stored = session.opened(draft).plans(line)
    if not stored:
        st.info(
            "This line has no plan yet. Choose what is asked and a method, "
            "then press Balance the line."
        )
        show.to_do_first(draft, "balance")
        return
    plan, beside = _chosen(stored, key)
    state = plan_state(session.opened(draft), plan)
    with beside:
        downloads.menu("balance.download", downloads.plan_offers(state))
    _show_age(state)
    numbers = Numbers(state.made_from, line, plan)
    _figures(draft, plan, numbers)
    confirmation.second_opinion(plan)
    plan_tabs.tabs(draft, state, numbers)


def _key(code: str, line: str) -> str:
    """Return under which name the session keeps the plan chosen for a line."""
    return f"balance.plan.{code}.{line}"


def _chosen(stored: Sequence[Plan], key: str) -> tuple[Plan, DeltaGenerator]:
    """Let the engineer choose a plan and put it in force; return it and a place beside it."""
    ids = [plan.plan_id for plan in stored]
    by_id = {plan.plan_id: plan for plan in stored}
    if st.session_state.get(key) not in by_id:
        in_force = next((p.plan_id for p in stored if p.in_force), ids[0])
        st.session_state[key] = in_force
    row = st.container(horizontal=True, vertical_alignment="bottom")
    chosen = row.selectbox("Plan", ids, format_func=lambda i: _label(by_id[i]), key=key)
    plan = by_id[chosen]
    if row.button(
        "In force" if plan.in_force else "Put in force",
        disabled=plan.in_force,
        width=130,
        key="balance.put_in_force",
    ):
        with show.errors():
            session.store().put_in_force(plan.product, plan.plan_id, by=session.author())
            session.rerun()
    return plan, row


def _label(plan: Plan) -> str:
    """Return a plan as it stands in the list."""
    state = " - in force" if plan.in_force else ""
    return f"Plan {plan.plan_id}: {plan.name}, from version {plan.product_version}{state}"


def _show_refused(result: BalanceResult) -> None:
    """Say why there is no plan."""
    words = {
        Ending.IMPOSSIBLE: "What is asked is impossible.",
        Ending.NOTHING_FOUND: "No plan was found in the time given.",
        None: "The line could not be balanced; the findings say what to cure.",
    }
    st.error(words.get(result.ending, "There is no plan."))
    show.findings(result.findings)


def _show_age(state: PlanState) -> None:
    """Say when a plan is out of date, and what differs."""
    if not state.is_out_of_date:
        return
    st.warning("**This plan is out of date.** The product changed since it was made:")
    st.text("\n".join(state.differences[:12]))
    if state.verdict:
        broken = count(len(state.verdict), "rule")
        st.markdown(f"As the product is now, the plan breaks {broken} (Findings).")
    else:
        st.markdown("As the product is now, the plan still holds.")


def _figures(draft: Draft, plan: Plan, numbers: Numbers) -> None:
    """Show the figures of a plan, each ready to be opened."""
    result, unit = plan.result, draft.product.time_unit
    of_plan = numbers.of_plan()
    longest = result.cycle_time

    def box(title: str, text: str, key: str) -> show.NumberBox:
        return show.NumberBox(title=title, text=text, numbers=pick(of_plan, key))

    def first(key: str) -> float:
        return next((e.value or 0.0 for e in pick(of_plan, key)), 0.0)

    show.number_row(
        [
            box("Stations", str(len(result.stations)), "stations"),
            show.NumberBox(
                title="Lower bound", text=_bound(draft, result), numbers=numbers.lower_bound()
            ),
            box("Cycle time", show_seconds(longest, unit), "cycle-time"),
            box("Limit", show_seconds(result.limit, unit) if result.limit else "-", "limit"),
            box(
                "Balance efficiency",
                show.percent(first("balance-efficiency")),
                "balance-efficiency",
            ),
        ],
        "balance.figures",
        columns=5,
    )
    show.number_row(
        [
            box("Work content", show_seconds(numbers.total_work, unit), "work-content"),
            box("Gap", show.percent(first("gap")) if pick(of_plan, "gap") else "-", "gap"),
            box("Idle time", _time(first("idle-time"), numbers), "idle-time"),
            box("Balance delay", show.percent(first("balance-delay")), "balance-delay"),
            box("Smoothness index", _time(first("smoothness-index"), numbers), "smoothness-index"),
        ],
        "balance.figures",
        columns=5,
        small=True,
    )
    if why := numbers.why_not_less():
        st.markdown(f"**Why it cannot be less.** {plain(why)}")
    way = f", {result.effort.direction.value}" if result.effort.direction else ""
    ending = ENDINGS[result.ending] if result.ending else "given"
    known = METHODS.get(result.method)
    st.markdown(
        f"{plain(known.title if known else 'Given by hand')}{way}: **{ending}**{_gap(result)}. "
        f"{plain(_effort(plan))}"
    )


def _effort(plan: Plan) -> str:
    """Return how much was done for a plan, and what stopped it."""
    result = plan.result
    said = [f"Time taken {result.effort.runtime_s:.2f} s"]
    if result.effort.trials:
        said.append(count(result.effort.trials, "trial"))
    if result.effort.nodes:
        said.append(count(result.effort.nodes, "partial plan"))
    if result.effort.memory_mb:
        said.append(f"{result.effort.memory_mb:.0f} MiB of memory")
    words = f"{', '.join(said)}."
    if result.proof.stopped is not None:
        words += f" The proof is missing: {stop_words(result)}."
    return words


def _time(number: float, numbers: Numbers) -> str:
    """Return an opened time, which is in the shown unit already, as text."""
    unit = numbers.words.unit
    return f"{half_up(number, unit.decimals if unit else 0)} {numbers.words.label}"


def _bound(draft: Draft, result: BalanceResult) -> str:
    """Return the lower bound as text: stations, or a time."""
    if not result.proof.lower_bound:
        return "-"
    if result.limit is not None:
        return f"{result.proof.lower_bound:g}"
    return show_seconds(result.proof.lower_bound, draft.product.time_unit)


def _gap(result: BalanceResult) -> str:
    """Return how far a plan is from its lower bound, in words."""
    over = gap(result)
    if result.ending != Ending.FOUND or over is None:
        return ""
    if result.goal != Goal.FEWEST_STATIONS:
        return f", gap {show.percent(over)}"
    most = len(result.stations) - int(result.proof.lower_bound)
    return f", gap {show.percent(over)} (at most {count(most, 'station')} could be saved)"
