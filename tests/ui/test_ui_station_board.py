"""What an engineer does with the station board of the Balance page, one sentence a test."""

from dataclasses import replace

import pytest
from small_products import ANA, BROKEN, EMPTY, LAMP

from stationflow.actions.opening.opened import opened_draft
from stationflow.actions.opening.plan_states import plan_state
from stationflow.actions.plans.hand_planning import hand_state
from stationflow.model import (
    Coupling,
    HandAct,
    HandMove,
    HandStep,
    HandWork,
    Lift,
    TaskLimits,
)
from stationflow.ui.plans.hand_board_view import board_data, step_words

CODE, LINE = "L-100", "main"


@pytest.fixture
def board(show, store):
    """Return the Balance page with a plan of the lamp, its board open."""
    page = show(LAMP, "balance")
    page.press("balance.run")
    page.test.session_state["balance.tab"] = "Board"
    page.run()
    return page


def step(store, *steps: HandStep) -> None:
    """Do steps on the plan, as the browser asks for them."""
    plan_id = store.plans(CODE, LINE)[-1].plan_id

    def change(done: HandWork) -> HandWork:
        return replace(done, steps=steps, done=len(steps))

    store.change_hand_work(CODE, plan_id, change, **ANA)


def last_alone(store) -> HandStep:
    """Return the step that brings the last task to a station of its own."""
    stations = store.plans(CODE, LINE)[-1].result.stations
    task, to = stations[-1].tasks[-1], len(stations) + 1
    move = HandMove(task=task, station=to, place=0)
    return HandStep(act=HandAct.MOVE, task=task, station=to, is_new=True, moves=(move,))


def test_a_plan_that_is_not_moved_says_so_and_cannot_be_kept(board):
    assert "nothing is moved yet" in board.said
    assert board.test.button(key="board.keep").disabled


def test_the_lifting_index_stands_among_the_figures(show, store):
    # 30 kg is more than the 23 kg of the equation at its best: the index is above 1.
    lift = Lift(
        from_reach_mm=250,
        from_height_mm=750,
        to_reach_mm=250,
        to_height_mm=750,
        coupling=Coupling.GOOD,
    )
    heavy = replace(LAMP.tasks[4], lift=lift, limits=TaskLimits(lift_kg=30))
    page = show(replace(LAMP, tasks=(*LAMP.tasks[:4], heavy)), "balance")
    page.press("balance.run")
    draft, plan = store.draft(CODE), store.plans(CODE, LINE)[0]
    opened = opened_draft(store, draft)
    done = store.hand_work(CODE, plan.plan_id)
    now = hand_state(opened, plan_state(opened, plan), done)
    figures = {title: (value, bad) for title, value, _, bad in board_data(now, draft)["figures"]}
    value, bad = figures["Lifting index"]
    assert (value.partition(" at ")[2], float(value.split()[0]) > 1, bad) == ("S3", True, True)


def test_what_was_moved_by_hand_is_kept_as_a_plan_and_shown(board, store):
    step(store, last_alone(store))
    board.run()
    assert "1 step from plan 1" in board.said
    board.press("board.keep")
    kept = store.plans(CODE, LINE)[0]
    assert (kept.number, kept.result.method, len(kept.result.stations)) == (2, "by-hand", 4)
    assert "Plan 2 is stored: 4 stations, limit 60.0 s, by hand." in board.said
    assert "By hand: **valid, not proven best**" in board.said


def test_steps_that_cannot_be_read_are_named_in_place_of_the_board(board, store):
    step(store, last_alone(store))
    with store.writing(ANA["by"]) as connection:
        connection.exec_driver_sql("UPDATE hand_work SET document = '{'")
    board.run()
    said = "What was done by hand to plan 1 of line main of product L-100 cannot be read"
    assert said in board.errors
    board.test.session_state["balance.tab"] = "Stations"
    board.run()
    assert (said in board.errors, "Open the numbers of station" in board.said) == (False, True)


def test_a_method_shares_out_the_rest_around_a_pinned_task(board, store):
    last = last_alone(store)
    step(store, last, HandStep(act=HandAct.PIN, task=last.task))
    board.run()
    board.press("board.rest")
    made = store.plans(CODE, LINE)[0]
    assert made.asked.pins.tasks == ((last.task, 4),)
    assert made.asked.method == "ranked-positional-weight"
    assert last.task in made.result.stations[3].tasks


def test_without_a_pin_there_is_nothing_to_balance_around(board):
    assert board.test.button(key="board.rest").disabled


def test_a_plan_by_hand_over_the_limit_stands_in_red(board, store):
    first, second = store.plans(CODE, LINE)[-1].result.stations[:2]
    move = HandMove(task=second.tasks[0], station=1, place=len(first.tasks))
    step(store, HandStep(act=HandAct.MOVE, task=second.tasks[0], station=1, moves=(move,)))
    board.run()
    board.press("board.keep")
    assert "This plan does not hold." in board.errors
    assert "By hand: **does not hold**" in board.said


def test_a_line_with_errors_cannot_be_moved(board, store):
    draft = store.draft(CODE)
    untimed = replace(draft.product.tasks[0], time_ms=None)
    broken = replace(draft.product, tasks=(untimed, *draft.product.tasks[1:]))
    store.save(broken, base=draft.checksum, **ANA)
    board.run()
    assert "the findings say what to cure" in board.said


@pytest.mark.parametrize(
    ("done", "said"),
    [
        (HandStep(act=HandAct.MOVE, task="20", station=3), "task 20 to station 3"),
        (HandStep(act=HandAct.MOVE, task="20", station=3, is_new=True), "task 20 to new station 3"),
        (HandStep(act=HandAct.EMPTY, station=3), "station 3 emptied"),
        (HandStep(act=HandAct.LOCK, station=3), "lock of station 3"),
    ],
)
def test_undo_says_what_it_takes_back(done, said):
    assert step_words(done) == said


def test_the_pace_page_counts_by_todays_times_and_says_what_the_plan_was_made_for(show, store):
    page = show(LAMP, "balance")
    page.press("balance.run")
    page.go("tasks")
    page.edit("tasks.L-100.main", edited_rows={1: {"Time": "28"}})  # station 1 had 55 s
    page.go("pace")
    assert "At the cycle time of the plan in force, 58.0 s" in page.said
    assert "It was made for limit 60.0 s, cycle time 55.0 s." in page.said


def test_a_line_without_a_plan_can_be_planned_on_an_empty_board(show, store):
    page = show(LAMP, "balance")
    page.press("balance.by_hand")
    (plan,) = store.plans(CODE, LINE)
    assert (plan.in_force, [s.tasks for s in plan.result.stations]) == (False, [()])
    assert page.test.session_state["balance.tab"] == "Board"
    assert "As plan 1 stands; nothing is moved yet." in page.said
    assert "5 tasks are at no station yet." in page.errors


@pytest.mark.parametrize("product", [EMPTY, BROKEN])
def test_without_tasks_that_can_be_balanced_no_board_is_offered(show, product):
    page = show(product, "balance")
    assert "This line has no plan yet." in page.said
    assert "balance.by_hand" not in {button.key for button in page.test.button}


def test_a_plan_filled_by_hand_from_an_empty_board_is_kept(show, store):
    """By hand: all 150 s of the lamp at the one station there is."""
    page = show(LAMP, "balance")
    page.press("balance.by_hand")
    tasks = [task.number for task in LAMP.tasks]
    moves = [HandMove(task=task, station=1, place=at) for at, task in enumerate(tasks)]
    step(store, *(HandStep(act=HandAct.MOVE, task=m.task, station=1, moves=(m,)) for m in moves))
    page.run()
    page.press("board.keep")
    (kept,) = [plan for plan in store.plans(CODE, LINE) if not plan.archived]
    assert kept.result.loads == (150.0,)


def test_an_empty_board_that_was_filled_can_be_begun_again(show, store):
    page = show(LAMP, "balance")
    page.press("balance.by_hand")
    (plan,) = store.plans(CODE, LINE)
    store.note_plan(CODE, plan.plan_id, archived=True, **ANA)
    page.run()
    page.press("balance.by_hand")
    assert store.plans(CODE, LINE) == [plan]
