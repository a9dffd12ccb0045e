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


def toolbar(draft: Draft, line: str) -> int | None:
    """Show the chosen task and what can be done with it; return its place, None: no task."""
    if st.session_state.pop(CLOSE, False):
        for name, *_ in MENUS:
            st.session_state[f"tasks.{name}"] = False
    with st.container(horizontal=True, vertical_alignment="center", gap="small", key="task-tools"):
        place = chosen_task.task_box(draft.product, line)
        if place is None:
            st.text("Type the first task into the table, or")
            show.page_link("importing", "import a spreadsheet", ":material/upload_file:")
            return None
        where = Where(draft, line, place)
        _buttons(where)
        for name, icon, do, fill in MENUS:
            _menu(where, name, icon, do, fill)
    return place


def _buttons(where: Where) -> None:
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
    line = list(chosen_task.places_of(product, where.line).values())
    at_edge = {"up": place == line[0], "down": place == line[-1]}
    for key, label, icon, words, change in acts:
        icon, is_off = f":material/{icon}:", at_edge.get(key, False)
        if st.button(label, icon=icon, help=words, disabled=is_off, key=f"tasks.{key}"):
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
    where: Where, name: str, icon: str, do: str, fill: Callable[[Where], Change | None]
) -> None:
    """Show a button that opens the questions of one change, with what it would do in words."""
    key = f"tasks.{name}"
    menu = st.popover(name.capitalize(), icon=f":material/{icon}:", key=key, on_change="rerun")
    if not menu.open:
        return
    with menu, st.container(width=MENU_WIDTH):
        make, words = fill(where), ""
        try:
            words = make().words if make else ""
        except TaskChangeError as refused:
            st.warning(f"{plain(refused.message)} *{plain(refused.hint)}*")
        if words:
            st.info(plain(words))
        done = st.button(do, type="primary", disabled=not words, key=f"{key}.do")
        if done and make is not None:
            store(where.draft, make)


def _split(where: Where) -> Change | None:
    task = where.task
    st.markdown(f"**Split task {plain(task.number)}** into parts done one after the other")
    way = "By time"
    if len(task.steps) > 1:
        ways = [way, "By steps"]
        way = st.segmented_control("How", ways, default=way, key="tasks.split.how") or way
    return _split_by_steps(where) if way == "By steps" else _split_by_time(where)


def _split_by_time(where: Where) -> Change | None:
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
    task, unit = where.task, where.product.time_unit

    def label(place: int) -> str:
        step = task.steps[place]
        time = "" if step.time_ms is None else f" ({show_time(step.time_ms, unit)})"
        return f"{place + 1}. {step.text}{time}"

    starts = st.multiselect(
        "A new part begins with step",
        range(1, len(task.steps)),
        format_func=label,
        key="tasks.split.steps",
    )
    counts = counts_of_parts(starts, len(task.steps))
    return (lambda: split_by_steps(where.product, where.place, counts)) if starts else None


def _merge(where: Where) -> Change | None:
    st.markdown(f"**Merge task {plain(where.task.number)}** with others into one task")
    others = _tasks(where, "Merge it with", "tasks.merge.with", is_with_chosen=False)
    places = [where.place, *others]
    return (lambda: merge_tasks(where.product, places)) if others else None


def _renumber(where: Where) -> Change | None:
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
    key = chosen_task.task_keys(where.product)[where.place]
    places = _tasks(where, "Delete", f"tasks.delete.which.{key}", is_with_chosen=True)
    heal = st.toggle(
        "Tasks that waited for it wait for the tasks before it",
        value=True,
        key="tasks.delete.heal",
        help="Off: the arrows are taken away and the tasks behind wait for nothing instead.",
    )
    return (lambda: changes.delete_tasks(where.product, places, heal=heal)) if places else None


def _tasks(where: Where, label: str, key: str, *, is_with_chosen: bool) -> list[int]:
    """Ask for tasks of the line, the chosen one first or not among them; return their places."""
    product, place = where.product, where.place
    keys = chosen_task.task_keys(product)
    options = chosen_task.places_of(product, where.line)
    chosen = st.multiselect(
        label,
        [one for one in options if is_with_chosen or one != keys[place]],
        default=[keys[place]] if is_with_chosen else None,
        format_func=lambda one: chosen_task.task_label(product, options[one], keys),
        key=key,
    )
    return [options[one] for one in chosen]


MENUS = (
    ("split", "call_split", "Split the task", _split),
    ("merge", "call_merge", "Merge the tasks", _merge),
    ("renumber", "format_list_numbered", "Renumber the line", _renumber),
    ("delete", "delete", "Delete", _delete),
)
"""Name, icon, button and questions of each change that asks something."""
