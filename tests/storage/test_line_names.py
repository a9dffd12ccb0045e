"""A line that gets another name keeps its plans, its curve and what was done to them by hand."""

import sqlite3
from contextlib import closing
from dataclasses import replace

import pytest
from small_plans import answer, station
from small_products import ANA, BOARD_LAMP

from stationflow.editing.renaming import with_line_names
from stationflow.model import (
    CurveSettings,
    CycleCurve,
    HandAct,
    HandStep,
    HandWork,
    Line,
    Plan,
    StoredCurve,
    Task,
)
from stationflow.storage import open_store

CODE = "L-200"
SWAPPED = {"main": "board", "board": "main"}


@pytest.fixture
def store(tmp_path):
    """Return a store with the lamp, two plans of each line, the second in force, and a curve."""
    opened = open_store(f"sqlite:///{tmp_path}/s.db")
    opened.add_product(BOARD_LAMP, {}, **ANA)
    for line in ("main", "board"):
        add_plans(opened, line, 2)
    yield opened
    opened.close()


def add_plans(store, line: str, count: int) -> None:
    """Store plans of a line, one of them in force, and its curve; each named after it."""
    for turn in range(count):
        result = answer(station(1, [f"{line} {turn}"], 10), line=line, method="exact", limit=60.0)
        plan = Plan(product=CODE, result=result, in_force=True, name=f"{line} {turn + 1}")
        store.add_plan(plan, **ANA)
    curve = CycleCurve(line=line, points=(), tasks=len(line), work_content=10, longest=10)
    store.keep_curve(StoredCurve(product=CODE, settings=CurveSettings(), curve=curve), **ANA)


def save(store, product):
    return store.save(product, base=store.draft(CODE).checksum, **ANA)


def rename(store, **names: str):
    return save(store, with_line_names(store.draft(CODE).product, names))


def held(store, line: str) -> tuple[list[tuple[str, int, bool]], int]:
    """Return what is kept of a line: its plans, newest first, and whose curve, by its length."""
    plans = store.plans(CODE, line)
    assert {plan.line for plan in plans} <= {line}
    curve = store.last_curve(CODE, line)
    assert curve is None or curve.line == line
    return [(p.name, p.number, p.in_force) for p in plans], curve.curve.tasks if curve else 0


def kept_of(line: str) -> tuple[list[tuple[str, int, bool]], int]:
    """Return what the store was given of a line."""
    return [(f"{line} 2", 2, True), (f"{line} 1", 1, False)], len(line)


NOTHING: tuple[list[tuple[str, int, bool]], int] = ([], 0)


def test_what_is_kept_of_a_line_goes_with_its_new_name(store):
    rename(store, board="pcb")
    assert [held(store, line) for line in ("main", "board", "pcb")] == [
        kept_of("main"),
        NOTHING,
        kept_of("board"),
    ]
    assert store.plan_in_force(CODE, "pcb").name == "board 2"


def test_undo_and_redo_carry_it_back_and_forth(store):
    rename(store, board="pcb")
    rename(store, pcb="print")
    for go, line in (
        (store.undo, "pcb"),
        (store.undo, "board"),
        (store.redo, "pcb"),
        (store.redo, "print"),
    ):
        go(CODE, **ANA)
        names = ("board", "pcb", "print")
        assert [held(store, name) for name in names if name != line] == [NOTHING] * 2
        assert held(store, line) == kept_of("board")


def test_a_plan_that_is_made_after_a_line_was_renamed_goes_back_with_it(store):
    rename(store, board="pcb")
    add_plans(store, "pcb", 1)
    store.undo(CODE, **ANA)
    plans, _ = held(store, "board")
    assert plans == [("pcb 1", 3, True), ("board 2", 2, False), ("board 1", 1, False)]


def test_two_lines_exchange_their_names_in_one_edit(store):
    rename(store, **SWAPPED)
    assert (held(store, "main"), held(store, "board")) == (kept_of("board"), kept_of("main"))
    store.undo(CODE, **ANA)
    assert (held(store, "main"), held(store, "board")) == (kept_of("main"), kept_of("board"))


def test_steps_by_hand_stay_with_their_plan(store):
    plan_id = store.plan_in_force(CODE, "board").plan_id
    steps = (HandStep(act=HandAct.PIN, task="b1"),)

    def pinned(done: HandWork) -> HandWork:
        return replace(done, steps=steps, done=1)

    store.change_hand_work(CODE, plan_id, pinned, **ANA)
    rename(store, board="pcb")
    of_line = store.plan_in_force(CODE, "pcb").plan_id
    assert store.hand_work(CODE, of_line).steps == steps


def test_a_line_that_is_taken_out_for_another_leaves_its_plans(store):
    draft = store.draft(CODE)
    other = Line(name="pcb", feeds="main", join="30")
    save(store, replace(draft.product, lines=(draft.product.lines[0], other)))
    assert (held(store, "board"), held(store, "pcb")) == (kept_of("board"), NOTHING)


def test_plans_of_a_line_that_is_no_more_make_way_and_come_back(store):
    """The name of a line that was taken out is given to another line."""
    draft = store.draft(CODE)
    main_tasks = tuple(task for task in draft.product.tasks if task.line == "main")
    save(store, replace(draft.product, lines=draft.product.lines[:1], tasks=main_tasks))
    rename(store, main="board")
    assert (held(store, "main"), held(store, "board")) == (NOTHING, kept_of("main"))
    assert [plan.name for plan in store.plans(CODE)] == ["main 2", "main 1"]
    store.undo(CODE, **ANA)
    assert (held(store, "main"), held(store, "board")) == (kept_of("main"), kept_of("board"))


def test_plans_of_a_line_that_came_meanwhile_make_way_and_come_back(store):
    """A new line takes the old name, and both edits are undone and done again."""
    product = rename(store, board="pcb").product
    new = Line(name="board", feeds="main", join="20")
    task = Task(number="n1", time_ms=9_000, line="board")
    save(store, replace(product, lines=(*product.lines, new), tasks=(*product.tasks, task)))
    add_plans(store, "board", 1)
    for go in (store.undo, store.undo):
        go(CODE, **ANA)
    assert held(store, "board") == kept_of("board")
    for go in (store.redo, store.redo):
        go(CODE, **ANA)
    assert held(store, "board") == ([("board 1", 1, True)], len("board"))
    assert held(store, "pcb") == kept_of("board")


def test_an_earlier_state_is_read_with_its_lines_called_as_now(store):
    # The way from the second state to the last: "pcb" is undone to "board", then becomes "print",
    # and the lines exchange their names.
    began = store.draft(CODE)
    second = rename(store, board="pcb")
    store.undo(CODE, **ANA)
    rename(store, board="print")
    rename(store, main="print", print="main")
    last = store.draft(CODE).product
    assert [line.name for line in last.lines] == ["print", "main"]
    for state in (began, second):
        made_from = store.made_from(CODE, state.checksum)
        assert made_from == last
        assert store.saved_product(CODE, state.checksum) == state.product


def test_what_was_begun_before_a_line_was_renamed_is_kept_under_its_new_name(store):
    began = store.draft(CODE)
    rename(store, board="pcb")
    plan = replace(store.plans(CODE, "pcb")[0], product_checksum=began.checksum)
    late = replace(plan, name="late", result=replace(plan.result, line="board"))
    curve = CycleCurve(line="board", points=(), tasks=99, work_content=10, longest=10)
    made = StoredCurve(product=CODE, settings=CurveSettings(), curve=curve)
    assert store.add_plan(late, **ANA).line == "pcb"
    store.keep_curve(replace(made, product_checksum=began.checksum), **ANA)
    plans, of_curve = held(store, "pcb")
    assert (plans[0], of_curve) == (("late", 3, True), 99)
    assert held(store, "board") == NOTHING


def test_what_stands_in_the_document_of_a_plan_is_not_written_anew(store, tmp_path):
    def documents() -> list[tuple[str]]:
        with closing(sqlite3.connect(tmp_path / "s.db")) as file:
            return file.execute("SELECT document FROM plans ORDER BY plan_id").fetchall()

    before = documents()
    rename(store, board="pcb")
    assert documents() == before
