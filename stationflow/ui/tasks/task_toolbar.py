"""The toolbar of the Tasks page: what is done with the chosen task.

Every operation is one save, so that one Undo takes it back.
"""

from collections.abc import Callable
from dataclasses import dataclass

import streamlit as st

from stationflow.editing import task_changes as changes
from stationflow.editing.renumbering import LONGEST_WIDTH, renumber_line
from stationflow.editing.task_mentions import TaskChange, TaskChangeError
from stationflow.editing.task_merging import merge_tasks
from stationflow.editing.task_splitting import (
    counts_of_parts,
    parts_with_rest,
    split_by_steps,
    split_by_times,
)
from stationflow.model import Product, Task
from stationflow.model.schema.columns import Kind
from stationflow.storage import Draft
from stationflow.ui import session, show
from stationflow.ui.grids import stored_edits
from stationflow.ui.grids.grid_columns import read, shown_time
from stationflow.ui.tasks import chosen_task
from stationflow.ui.text import plain
from stationflow.units import show_time

CLOSE = "tasks.close_menus"
MENUS = ("split", "merge", "renumber", "delete")
MENU_WIDTH = 480

Change = Callable[[], TaskChange]


@dataclass(frozen=True, slots=True)
class Where:
    """The product as the store has it, the line shown and the task chosen on it."""

    draft: Draft
    line: str
    place: int

    @property
    def product(self) -> Product:
        """The product."""
        return self.draft.product

    @property
    def task(self) -> Task:
        """The chosen task."""
        return self.product.tasks[self.place]

    def others(self) -> dict[str, int]:
        """Return the tasks of the line by key, with their places."""
        keys = chosen_task.task_keys(self.product)
        tasks = enumerate(self.product.tasks)
        return {keys[at]: at for at, task in tasks if task.line == self.line}


def toolbar(draft: Draft, line: str) -> int | None:
    """Show the chosen task and what can be done with it; return its place, None: no task."""
    if st.session_state.pop(CLOSE, False):
        for menu in MENUS:
            st.session_state[_key(menu)] = False
    with st.container(horizontal=True, vertical_alignment="center", gap="small", key="task-tools"):
        place = chosen_task.task_box(draft.product, line)
        if place is None:
            st.text("Type the first task into the table, or")
            show.page_link("importing", "import a spreadsheet", ":material/upload_file:")
            return None
        where = Where(draft, line, place)
        _buttons(where)
        _menu("split", "Split", ":material/call_split:", where, _split)
        _menu("merge", "Merge", ":material/call_merge:", where, _merge)
        _menu("renumber", "Renumber", ":material/format_list_numbered:", where, _renumber)
        _menu("delete", "Delete", ":material/delete:", where, _delete)
    return place


def _key(menu: str) -> str:
    return f"tasks.{menu}"


def _buttons(where: Where) -> None:
    """Show what is done at one press."""
    product, place = where.product, where.place
    acts: tuple[tuple[str, str, str, str, Change], ...] = (
        ("insert_before", "Before", "add_row_above", "Insert a task before the chosen one",
         lambda: changes.insert_task(product, place, after=False)),
        ("insert_after", "After", "add_row_below", "Insert a task after the chosen one",
         lambda: changes.insert_task(product, place, after=True)),
        ("duplicate", "Copy", "content_copy",
         "Copy the chosen task with its steps and all; the copy waits for the same tasks",
         lambda: changes.duplicate_task(product, place)),
        ("up", "", "arrow_upward", "List the chosen task one row earlier; arrows stay",
         lambda: changes.move_task(product, place, -1)),
        ("down", "", "arrow_downward", "List the chosen task one row later; arrows stay",
         lambda: changes.move_task(product, place, 1)),
    )  # fmt: skip
    line = [at for at, task in enumerate(product.tasks) if task.line == where.line]
    at_edge = {"up": place == line[0], "down": place == line[-1]}
    for key, label, icon, words, change in acts:
        if st.button(
            label,
            icon=f":material/{icon}:",
            help=words,
            disabled=at_edge.get(key, False),
            key=_key(key),
        ):
            store(where.draft, change)


def store(draft: Draft, make: Change) -> None:
    """Make a change and store it as one save; the page is drawn anew with what happened."""
    with show.errors():
        change = make()
        if stored_edits.save(draft, change.product):
            chosen_task.choose(change.product, change.chosen)
            st.session_state[CLOSE] = True
            session.rerun(change.words)


def _menu(
    name: str, label: str, icon: str, where: Where, fill: Callable[[Where], Change | None]
) -> None:
    """Show a button that opens the questions of one change, with what it would do in words."""
    menu = st.popover(label, icon=icon, key=_key(name), on_change="rerun")
    if not menu.open:
        return
    with menu, st.container(width=MENU_WIDTH):
        make = fill(where)
        words = refusal = ""
        if make is not None:
            try:
                words = make().words
            except TaskChangeError as refused:
                refusal = f"{plain(refused.message)} *{plain(refused.hint)}*"
        if refusal:
            st.warning(refusal)
        elif words:
            st.info(plain(words))
        done = st.button(
            DO[name], type="primary", disabled=not words or bool(refusal), key=_key(f"{name}.do")
        )
        if done and make is not None:
            store(where.draft, make)


DO = {
    "split": "Split the task",
    "merge": "Merge the tasks",
    "renumber": "Renumber the line",
    "delete": "Delete",
}


def _split(where: Where) -> Change | None:
    """Ask where a task is split."""
    task = where.task
    st.markdown(f"**Split task {plain(task.number)}** into parts done one after the other")
    ways = ["By time", "By steps"] if len(task.steps) > 1 else ["By time"]
    way = ways[0]
    if len(ways) > 1:
        way = st.segmented_control("How", ways, default=ways[0], key=_key("split.how")) or ways[0]
    return _split_by_steps(where) if way == "By steps" else _split_by_time(where)


def _split_by_time(where: Where) -> Change | None:
    """Ask for the times of the parts."""
    task, unit = where.task, where.product.time_unit
    half = shown_time((task.time_ms or 0) // 2, unit)
    typed = st.text_input(
        f"Time of each part ({unit.label}), parted by semicolons; the rest is the last part",
        value=half if task.time_ms else "",
        key=f"tasks.split.times.{chosen_task.task_keys(where.product)[where.place]}.{task.time_ms}",
    )
    texts = [text.strip() for text in typed.split(";") if text.strip()]
    try:
        times = [read(text, Kind.TIME, unit=unit) for text in texts]
    except ValueError as problem:
        st.warning(plain(str(problem)))
        return None
    parts = parts_with_rest(task.time_ms, times)
    return lambda: split_by_times(where.product, where.place, parts)


def _split_by_steps(where: Where) -> Change | None:
    """Ask with which steps a new part begins."""
    task, unit = where.task, where.product.time_unit
    labels = {
        i: f"{i + 1}. {step.text}"
        + (f" ({show_time(step.time_ms, unit)})" if step.time_ms is not None else "")
        for i, step in enumerate(task.steps)
    }
    starts = st.multiselect(
        "A new part begins with step",
        list(labels)[1:],
        format_func=lambda i: labels[i],
        key="tasks.split.steps",
    )
    if not starts:
        return None
    counts = counts_of_parts(starts, len(task.steps))
    return lambda: split_by_steps(where.product, where.place, counts)


def _merge(where: Where) -> Change | None:
    """Ask with which tasks the chosen one is merged."""
    st.markdown(f"**Merge task {plain(where.task.number)}** with others into one task")
    others = where.others()
    keys = chosen_task.task_keys(where.product)
    chosen = st.multiselect(
        "Merge it with",
        [key for key, at in others.items() if at != where.place],
        format_func=lambda key: chosen_task.task_label(where.product, others[key], keys),
        key="tasks.merge.with",
    )
    if not chosen:
        return None
    places = [where.place, *(others[key] for key in chosen)]
    return lambda: merge_tasks(where.product, places)


def _renumber(where: Where) -> Change | None:
    """Ask for the new numbers of a line."""
    st.markdown(f"**Renumber line {plain(where.line)}** in listed order")
    with st.container(horizontal=True, gap="small"):
        start = st.number_input("Start", 0, 999_999, 10, key="tasks.renumber.start", width=104)
        step = st.number_input("Step", 1, 9_999, 10, key="tasks.renumber.step", width=104)
        width = st.number_input(
            "Digits", 1, LONGEST_WIDTH, 1, key="tasks.renumber.width", width=104,
            help="Filled with zeros in front: 3 digits give 010.",
        )  # fmt: skip
        letters = st.text_input(
            "Letters", key="tasks.renumber.letters", width=90, max_chars=12,
            help="What stands in front of the digits: b gives b10.",
        )  # fmt: skip
    return lambda: renumber_line(
        where.product, where.line, start=start, step=step, width=width, letters=letters.strip()
    )


def _delete(where: Where) -> Change | None:
    """Ask which tasks are deleted, and what becomes of their arrows."""
    others = where.others()
    keys = chosen_task.task_keys(where.product)
    chosen = st.multiselect(
        "Delete",
        list(others),
        default=[keys[where.place]],
        format_func=lambda key: chosen_task.task_label(where.product, others[key], keys),
        key=f"tasks.delete.which.{keys[where.place]}",
    )
    heal = st.toggle(
        "Tasks that waited for it wait for the tasks before it",
        value=True,
        key="tasks.delete.heal",
        help="Off: the arrows are taken away and the tasks behind wait for nothing instead.",
    )
    if not chosen:
        return None
    places = [others[key] for key in chosen]
    return lambda: changes.delete_tasks(where.product, places, heal=heal)
