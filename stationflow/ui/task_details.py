"""Steps, parts, tools, checks, cautions and pictures of one task, on the Tasks page."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import streamlit as st

from stationflow.actions.products import add_picture
from stationflow.model import Product, Task
from stationflow.storage import Draft
from stationflow.ui import editing, session, show
from stationflow.ui.detail_tables import task_details
from stationflow.ui.text import plain


def show_details(draft: Draft, tasks: Sequence[Task]) -> None:
    """Let the engineer choose a task and edit what belongs to it."""
    if not tasks:
        st.info("The line has no task yet. Type one into the table above.")
        return
    names = {task.number: f"{task.number}  {task.name}" for task in tasks}
    number = st.selectbox(
        "Task", list(names), format_func=lambda n: names.get(n, n), key="tasks.open"
    )
    task = next((task for task in tasks if task.number == number), tasks[0])
    tables = task_details(draft.product)
    # Headings that do not change: with a count in them the first row added would close its own tab.
    tabs = st.tabs([*(t.title for t in tables), "Pictures"])
    for tab, table in zip(tabs, tables, strict=False):
        with tab:
            editing.table(
                f"details.{draft.product.code}.{task.number}.{table.field}",
                draft,
                table,
                getattr(task, table.field),
                lambda edit, field=table.field: with_task(  # type: ignore[misc]
                    draft.product, task, replace(task, **{field: edit.records})
                ),
                height="content",
            )
    with tabs[-1]:
        _pictures(draft, task)


def with_task(product: Product, task: Task, edited: Task) -> Product:
    """Return the product with one task changed; another of the same number stays as it is."""
    return replace(product, tasks=tuple(edited if t is task else t for t in product.tasks))


def _pictures(draft: Draft, task: Task) -> None:
    """Show the task's pictures, and take new ones."""
    named = [task.picture, *(step.picture for step in task.steps)]
    contents = session.store().pictures(draft.product)
    used: list[Any] = [(n, contents[n]) for n in dict.fromkeys(named) if n in contents]
    if used:
        st.image([c for _, c in used], caption=[plain(n) for n, _ in used], width=260)
    else:
        st.text("No picture yet. Upload one here, then choose it for a step.")
    with st.form(f"tasks.picture.{task.number}", border=False, clear_on_submit=True):
        file = st.file_uploader("PNG or JPEG picture", type=["png", "jpg", "jpeg"])
        whole = st.checkbox("Show it for the whole task, not only for a step")
        if st.form_submit_button("Add the picture") and file is not None:
            with show.errors():
                product, new = add_picture(draft.product, file.name, file.getvalue())
                if whole:
                    product = with_task(product, task, replace(task, picture=file.name))
                if editing.save(draft, product, new):
                    session.notice(f"The picture {file.name} is stored.")
                    st.rerun()
