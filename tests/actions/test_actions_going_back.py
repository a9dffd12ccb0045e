"""Edits are taken back and brought back, and each step says what is there again."""

from dataclasses import replace

import pytest
from small_products import ANA, LAMP

from stationflow.actions.products.going_back import go_back, go_back_to, last_steps
from stationflow.model import Task

T = LAMP.tasks  # 10, 20 (25 s), 30 ...


@pytest.fixture
def edit(store):
    """Return a way to store the lamp and then an edit of it."""

    def edited(**changes):
        draft = store.add_product(LAMP, {}, **ANA)
        store.save(replace(LAMP, **changes), base=draft.checksum, **ANA)
        return store

    return edited


def longer(task: Task) -> Task:
    return replace(task, time_ms=90000)


@pytest.mark.parametrize(
    ("tasks", "undone", "redone"),
    [
        ((T[0], longer(T[1]), *T[2:]), "Task 20, time: 25 s again", "Task 20, time: 90 s again"),
        ((*T, Task(number="99")), "Task 99: gone again", "Task 99: there again"),
        (
            (T[1], T[0], *T[2:]),
            "Tasks: in the order of before",
            "Tasks: in the order of before",
        ),
    ],
)
def test_a_step_back_and_forth_says(edit, tasks, undone, redone):
    assert go_back(edit(tasks=tasks), "L-100", ["undo", "redo"], **ANA) == (undone, redone)


def test_of_many_changes_of_one_step_the_first_are_said(edit):
    said = go_back(edit(tasks=tuple(map(longer, T))), "L-100", ["undo"], **ANA)
    assert said[0].endswith(f"; and {len(T) - 3} more")  # three are said


def test_a_step_too_many_says_so(edit):
    store = edit(name="A")
    said = go_back(store, "L-100", ["undo", "undo", "redo", "redo"], **ANA)
    assert said[1::2] == ("Nothing is left to undo.", "Nothing is left to redo.")


def test_steps_are_taken_one_after_the_other(edit):
    store = edit(name="A")
    go_back(store, "L-100", ["undo", "redo", "undo"], **ANA)
    assert store.draft("L-100").product.name == LAMP.name


def timed(store, *times_ms: int) -> None:
    """Give task 20 one time after the other, each a step of its own."""
    for time_ms in times_ms:
        draft = store.draft("L-100")
        tasks = (T[0], replace(T[1], time_ms=time_ms), *T[2:])
        store.save(replace(draft.product, tasks=tasks), base=draft.checksum, **ANA)


@pytest.fixture
def three_steps(store):
    """Return a store in which task 20 of the lamp took 25 s, then 90 s, 80 s and 70 s."""
    store.add_product(LAMP, {}, **ANA)
    timed(store, 90_000, 80_000, 70_000)
    return store


def time_of_20(store) -> int | None:
    return store.draft("L-100").product.tasks[1].time_ms


def test_the_steps_are_said_in_words_the_newest_first(three_steps):
    assert [step.words for step in last_steps(three_steps, "L-100", 10)] == [
        "Task 20, time: 80 s → 70 s",
        "Task 20, time: 90 s → 80 s",
        "Task 20, time: 25 s → 90 s",
        "The product as it began",
    ]


def test_no_more_steps_are_read_than_asked_for(three_steps):
    assert len(last_steps(three_steps, "L-100", 2)) == 2


def test_any_point_can_be_gone_back_to(three_steps):
    begun = last_steps(three_steps, "L-100", 10)[-1].at.checksum
    go_back_to(three_steps, three_steps.draft("L-100"), begun, **ANA)
    assert time_of_20(three_steps) == 25_000


def test_going_back_to_a_point_is_undone_in_one_step(three_steps):
    begun = last_steps(three_steps, "L-100", 10)[-1].at.checksum
    go_back_to(three_steps, three_steps.draft("L-100"), begun, **ANA)
    go_back(three_steps, "L-100", ["undo"], **ANA)
    assert time_of_20(three_steps) == 70_000


def test_an_undo_is_a_step_that_can_be_gone_back_behind(three_steps):
    go_back(three_steps, "L-100", ["undo", "undo"], **ANA)
    seventy = next(s for s in last_steps(three_steps, "L-100", 10) if s.words.endswith("→ 70 s"))
    go_back_to(three_steps, three_steps.draft("L-100"), seventy.at.checksum, **ANA)
    assert time_of_20(three_steps) == 70_000
