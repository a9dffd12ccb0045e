"""What belongs to the chosen task, on the Tasks page."""

from dataclasses import replace
from typing import Any

import streamlit as st

from stationflow.actions.products.picture_edits import take_picture
from stationflow.model import Product, Task
from stationflow.storage import Draft
from stationflow.ui import session, show
from stationflow.ui.grids import stored_edits
from stationflow.ui.grids.detail_tables import DetailTable, station_table, task_details
from stationflow.ui.tasks import chosen_task
from stationflow.ui.tasks.task_fields import show_limits, show_neighbours, show_quality
from stationflow.ui.text import plain

NEIGHBOURS, LIMITS, QUALITY, PICTURES = "Before and after", "Limits", "Test and repair", "Pictures"
TAB = "tasks.detail"
"""Key of the choice of what is shown of the chosen task."""


def show_details(draft: Draft, place: int | None) -> None:
    """Show what belongs to the chosen task, one part of it at a time."""
    if place is None:
        st.info("The line has no task yet. Type one into the table above.")
        return
    product = draft.product
    key = chosen_task.task_keys(product)[place]
    title = chosen_task.task_label(product, place, chosen_task.task_keys(product))
    st.markdown(f"**{plain(title)}**")
    tables = {table.title: table for table in task_details(product)}
    parts = [*tables, NEIGHBOURS, LIMITS, QUALITY, PICTURES]
    task = product.tasks[place]
    # Headings that do not change: with a count in them the first row added would close its own tab.
    for tab, name in zip(st.tabs(parts, key=TAB, on_change="rerun"), parts, strict=True):
        if not tab.open:
            continue
        with tab:
            if name in tables:
                _records(draft, task, key, tables[name])
            elif name == PICTURES:
                _pictures(draft, task, key)
            else:
                SINGLE[name](draft, place)


SINGLE = {NEIGHBOURS: show_neighbours, LIMITS: show_limits, QUALITY: show_quality}


def _records(draft: Draft, task: Task, key: str, table: DetailTable) -> None:
    """Show one table of a task's records."""
    stored_edits.table(
        f"details.{draft.product.code}.{key}.{table.field}",
        draft,
        table,
        getattr(task, table.field),
        lambda edit: with_task(draft.product, task, _with_records(task, table.field, edit.records)),
        height="content",
    )


def _with_records(task: Task, name: str, records: tuple[Any, ...]) -> Task:
    """Return a task with other records in one of its fields."""
    changes: dict[str, Any] = {name: records}
    return replace(task, **changes)


def with_task(product: Product, task: Task, edited: Task) -> Product:
    """Return the product with one task changed; another of the same number stays as it is."""
    return replace(product, tasks=tuple(edited if t is task else t for t in product.tasks))


def _pictures(draft: Draft, task: Task, key: str) -> None:
    """Show the task's pictures, and take new ones."""
    named = [task.picture, *(step.picture for step in task.steps)]
    contents = session.store().pictures(draft.product)
    used: list[Any] = [(n, contents[n]) for n in dict.fromkeys(named) if n in contents]
    if used:
        st.image([c for _, c in used], caption=[plain(n) for n, _ in used], width=260)
    else:
        st.text("No picture yet. Upload one here, then choose it for a step.")
    with st.form(f"tasks.picture.{key}", border=False, clear_on_submit=True):
        file = st.file_uploader("PNG or JPEG picture", type=["png", "jpg", "jpeg"])
        whole = st.checkbox("Show it for the whole task, not only for a step")
        if st.form_submit_button("Add the picture") and file is not None:
            with show.errors():
                product, new, name = take_picture(draft.product, file.name, file.getvalue())
                if whole:
                    product = with_task(product, task, replace(task, picture=name))
                if stored_edits.save(draft, product, new):
                    session.notice(f"The picture {name} is stored.")
                    session.rerun()


def show_stations(draft: Draft, name: str) -> None:
    """Show what is special about single stations of a line."""
    product = draft.product
    line = next(line for line in product.lines if line.name == name)
    stored_edits.table(
        f"stations.{product.code}.{name}",
        draft,
        station_table(product, line),
        line.stations,
        lambda edit: replace(
            product,
            lines=tuple(
                replace(other, stations=edit.records) if other is line else other
                for other in product.lines
            ),
        ),
    )
