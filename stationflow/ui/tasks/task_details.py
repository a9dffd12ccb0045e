"""What belongs to the chosen task, on the Tasks page."""

from dataclasses import replace
from functools import partial
from typing import Any

import streamlit as st

from stationflow.actions.products.picture_edits import take_picture
from stationflow.model import Product, Task
from stationflow.model.references import Thing
from stationflow.model.schema.columns import Table
from stationflow.model.schema.tables import TABLES
from stationflow.storage import Draft
from stationflow.ui import session, show
from stationflow.ui.grids import stored_edits
from stationflow.ui.grids.detail_tables import detail_table
from stationflow.ui.grids.grid_state import GridEdit
from stationflow.ui.tasks import chosen_task
from stationflow.ui.tasks.task_fields import (
    show_lift,
    show_limits,
    show_neighbours,
    show_quality,
)
from stationflow.ui.tasks.uses import chooser, show_uses
from stationflow.ui.text import plain


def show_details(draft: Draft, place: int | None) -> None:
    """Show what belongs to the chosen task, one part of it at a time."""
    if place is None:
        st.info("The line has no task yet. Type one into the table above.")
        return
    product, task = draft.product, draft.product.tasks[place]
    keys = chosen_task.task_keys(product)
    st.markdown(f"**{plain(chosen_task.task_label(product, place, keys))}**")
    own = [table for table in TABLES if table.parent == "task" and table.heading]
    # Headings that do not change: with a count in them the first row added would close its own tab.
    show.tabs(
        {table.heading: partial(_records, draft, task, keys[place], table) for table in own}
        | {
            "Before and after": lambda: show_neighbours(draft, place),
            "Limits": lambda: show_limits(draft, place),
            "Test and repair": lambda: show_quality(draft, place),
            "Lifting": lambda: show_lift(draft, place),
            "Pictures": lambda: _pictures(draft, task, keys[place]),
        },
        "tasks.detail",
    )


def _records(draft: Draft, task: Task, key: str, table: Table) -> None:
    product, field = draft.product, table.path.rpartition(".")[2]

    def edited(edit: GridEdit) -> Product:
        changes: dict[str, Any] = {field: edit.records}
        return with_task(product, task, replace(task, **changes))

    names = _named_in(task, field)
    stored_edits.table(
        f"details.{product.code}.{key}.{field}",
        draft,
        detail_table(table, product),
        getattr(task, field),
        edited,
        height="content",
        choose=chooser(*names) if names else None,
    )
    if names:
        show_uses(draft, names[0])


def _named_in(task: Task, field: str) -> tuple[Thing, list[str]] | None:
    """Return which things the rows of a table of a task name."""
    if field == "parts":
        return Thing.PART, [use.part for use in task.parts]
    if field == "tools":
        return Thing.TOOL, [use.tool for use in task.tools]
    return None


def with_task(product: Product, task: Task, edited: Task) -> Product:
    """Return the product with one task changed; another of the same number stays as it is."""
    return replace(product, tasks=tuple(edited if t is task else t for t in product.tasks))


def _pictures(draft: Draft, task: Task, key: str) -> None:
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
                    session.rerun(f"The picture {name} is stored.")
