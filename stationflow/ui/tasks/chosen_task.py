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


def places_of(product: Product, line: str) -> dict[str, int]:
    """Return the tasks of a line, each key with its place in `product.tasks`."""
    keys = task_keys(product)
    return {keys[at]: at for at, task in enumerate(product.tasks) if task.line == line}


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
    places = places_of(product, line)
    chosen: Choice | None = st.session_state.get(CHOSEN)
    if chosen is not None and chosen.code == product.code:
        if chosen.key in places:
            return places[chosen.key]
        if chosen.place in places.values():
            return chosen.place
    return next(iter(places.values()), None)


def task_box(product: Product, line: str) -> int | None:
    """Let the engineer choose a task of a line by number or name; return its place."""
    place, keys = chosen_place(product, line), task_keys(product)
    options = places_of(product, line)
    labels = {key: task_label(product, at, keys) for key, at in options.items()}
    if place is not None:
        st.session_state[WIDGET] = keys[place]

    def take() -> None:
        if (key := st.session_state.get(WIDGET)) in options:
            st.session_state[CHOSEN] = Choice(product.code, key, options[key])

    st.selectbox(
        "Chosen task",
        list(options),
        format_func=lambda key: labels.get(key, key),
        key=WIDGET,
        placeholder="No task yet",
        disabled=not options,
        on_change=take,
        label_visibility="collapsed",
        width=280,
    )
    return place
