"""Tasks page: what has to be done, and in what order."""

import streamlit as st

from stationflow.actions.checking import check_product
from stationflow.actions.editing import renamed_parts
from stationflow.model import Task
from stationflow.ui import diagrams, editing, show, task_details, task_table
from stationflow.ui.detail_tables import PART_TABLE, DetailTable

draft = show.product_heading("Tasks", "What has to be done, and in what order?")
product = draft.product
with st.container(horizontal=True, vertical_alignment="bottom"):
    line = show.line_choice(draft, "tasks.line")
    tasks = product.tasks_of(line)
    st.text(f"{len(tasks)} tasks on this line, {len(product.tasks)} in all", width="stretch")
    editing.undo_buttons(draft)
show.tasks_without_line(product)

table, picture = st.columns([11, 9], gap="medium")
with table:
    editing.table(
        f"tasks.{product.code}.{line}",
        draft,
        DetailTable(
            "tasks",
            "Tasks",
            tuple(task_table.task_columns(product)),
            lambda: Task(number="", line=line),
            "",
        ),
        tasks,
        lambda edit: task_table.edited_product(product, tasks, edit),
        height=560,
    )
    st.caption(
        "Type in the last row to add a task; without a number it gets the next one. "
        "Choose rows at the left edge and press Delete to take them out. "
        "A new number is carried into every arrow."
    )
with picture:
    whole = len(product.lines) > 1 and st.toggle("Show all lines in one", key="tasks.whole")
    if whole:
        diagrams.whole(draft, height=520)
    else:
        diagrams.precedence(draft, line, height=560 if len(product.lines) == 1 else 520)

details, parts, findings = st.tabs(["Details of a task", "Parts list", "Findings"])
with details:
    task_details.show_details(draft, tasks)
with parts:
    editing.table(
        f"parts.{product.code}",
        draft,
        PART_TABLE,
        product.parts,
        lambda edit: renamed_parts(product, edit.records, edit.came_from),
    )
with findings:
    show.findings(check_product(product))
show.next_step("pace", "Pace")
