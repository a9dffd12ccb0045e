"""Rebalance on the Balance page: from the plan that is shown to a new pace, with least upheaval."""

from collections.abc import Sequence
from functools import partial
from typing import Any

import streamlit as st

from stationflow.actions.plans import rebalanced_plans
from stationflow.actions.plans.plan_keeping import kept_words
from stationflow.actions.plans.rebalanced_plans import Choice
from stationflow.actions.plans.way_out_taken import product_with
from stationflow.balancing.rebalance.rebalance_words import moves_words, station_words
from stationflow.balancing.time_words import count
from stationflow.model import Plan, Product, Rebalanced, RebalanceSettings, Upheaval
from stationflow.model.schema.cells import plain_number
from stationflow.model.size_limits import MOST_STATIONS
from stationflow.model.way_out import WayOut
from stationflow.storage import Draft
from stationflow.ui import session, show
from stationflow.ui.grids import stored_edits
from stationflow.ui.grids.number_field import number_field
from stationflow.ui.jobs import job_views
from stationflow.ui.jobs.job_process import Job
from stationflow.ui.plans import refused_views, shown_plan
from stationflow.ui.text import plain
from stationflow.units import TimeUnit, seconds, seconds_in_unit, show_seconds

DEMAND, LIMIT, STATIONS, TASKS = (
    "Demand",
    "Limit",
    "Stations",
    "Tasks only",
)
USUAL = Upheaval(moves=1, tools=1, skills=2, cards=0)
WEIGHTS = {
    "moves": ("Move", "A task that leaves its station; its new operator has to learn it."),
    "tools": ("Tool", "A tool or equipment that a station gets, or no longer needs."),
    "skills": ("Skill", "A skill or certificate that a station did not need before."),
    "cards": ("Card", "The card of a station whose list of tasks changes, or that is new."),
}
SECONDS = 20.0


def rebalance_tab(draft: Draft, plan: Plan) -> None:
    """Ask what changes and what upheaval weighs; show the plans to choose from."""
    line = plan.line
    busy = job_views.is_busy(draft, line)
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        settings, said = _asked(draft, plan)
        with st.popover("Weights", key="rebalance.weights"):
            weights = _weights()
        if st.button(
            f"Rebalance plan {plan.number}",
            type="primary",
            disabled=settings is None or weights is None or busy,
            key="rebalance.run",
        ):
            asked_for = RebalanceSettings(
                plan_id=plan.plan_id,
                seconds=SECONDS,
                weights=weights or USUAL,
                **(settings or {}),
            )
            job_views.start(draft, line, asked_for)
            session.rerun()
    if settings is None:
        st.warning(said)
    else:
        pins = rebalanced_plans.pins_of(session.store(), draft.product, plan)
        held = count(len(pins.tasks), "task")
        st.caption(f"{said} Pinned and kept where it is: {held}." if pins.tasks else said)
    job = job_views.last_rebalance(draft, line)
    if job is not None and not busy:
        _answer(draft, job)


def _asked(draft: Draft, plan: Plan) -> tuple[dict[str, Any] | None, str]:
    """Return what changes, as fields of the settings (None: it cannot be taken), and in words."""
    unit, line = draft.product.time_unit, plan.line
    changed = st.segmented_control(
        "What changes",
        [DEMAND, LIMIT, STATIONS, TASKS],
        width="content",
        **session.kept("rebalance.changed", DEMAND),
    )
    look: dict[str, Any] = {"width": 140}
    if changed == DEMAND:
        percent = number_field("In % of today's", 10, 500, 80, key="rebalance.demand", **look)
        limit = percent and rebalanced_plans.limit_at_demand(draft.product, line, percent)
        return _at(limit, unit) if percent else (None, "Enter the demand to come.")
    if changed == LIMIT:
        now = plan.result.limit or plan.result.cycle_time
        start = round(seconds_in_unit(now, unit), 3)
        key = f"rebalance.limit.{line}"
        limit = number_field(f"New limit ({unit.label})", 0.001, 1e9, start, key=key, **look)
        return _at(None if limit is None else seconds(limit, unit), unit)
    if changed == STATIONS:
        now = len(plan.result.stations)
        key = f"rebalance.stations.{line}"
        stations = number_field("New number", 1, MOST_STATIONS, now, key=key, **look)
        if stations is None:
            return None, "Enter the number of stations to come."
        return {"stations": stations}, "The cycle is as short as can be; then least is turned over."
    settings, said = _at(session.opened(draft).limit(line), unit)
    return (None if settings is None else {}), said


def _at(limit: float | None, unit: TimeUnit) -> tuple[dict[str, Any] | None, str]:
    """Return the settings at a limit in seconds, and what they ask in words."""
    if limit is None or limit <= 0:
        return None, "The limit is not known: enter it, or demand and calendar on the Pace page."
    said = (
        f"The limit of a station is {show_seconds(limit, unit)}. Fewest stations come first, then "
        "the least upheaval; more stations with less upheaval are shown too."
    )
    return {"limit": limit}, said


def _weights() -> Upheaval | None:
    """Return what each kind of upheaval weighs; None: it cannot be taken."""
    weights: dict[str, int | None] = {}
    for kind, (label, said) in WEIGHTS.items():
        key = f"rebalance.{kind}"
        weights[kind] = number_field(label, 0, 1000, getattr(USUAL, kind), key=key, help=said)
    known = {kind: weight for kind, weight in weights.items() if weight is not None}
    if len(known) < len(weights):
        return None
    if not any(known.values()):
        st.error("Let one of them weigh more than 0.")
        return None
    return Upheaval(**known)


def _answer(draft: Draft, job: Job) -> None:
    """Show the plans a rebalancing came to, and the one that is chosen."""
    old = next(
        (p for p in session.opened(draft).plans(job.line, archived=True)
         if job.rebalance and p.plan_id == job.rebalance.plan_id), None
    )  # fmt: skip
    if old is None:
        return
    without = [plan.result for plan in job.rebalanced if not plan.result.has_plan]
    if job.checksum != draft.checksum:
        st.warning("**These plans are of older data.** The product changed since: rebalance again.")
        if without:
            return
    if without:
        st.error("There is no such plan.")
        take = partial(_take, draft, job.line)
        refused_views.why_and_ways(without[0], "rebalance.way", take)
        return
    unit = draft.product.time_unit
    table = st.container()
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        at = st.selectbox(
            "Open",
            range(len(job.rebalanced)),
            format_func=lambda i: f"{i + 1}: {job.rebalanced[i].name}",
            width=400,
            key=f"rebalance.choice.{job.number}",
        )
        walking = number_field(
            f"Way to the next station ({unit.label})",
            0.0,
            1e6,
            0.0,
            width=210,
            key="rebalance.walking",
            help="One operator may do several stations next to each other: work and the way there "
            "and back stay within the limit. 0: the way is not counted.",
        )
        pace = next((p.result.limit for p in job.rebalanced if p.result.limit), None)
        known = rebalanced_plans.choices(job.rebalanced, pace, seconds(walking or 0.0, unit))
        _keep(draft, job, old, known[at])
    with table:
        _table(known, unit)
    _opened(draft, job, old, known[at])


def _take(draft: Draft, line: str, way: WayOut) -> None:
    """Take a way out: what it enters is one edit, what it asks for goes into the form."""
    product: Product = product_with(draft.product, way)
    if product != draft.product and not stored_edits.save(draft, product):
        return
    if way.limit is not None:
        shown = plain_number(seconds_in_unit(way.limit, draft.product.time_unit))
        session.put("rebalance.changed", LIMIT)
        session.put(f"rebalance.limit.{line}", shown)
    if way.stations is not None:
        session.put("rebalance.changed", STATIONS)
        session.put(f"rebalance.stations.{line}", str(way.stations))
    session.notice(f"{way.said}: taken; rebalance again.")


def _keep(draft: Draft, job: Job, old: Plan, choice: Choice) -> None:
    is_old = job.checksum != draft.checksum
    if st.button("Keep as a plan", disabled=is_old, key="rebalance.keep"):
        with show.errors():
            store, by = session.store(), session.author()
            kept = rebalanced_plans.keep_rebalanced(store, draft, choice.plan, old, by=by)
            shown_plan.choose(kept)
            session.rerun(kept_words(kept, by))


def _table(known: Sequence[Choice], unit: TimeUnit) -> None:
    """Show what decides between the plans, least upheaval first."""
    rows = []
    for number, choice in enumerate(known, 1):
        made = _made(choice)
        rows.append(
            {
                "": number,
                "Moves": made.upheaval.moves,
                "Tools": made.upheaval.tools,
                "Skills": made.upheaval.skills,
                "Cards": made.upheaval.cards,
                "Weighed": made.upheaval.weighed(made.weights),
                "Least": "proven"
                if made.is_least
                else f"{made.least} to {made.upheaval.weighed(made.weights)}",
                "Stations": len(choice.result.stations),
                "People": len(choice.rounds) if choice.rounds else None,
                "Cycle time": show_seconds(choice.result.cycle_time, unit),
                "Smoothness index": show_seconds(choice.smoothness, unit),
            }
        )
    alike = {"Cycle time": show.right(), "Smoothness index": show.right()}
    show.table(rows, "Plans to choose from, least upheaval first", alike, key="rebalance.table")
    st.caption(
        "People: one operator for stations next to each other wherever work and way fit into the "
        "limit. Fewer people need no move; fewer stations do."
    )


def _made(choice: Choice) -> Rebalanced:
    made = choice.result.rebalanced
    assert made is not None  # it is one of a rebalancing
    return made


def _opened(draft: Draft, job: Job, old: Plan, choice: Choice) -> None:
    """Show moves, cut-over and people of a plan."""
    made = _made(choice)
    st.markdown(f"**{plain(moves_words(made))}** {plain(' '.join(station_words(made)))}")
    moves, steps, people = st.tabs(["Moves", "Cut-over in order", "People"])
    names = {task.number: task.name for task in draft.product.tasks_of(job.line)}
    with moves:
        rows = [
            {
                "Task": move.task,
                "Name": names.get(move.task, ""),
                "From old station": str(move.old),
                "To old station": str(made.was[move.new - 1] or "new"),
                "New number": move.new,
            }
            for move in made.moves
        ]
        if rows:
            show.table(rows, "Tasks that move", {"Task": show.small()}, key="rebalance.moves")
        else:
            st.text("No task moves.")
    with steps:
        listed = rebalanced_plans.steps_to(draft.product, old, choice.result)
        st.markdown(
            "\n".join(f"1. {plain(' '.join(step.sentences))}" for step in listed)
            or "Nothing has to be done."
        )
        st.caption("Each step can be done between two shifts; after each the line can be worked.")
    with people:
        _people(choice, draft.product.time_unit)


def _people(choice: Choice, unit: TimeUnit) -> None:
    if not choice.rounds:
        st.text("One station alone takes longer than the limit, so people are not shared out.")
        return
    st.text(
        f"{count(len(choice.rounds), 'operator')} for "
        f"{count(len(choice.result.stations), 'station')}."
    )
    rows = [
        {
            "Operator": number,
            "Stations": str(each.first)
            if each.first == each.last
            else f"{each.first} to {each.last}",
            "Work": show_seconds(each.work, unit),
            "Way": show_seconds(each.walking, unit),
        }
        for number, each in enumerate(choice.rounds, 1)
    ]
    columns = {"Work": show.right(), "Way": show.right()}
    show.table(rows, "Stations of each operator", columns, key="rebalance.people")
