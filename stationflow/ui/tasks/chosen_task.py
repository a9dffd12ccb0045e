"""The chosen task: one choice that the toolbar, the diagram and the details share.

A task is known by its number and, where several bear that number, by which of them it is:
so each of them can be reached.
"""

from dataclasses import dataclass

import streamlit as st

from stationflow.model import Product

CHOSEN = "chosen_task"
WIDGET = "tasks.open"


@dataclass(frozen=True, slots=True)
class Choice:
    """Which task is chosen, and where it stood then."""

    code: str
    key: str
    place: int


def task_keys(product: Product) -> list[str]:
    """Return for each task a text that tells it apart: its number, the first time it comes."""
    keys, seen = [], dict[str, int]()
    for task in product.tasks:
        seen[task.number] = seen.get(task.number, 0) + 1
        turn = seen[task.number]
        keys.append(task.number if turn == 1 else f"{task.number}\n{turn}")
    return keys


def task_label(product: Product, place: int, keys: list[str]) -> str:
    """Return a task as a list shows it: number and name, and which of several it is."""
    task = product.tasks[place]
    turn = keys[place].rpartition("\n")[2] if keys[place] != task.number else ""
    number = task.number or "(no number)"
    return f"{number}{f' (no. {turn} of this number)' if turn else ''}  {task.name}"


def choose(product: Product, place: int | None) -> None:
    """Choose a task by its place in `product.tasks`."""
    if place is None:
        st.session_state.pop(CHOSEN, None)
    else:
        key = task_keys(product)[place]
        st.session_state[CHOSEN] = Choice(product.code, key, place)


def chosen_place(product: Product, line: str) -> int | None:
    """Return the place of the chosen task of a line; None: the line has no task.

    A task that got another number is found where it stood. Without a choice it is the
    first task of the line.
    """
    places = [at for at, task in enumerate(product.tasks) if task.line == line]
    chosen: Choice | None = st.session_state.get(CHOSEN)
    if chosen is not None and chosen.code == product.code:
        keys = task_keys(product)
        if (at := next((p for p in places if keys[p] == chosen.key), None)) is not None:
            return at
        if chosen.place in places:
            return chosen.place
    return places[0] if places else None


def task_box(product: Product, line: str) -> int | None:
    """Let the engineer choose a task of a line by number or name; return its place."""
    place = chosen_place(product, line)
    keys = task_keys(product)
    options = {keys[at]: at for at, task in enumerate(product.tasks) if task.line == line}
    labels = {key: task_label(product, at, keys) for key, at in options.items()}
    if place is not None:
        st.session_state[WIDGET] = keys[place]
    st.selectbox(
        "Chosen task",
        list(options),
        format_func=lambda key: labels.get(key, key),
        key=WIDGET,
        placeholder="No task yet",
        disabled=not options,
        on_change=_take,
        args=(product, options),
        label_visibility="collapsed",
        width=280,
    )
    return place


def _take(product: Product, options: dict[str, int]) -> None:
    """Note what was chosen in the box."""
    key = st.session_state.get(WIDGET)
    if key in options:
        st.session_state[CHOSEN] = Choice(product.code, key, options[key])
