"""Edits that come faster than the page is drawn, and pasted cells that cannot be read."""

from dataclasses import replace
from threading import Thread

import pytest
import streamlit as st
from small_products import ANA, LAMP, MORNING, put_in

from stationflow.model import Author, Task
from stationflow.ui import session
from stationflow.ui.grids import stored_edits
from stationflow.ui.grids.grid_state import GridState, rows_of
from stationflow.ui.grids.saved_elsewhere import Notes
from stationflow.ui.tasks.task_table import edited_product, task_columns

MAIN = "tasks.L-100.main"


@pytest.fixture
def grid(store, monkeypatch) -> GridState:
    """Return the task table of the lamp as the page has just drawn it."""
    monkeypatch.setattr(session, "store", lambda: store)
    monkeypatch.setattr(session, "author", lambda: ANA["by"])
    draft = put_in(store, LAMP)
    tasks, columns = draft.product.tasks, task_columns(draft.product)
    rows = rows_of(tasks, columns)
    return GridState(
        turn=1,
        frame=None,
        drawn=rows,
        records=tasks,
        labels=list(range(5)),
        known=dict(enumerate(rows)),
        seen=dict(enumerate(rows)),
        draft=draft,
        columns=columns,
        new=lambda: Task(number=""),
        edited=lambda edit: edited_product(draft.product, tasks, edit),
    )


def take(grid: GridState, **told) -> Notes:
    """Take edits as the browser tells them, without drawing the page."""
    notes = Notes()
    st.session_state[f"{MAIN}.{grid.turn}"] = told
    stored_edits._store(MAIN, grid, notes)
    return notes


def save_as_ben(store, change) -> None:
    draft = store.draft("L-100")
    store.save(change(draft.product), base=draft.checksum, by=Author("ben", MORNING))


def tasks_of(store) -> tuple[Task, ...]:
    return store.draft("L-100").product.tasks


def test_edits_of_runs_that_were_cut_short_are_all_kept(store, grid):
    for last in range(5):
        take(grid, edited_rows={n: {"Time (s)": f"{n}.5"} for n in range(last + 1)})
    assert [t.time_ms for t in tasks_of(store)] == [500, 1500, 2500, 3500, 4500]


def test_what_is_typed_while_a_run_waits_is_stored_with_it(store, grid):
    notes, rows = Notes(), {0: {"Time (s)": "8"}}
    st.session_state[f"{MAIN}.1"] = {"edited_rows": rows}
    waiting = [Thread(target=stored_edits._store, args=(MAIN, grid, notes)) for _ in range(3)]
    with notes.lock:  # as a run that is storing holds it
        for run in waiting:
            run.start()
        st.session_state[f"{MAIN}.1"] = {"edited_rows": {**rows, 4: {"Task": "Pack"}}}
    for run in waiting:
        run.join()
    assert (tasks_of(store)[0].time_ms, tasks_of(store)[4].name) == (8000, "Pack")
    assert len(store.steps("L-100", 9)) == 2  # put in, and one save


def test_a_new_row_typed_cell_by_cell_is_one_task(store, grid):
    take(grid, added_rows=[{"Task": "Pack"}])
    take(grid, added_rows=[{"Task": "Pack", "Time (s)": "9"}])
    assert [(t.number, t.name, t.time_ms) for t in tasks_of(store)[5:]] == [("60", "Pack", 9000)]


def test_a_new_row_stays_one_task_when_somebody_else_adds_one_too(store, grid):
    save_as_ben(store, lambda p: replace(p, tasks=(*p.tasks, Task(number="60", name="Label"))))
    take(grid, added_rows=[{"Task": "Pack"}])
    take(grid, added_rows=[{"Task": "Pack", "Time (s)": "9"}])
    assert [(t.number, t.name, t.time_ms) for t in tasks_of(store)[5:]] == [
        ("60", "Label", None),
        ("70", "Pack", 9000),
    ]


def test_what_somebody_else_saves_between_two_edits_is_kept(store, grid):
    take(grid, edited_rows={0: {"Time (s)": "1"}})
    save_as_ben(store, lambda p: replace(p, name="Desk lamp"))
    take(grid, edited_rows={0: {"Time (s)": "1"}, 1: {"Time (s)": "2"}})
    save_as_ben(store, lambda p: replace(p, author="ben"))
    take(grid, edited_rows={n: {"Time (s)": f"{n + 1}"} for n in range(3)})
    product = store.draft("L-100").product
    assert (product.name, product.author, [t.time_ms for t in product.tasks[:3]]) == (
        "Desk lamp",
        "ben",
        [1000, 2000, 3000],
    )


def test_who_changed_what_elsewhere_is_said(store, grid):
    save_as_ben(store, lambda p: replace(p, name="Desk lamp"))
    notes = take(grid, edited_rows={0: {"Time (s)": "1"}})
    assert notes.said == ["ben had changed: Name: Table lamp → Desk lamp."]


def test_taking_an_edit_twice_stores_it_once(store, grid):
    told = {"edited_rows": {0: {"Time (s)": "1"}}}
    take(grid, **told)
    checksum = store.newest("L-100").checksum
    take(grid, **told)
    assert store.newest("L-100").checksum == checksum


@pytest.fixture
def tasks(show):
    return show(LAMP, "tasks")


def test_a_word_in_a_pasted_row_is_told_with_its_row(tasks):
    tasks.edit(MAIN, added_rows=[{"Task": "Pack", "Time": "soon"}])
    assert "Row 6, Time (s): “soon” was not read" in tasks.errors


def test_a_pasted_row_with_a_word_in_its_time_is_kept_without_the_time(store, tasks):
    tasks.edit(MAIN, added_rows=[{"Task": "Pack", "Time": "soon"}])
    assert (tasks_of(store)[5].name, tasks_of(store)[5].time_ms) == ("Pack", None)


def test_many_refused_cells_are_told_in_a_table(tasks):
    tasks.edit(MAIN, added_rows=[{"Task": f"Pack {n}", "Time": f"soon {n}"} for n in range(30)])
    assert "30 cells were not taken" in tasks.errors
    assert "soon 29" in tasks.said


def test_a_refused_cell_is_told_until_it_is_put_right(tasks):
    tasks.edit(MAIN, edited_rows={1: {"Time": "abc"}})
    tasks.edit(MAIN, edited_rows={1: {"Time": "abc"}, 2: {"Time": "3"}})
    assert "“abc” was not read" in tasks.errors


def test_a_refused_cell_that_is_put_right_is_no_longer_told(store, tasks):
    tasks.edit(MAIN, edited_rows={1: {"Time": "abc"}})
    tasks.edit(MAIN, edited_rows={1: {"Time": "27"}})
    assert (tasks.errors, tasks_of(store)[1].time_ms) == ("", 27_000)


def test_two_thousand_pasted_rows_are_all_taken(store, tasks):
    rows = [{"Number": str(n), "Task": f"Fit {n}", "Time": "2,5"} for n in range(1001, 3001)]
    tasks.edit(MAIN, added_rows=rows)
    assert len(tasks_of(store)) == 2005
