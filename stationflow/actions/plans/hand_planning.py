"""Move a plan by hand, let a method do the rest, and keep what comes of it as a plan."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from stationflow.actions.opening.opened import Opened
from stationflow.actions.opening.plan_states import PlanState
from stationflow.actions.plans.plan_keeping import save_plan
from stationflow.actions.plans.plan_upkeep import settings_of_methods
from stationflow.balancing.balance import with_told
from stationflow.balancing.by_hand.hand_board import HandBoard, hand_board
from stationflow.balancing.by_hand.hand_plan import HandPlan, hand_plan, with_steps
from stationflow.balancing.by_hand.hand_result import HandSums, hand_result, hand_sums
from stationflow.balancing.given_stations import GivenStation
from stationflow.balancing.plan_inputs import is_made_from
from stationflow.balancing.time_words import count
from stationflow.balancing.work import line_work
from stationflow.errors import StoreError
from stationflow.model import Author, BalanceResult, BalanceSettings, HandAct, HandWork, Plan
from stationflow.pace.takt import line_pace
from stationflow.people.lifts_of_line import highest_lifting
from stationflow.storage import Draft, Store


@dataclass(frozen=True, slots=True, kw_only=True)
class HandAsk:
    """What somebody asks of a plan that is moved by hand."""

    act: HandAct | Literal["undo", "redo"]
    task: str = ""
    station: int = 0
    place: int = 0
    is_new: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class HandState:
    """A plan as it stands after the steps by hand, on the product as it is now."""

    began: BalanceResult  # the plan it began as, judged by today's
    done: HandWork
    board: HandBoard
    result: BalanceResult
    sums: HandSums
    lifting: tuple[int, float] | None  # highest lifting index: its station, and the index

    @property
    def steps(self) -> int:
        """How many steps stand."""
        return self.done.done


def hand_state(opened: Opened, state: PlanState, done: HandWork) -> HandState | None:
    """Return a plan after steps by hand; None: the tasks of the line have errors."""
    plan, product = state.plan, opened.product
    board = _board(opened, state, done)
    if board is None:
        return None
    known = [p for p in opened.plans(plan.line, archived=True) if is_made_from(p, product)]
    result = hand_result(board, line_pace(product, plan.line), known=known)
    return HandState(
        began=state.result,
        done=done,
        board=board,
        result=with_told(product, result, opened.work(plan.line)[1]),
        sums=hand_sums(board.work, result),
        lifting=highest_lifting(product, result),
    )


def _board(opened: Opened, state: PlanState, done: HandWork) -> HandBoard | None:
    """Return where the tasks are after steps by hand, at the limit of the plan's own question.

    Where demand set it, it is today's.
    """
    made = state.plan.result
    work, _ = opened.work(made.line)
    if work is None:
        return None
    begun = hand_plan(work, state.result.stations, made.asked.pins)
    limit = made.asked.limit
    if limit is None and made.pace.station_time is not None:
        limit = line_pace(opened.product, made.line).station_time_s
    return hand_board(work, with_steps(begun, done.steps[: done.done]), limit)


@dataclass(frozen=True, slots=True)
class Taken:
    """What came of what was asked."""

    said: str  # why the last thing was refused; empty: all was done
    done: HandWork  # what stands now


def take_asks(
    store: Store,
    opened: Opened,
    state: PlanState,
    asks: Sequence[HandAsk],
    *,
    by: Author,
    seen: Sequence[HandWork] = (),
) -> Taken:
    """Do what is asked, one after the other, and keep it.

    `seen`: what the board showed that was asked on; nothing is done where something else stands
    by now. Empty: whatever stands.

    What is asked after a refused step is not done: it was meant for a board that never was.
    What was done stays done: each step is one of undo.
    """
    said = ""

    def change(done: HandWork) -> HandWork:
        nonlocal said
        if seen and (done.steps, done.done) not in [(each.steps, each.done) for each in seen]:
            when = f" at {done.at:%H:%M} UTC" if done.at else ""
            who = done.by or "Somebody"
            said = f"{who} moved this plan elsewhere{when}: it is shown as it stands now."
            return done
        for ask in asks:
            if ask.act in ("undo", "redo"):
                step = -1 if ask.act == "undo" else 1
                done = replace(done, done=min(max(done.done + step, 0), len(done.steps)))
                continue
            board = _board(opened, state, done)
            if board is None:
                said = "The tasks have errors; the findings say what to cure."
                return done
            found = board.step(
                HandAct(ask.act), ask.task, ask.station, ask.place, is_new=ask.is_new
            )
            if isinstance(found, str):
                said = found
                return done
            steps = (*done.steps[: done.done], found)
            done = replace(done, steps=steps, done=len(steps))
        return done

    done = store.change_hand_work(state.plan.product, state.plan.plan_id, change, by=by)
    return Taken(said, done)


def begin_by_hand(store: Store, draft: Draft, line: str, *, by: Author) -> Plan | None:
    """Store a plan of one station without tasks, to be filled on the board; it is not in force.

    None: the tasks of the line have errors.
    """
    work, _ = line_work(draft.product, line)
    if work is None:
        return None
    pace = line_pace(draft.product, line)
    empty = HandPlan(stations=(GivenStation(1, ()),), loose=work.numbers)
    board = hand_board(work, empty, pace.station_time_s)
    result = hand_result(board, pace)
    name = "empty, to be filled by hand on the board"
    return save_plan(store, draft, result, by=by, if_first=False, name=name)


def keep_by_hand(store: Store, draft: Draft, state: PlanState, now: HandState, by: Author) -> Plan:
    """Store what was moved by hand as a plan; the steps on the plan it began as are then done.

    An empty board that was filled is archived, if it is not in force: nobody can work by it.

    StoreError if a task is at no station: such a plan cannot be worked by.
    """
    if loose := now.board.plan.loose:
        raise StoreError(
            f"Task {loose[0]} is at no station yet.", "Bring every task to a station first."
        )
    moved = f"Moved by hand from {state.plan.label}: {count(now.steps, 'step')}."
    code, old = state.plan.product, state.plan.plan_id
    is_empty = not any(station.tasks for station in state.plan.result.stations)

    def without(done: HandWork) -> HandWork:
        """Take out what became a plan; steps that came from elsewhere since stay on the board."""
        return replace(done, steps=(), done=0) if done == now.done else done

    with store.writing(by):
        plan = save_plan(store, draft, now.result, by=by, if_first=False, remark=moved)
        store.change_hand_work(code, old, without, by=by)
        if is_empty and not state.plan.in_force:
            store.note_plan(code, old, archived=True, by=by)
    return plan


def settings_of_rest(now: HandState, method: str, *, seconds: float) -> BalanceSettings:
    """Return what a method is asked, so that it leaves what is pinned and shares out the rest."""
    asked = now.result.asked
    (settings,) = settings_of_methods([method], asked, seconds=seconds)
    return replace(settings, pins=now.board.plan.pins)
