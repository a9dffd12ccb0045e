"""Tasks page: what has to be done, and in what order."""

import streamlit as st

from stationflow.actions.showing.checking import check_product
from stationflow.ui import downloads, show, undo
from stationflow.ui.grids import stored_edits
from stationflow.ui.tasks import (
    diagrams,
    open_values,
    pictures_editor,
    task_details,
    task_table,
    uses,
)
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
    found = check_product(product)
    st.markdown(task_table.counted(product, line, found), width="stretch")
    downloads.menu("tasks.download", downloads.task_offers(draft, line))
    undo.undo_buttons(draft)
show.tasks_without_line(product)
place = toolbar(draft, line)

table, picture = st.columns([11, 9], gap="medium")
with table:
    with st.container(key=diagrams.TABLE_KEY):
        task_table.show_table(draft, line)
    st.caption(
        "Type in the last row to add a task; without a number it gets the next one. "
        "Choose rows at the left edge and press Delete to take them out. "
        "A new number is carried into every arrow."
    )
with picture:
    whole = len(product.lines) > 1 and st.toggle("Show all lines in one", key="tasks.whole")
    height = 560 if len(product.lines) == 1 else 520
    diagrams.precedence(draft, None if whole else line, height=height, chosen=place)
show.tabs(
    {
        "Chosen task": lambda: task_details.show_details(draft, place),
        "Parts list": lambda: uses.show_parts(draft),
        "Pictures": lambda: pictures_editor.show_pictures(draft),
        "Times between tasks": lambda: stored_edits.product_table(draft, "lags"),
        "Stations": lambda: stored_edits.stations_table(draft, line),
        "Equipment": lambda: uses.show_equipment(draft),
        "Findings": lambda: open_values.show_findings(draft, found),
    },
    "tasks.tab",
)
show.next_step("pace", "Pace")
