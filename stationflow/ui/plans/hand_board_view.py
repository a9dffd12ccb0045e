"""The station board of a plan: moves by hand, what comes of them, and keeping it."""

from collections.abc import Iterable, Mapping, Sequence
from math import isinf
from typing import Any

import streamlit as st

from stationflow.actions.opening.plan_states import PlanState
from stationflow.actions.plans import hand_planning
from stationflow.actions.plans.hand_planning import HandAsk, HandState
from stationflow.balancing.methods import METHODS
from stationflow.balancing.metrics import balance_efficiency, gap, smoothness_index
from stationflow.balancing.time_words import count
from stationflow.drawing.limit_tips import limit_tips
from stationflow.model import BalanceResult, HandAct, HandStep, HandWork, Severity
from stationflow.storage import Draft
from stationflow.ui import session, show
from stationflow.ui.components.station_board import Heard, station_board
from stationflow.ui.jobs import job_views
from stationflow.ui.plans import balance_run, balance_settings, shown_plan
from stationflow.ui.text import plain
from stationflow.units import TimeUnit, show_seconds

BOARD_PX = 342  # with the buttons below it in sight in a window of 800 pixels
OVER_LIMIT, UNPLACED = "station-over-limit", "task-not-assigned"
SHOWN_WRONG = 2  # sentences of what is wrong that find room above the stations
Figure = tuple[str, str, str, bool]
"""A title, a value, what it was before the steps, and whether it is bad."""


@st.fragment  # a move draws the board anew, not the whole page
@show.errors()
def board(draft: Draft, state: PlanState) -> None:
    """Show the stations of a plan as tiles that can be moved; keep what comes of it."""
    store, plan = session.store(), state.plan
    if not plan.plan_id:
        st.text("The plan is moved by hand once it is stored.")
        return
    opened = session.opened(draft)
    done = store.hand_work(plan.product, plan.plan_id)
    now = hand_planning.hand_state(opened, state, done)
    if now is None:
        st.text("The tasks have errors; the findings say what to cure.")
        return

    board_id = f"{plan.product}.{plan.plan_id}"
    heard: Heard = st.session_state.setdefault(f"board.heard.{board_id}", Heard())
    left: list[HandWork] = st.session_state.setdefault(f"board.left.{board_id}", [])

    def take(asks: Sequence[Mapping[str, Any]]) -> str:
        asked = [_ask(ask) for ask in asks]
        seen = [done, *left]  # on a slow machine the board shows more than what was drawn last
        taken = hand_planning.take_asks(store, opened, state, asked, by=session.author(), seen=seen)
        left[:] = [taken.done]
        return taken.said

    data = {"id": board_id, **board_data(now, draft)}
    station_board(data, height=BOARD_PX, key="balance.board", heard=heard, take=take)
    _buttons(draft, state, now)


def _ask(ask: Mapping[str, Any]) -> HandAsk:
    act = str(ask.get("act"))
    return HandAsk(
        act=act if act in ("undo", "redo") else HandAct(act),  # type: ignore[arg-type]
        task=str(ask.get("task") or ""),
        station=int(ask.get("station") or 0),
        place=int(ask.get("place") or 0),
        is_new=bool(ask.get("isNew")),
    )


def _buttons(draft: Draft, state: PlanState, now: HandState) -> None:
    """Let the engineer keep the plan, or have a method share out what is not pinned."""
    pins = now.board.plan.pins
    with st.container(horizontal=True, vertical_alignment="center"):
        if st.button(
            "Keep as a plan",
            type="primary",
            disabled=not now.steps,
            help="The plan as it stands on the board becomes a plan of its own.",
            key="board.keep",
        ):
            with show.errors():
                plan = hand_planning.keep_by_hand(
                    session.store(), draft, state, now, session.author()
                )
                shown_plan.choose(plan)
                session.rerun(f"Plan {plan.number} is stored: {plan.name}.")
        name = balance_settings.chosen_method()
        method = METHODS[name].title
        if st.button(
            "Balance around the pins",
            disabled=not (pins.tasks or pins.stations) or job_views.is_busy(draft, state.plan.line),
            help=f"By the method chosen at the left ({method}): what is pinned or locked stays, "
            "the method shares out the rest.",
            key="board.rest",
        ):
            settings = hand_planning.settings_of_rest(now, name, seconds=60.0)
            balance_run.balance_lines(draft, [state.plan.line], settings)
            session.rerun()
        st.caption(plain(_stand(state, now)))


def _stand(state: PlanState, now: HandState) -> str:
    """Say what stands on the board and is not a plan yet."""
    pins = now.board.plan.pins
    held = len(pins.tasks)
    pinned = f" {count(held, 'task')} pinned." if held else ""
    if not now.steps:
        return f"As {state.plan.label} stands; nothing is moved yet.{pinned}"
    steps = count(now.steps, "step")
    return f"{steps} from {state.plan.label}, kept here until they become a plan.{pinned}"


def board_data(now: HandState, draft: Draft) -> dict[str, Any]:
    """Return what the board in the browser has to know."""
    board, unit = now.board, draft.product.time_unit
    work, plan, rules = board.work, board.plan, board.rules
    names = {task.number: task.name for task in draft.product.tasks_of(work.line)}
    reasons: dict[str, int] = {}

    def numbered(by_station: Mapping[int, str]) -> dict[int, int]:
        return {
            n: reasons.setdefault(said, len(reasons)) if said else -1
            for n, said in by_station.items()
        }

    refused = {task: numbered(said) for task, said in board.refused_stations().items()}
    for_all, single = board.refused_new_stations()
    new = {"": numbered(for_all), **{task: numbered(said) for task, said in single.items()}}
    company = {
        work.numbers[row[0]]: [work.numbers[task] for task in row]
        for row in rules.company
        if len(row) > 1
    }
    result = now.result
    times = dict(zip(work.numbers, work.times, strict=True))
    tips = limit_tips(draft.product, work.line)
    done, steps = now.done.done, now.done.steps
    return {
        "label": f"Station board of line {work.line}: arrow keys choose a task, Enter takes it up",
        "place": {number: at for at, number in enumerate(work.numbers)},
        "names": {number: names.get(number, "") for number in work.numbers},
        "times": times,
        "asked": dict(tips.tasks),
        "before": {
            number: [work.numbers[p] for p in row]
            for number, row in zip(work.numbers, work.predecessors, strict=True)
            if row
        },
        "company": {task: row for row in company.values() for task in row},
        "stations": [
            {
                "tasks": list(station.tasks),
                "place": station.place,
                "isLocked": station.number in plan.locked,
                "load": load,
                "room": room,
                "extra": load - sum(times[task] for task in station.tasks),
                "asks": tips.stations.get(station.number, ""),
            }
            for station, load, room in zip(plan.stations, board.loads, board.rooms, strict=True)
        ],
        "loose": list(plan.loose),
        "pinned": sorted(plan.pinned),
        "refused": refused,
        "refusedNew": new,
        "reasons": list(reasons),
        "limit": None if result.limit is None else result.limit * work.ticks,
        "limitSaid": f"limit {show_seconds(result.limit, unit)}" if result.limit else "",
        "unit": {
            "each": 1000 / work.ticks / unit.milliseconds,
            "decimals": unit.decimals,
            "label": unit.label,
        },
        "undos": done,
        "redos": len(steps) - done,
        "undo": step_words(steps[done - 1]) if done else "",
        "redo": step_words(steps[done]) if done < len(steps) else "",
        "figures": list(_figures(now, unit)),
        "wrong": _wrong(result),
    }


def step_words(step: HandStep) -> str:
    """Return a step in a few words."""
    station = f"station {step.station}"
    return {
        HandAct.MOVE: f"task {step.task} to {'new ' if step.is_new else ''}{station}",
        HandAct.INSERT: f"{station} inserted",
        HandAct.EMPTY: f"{station} emptied",
        HandAct.REMOVE: f"{station} removed",
        HandAct.PIN: f"pin of task {step.task}",
        HandAct.LOCK: f"lock of {station}",
    }[step.act]


def _wrong(result: BalanceResult) -> list[str]:
    """Return what is wrong beside work over the limit, which stands among the figures."""
    known = (OVER_LIMIT, UNPLACED)  # the column of tasks at no station says how many
    found = [f for f in result.findings if f.severity == Severity.ERROR and f.code not in known]
    said = [f"{f.where}: {f.message}" for f in found[:SHOWN_WRONG]]
    more = len(found) - SHOWN_WRONG
    return [*said, f"And {more} more."] if more > 0 else said


def _figures(now: HandState, unit: TimeUnit) -> Iterable[Figure]:
    """Yield the figures of the board, each with what it was before the steps."""
    result, began, sums = now.result, now.began, now.sums

    def compared(title: str, value: str, was: str, *, is_bad: bool = False) -> Figure:
        return title, value, f"was {was}" if was != value else "", is_bad

    def time(seconds: float) -> str:
        return show_seconds(seconds, unit)

    yield compared("Stations", str(len(result.stations)), str(len(began.stations)))
    if result.limit is not None:
        said = ", ".join(f"S{number} by {time(by)}" for number, by in sums.over[:3])
        more = f" and {len(sums.over) - 3} more" if len(sums.over) > 3 else ""
        yield "Over the limit", f"{said}{more}" or "none", "", bool(sums.over)
    yield compared("Cycle time", time(result.cycle_time), time(began.cycle_time))
    efficiency = balance_efficiency(result.loads, result.limit)
    before = balance_efficiency(began.loads, began.limit)
    yield compared("Efficiency", show.percent(efficiency), show.percent(before))
    smooth, was = smoothness_index(result.loads), smoothness_index(began.loads)
    yield compared("Smoothness", time(smooth), time(was))
    if (over := gap(result)) is not None:
        yield "Gap", show.percent(over), "", False
    if sums.equipment:
        yield "Equipment", ", ".join(f"{name} {n}" for name, n in sums.equipment), "", False
    if sums.most_lifted_at:
        yield "Most lifted", f"{sums.most_lifted_kg:g} kg at S{sums.most_lifted_at}", "", False
    if now.lifting is not None:
        number, index = now.lifting
        said = "not to be lifted so" if isinf(index) else f"{index:.2f}"
        yield "Lifting index", f"{said} at S{number}", "", index > 1
