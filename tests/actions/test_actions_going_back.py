"""Edits are taken back and brought back, and each step says what is there again."""

from dataclasses import replace

import pytest
from small_products import ANA, LAMP

from stationflow.actions.products.going_back import go_back
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
