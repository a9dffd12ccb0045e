"""Tasks page: what has to be done, and in what order."""

from dataclasses import replace

import streamlit as st

from stationflow.actions.showing.checking import check_product
from stationflow.editing.renaming import with_list
from stationflow.model import Task
from stationflow.model.references import Thing
from stationflow.model.schema.tables import TABLE
from stationflow.ui import downloads, show, undo
from stationflow.ui.grids import detail_tables as tables
from stationflow.ui.grids import stored_edits
from stationflow.ui.tasks import diagrams, pictures_editor, task_details, task_table
from stationflow.ui.tasks.task_toolbar import toolbar

draft = show.product_heading(
    "Tasks",
    "What has to be done, and in what order?",
    "What is done to build one unit: each task with its time and the tasks that come before "
    "it, typed or pasted into a table, and a diagram that follows.",
)
product = draft.product
with st.container(horizontal=True, vertical_alignment="bottom"):
    line = show.line_choice(draft, diagrams.LINE_WIDGET)
    tasks = product.tasks_of(line)
    found = check_product(product)
    st.text(task_table.counted(product, line, found), width="stretch")
    downloads.menu("tasks.download", downloads.task_offers(draft, line))
    undo.undo_buttons(draft)
show.tasks_without_line(product)
place = toolbar(draft, line)

table, picture = st.columns([11, 9], gap="medium")
with table:
    with st.container(key=diagrams.TABLE_KEY):
        stored_edits.table(
            f"tasks.{product.code}.{line}",
            draft,
            tables.DetailTable(
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
        diagrams.whole(draft, height=520, chosen=place)
    else:
        height = 560 if len(product.lines) == 1 else 520
        diagrams.precedence(draft, line, height=height, chosen=place)

TABS = [
    "Chosen task",
    "Parts list",
    "Pictures",
    "Times between tasks",
    "Stations",
    "Equipment",
    "Findings",
]
details, parts, pictures, lags, stations, equipment, findings = st.tabs(
    TABS, key="tasks.tab", on_change="rerun"
)
if details.open:
    with details:
        task_details.show_details(draft, place)
if parts.open:
    with parts:
        stored_edits.table(
            f"parts.{product.code}",
            draft,
            tables.detail_table(TABLE["parts"], product),
            product.parts,
            lambda edit: with_list(product, Thing.PART, edit.records, edit.came_from),
        )
if pictures.open:
    with pictures:
        pictures_editor.show_pictures(draft)
if lags.open:
    with lags:
        stored_edits.table(
            f"lags.{product.code}",
            draft,
            tables.detail_table(TABLE["lags"], product),
            product.lags,
            lambda edit: replace(product, lags=edit.records),
        )
if stations.open:
    with stations:
        task_details.show_stations(draft, line)
if equipment.open:
    with equipment:
        stored_edits.table(
            f"equipment.{product.code}",
            draft,
            tables.detail_table(TABLE["equipment"], product),
            product.equipment,
            lambda edit: with_list(product, Thing.EQUIPMENT, edit.records, edit.came_from),
        )
if findings.open:
    with findings:
        show.findings(found)
show.next_step("pace", "Pace")
