"""What is entered about the whole line: machines, joins, stops, faults, packing, costs."""

from typing import Any

import streamlit as st

from stationflow.actions.importing.table_import import table_from_file
from stationflow.editing.two_editors import with_value
from stationflow.line.entered_checks import check_flow
from stationflow.model import Finding, Product
from stationflow.model.schema.header_tables import ON_LINE_PAGE
from stationflow.model.schema.tables import TABLE
from stationflow.storage import Draft
from stationflow.ui import session, show, undo
from stationflow.ui.grids import stored_edits
from stationflow.ui.grids.fields import Fields

ELSEWHERE = (
    "Which line feeds which, quantities, yields and pitch stand on the Pace page; test, repair and "
    "soak data with each task, equipment with its stops and the parts list on the Tasks page."
)


def entering(draft: Draft) -> None:
    """Show all that is entered about the whole line and nowhere else."""
    words, steps = st.columns([8, 5], vertical_alignment="bottom")
    words.caption(ELSEWHERE)
    with steps, st.container(horizontal=True, horizontal_alignment="right"):
        undo.undo_buttons(draft)
    show.tabs(
        {
            "Lines": lambda: _lines(draft),
            "Stations": lambda: _stations(draft),
            "Machines": lambda: _table(draft, "machines"),
            "Further joins": lambda: _table(draft, "joins"),
            "Faults": lambda: _table(draft, "faults"),
            "Tally of faults": lambda: _table(draft, "tally"),
            "Packing": lambda: _record(draft, "packing"),
            "Costs": lambda: _record(draft, "costs"),
        },
        "line.entering",
    )
    if found := check_flow(draft.product):
        show.findings(found)


def _lines(draft: Draft) -> None:
    st.caption(
        "**How units move.** Conveyor, places for waiting units, room in the hall, carriers, and "
        "the way to the join."
    )
    stored_edits.product_table(draft, "lines", "content", part=ON_LINE_PAGE)


def _stations(draft: Draft) -> None:
    st.caption(
        "**Stations that differ.** Only stations with a length, places or stops of their own. "
        "Stops of equipment and machines come on top of those entered here."
    )
    line = show.line_choice(draft, "line.entering.line")
    stored_edits.stations_table(draft, line, ON_LINE_PAGE)


def _table(draft: Draft, name: str) -> None:
    """Show a table of the product, and where a file is brought into it."""
    stored_edits.product_table(draft, name)
    key = f"line.taken.{name}"
    findings: tuple[Finding, ...] = st.session_state.pop(key, ())
    if findings:
        show.findings(findings)
    names = ", ".join(column.name for column in TABLE[name].columns)
    with (
        st.expander("Bring in rows from a file (CSV, text, .xlsx)"),
        st.form(f"{key}.form", border=False, clear_on_submit=True),
    ):
        st.caption(
            f"The first row holds the headings: {names}; not all are needed. Rows that are in the "
            "table already are changed, others come behind."
        )
        file = st.file_uploader("File", key=f"{key}.file", label_visibility="collapsed")
        if st.form_submit_button("Bring in") and file is not None:
            with show.errors():
                taken = table_from_file(draft.product, name, file.getvalue(), file.name)
                st.session_state[key] = taken.findings
                said = f"{taken.added} new and {taken.changed} changed rows came in."
                if taken.product == draft.product:
                    session.rerun("No row of the file is new or different.")
                if stored_edits.save(draft, taken.product):
                    session.rerun(said)


def _record(draft: Draft, name: str) -> None:
    """Show the fields of a record of the product; each change is stored at once."""
    table = TABLE[name]
    record = getattr(draft.product, table.path)

    def store(field: str, new: Any) -> bool:
        def edited(product: Product) -> Product:
            return with_value(product, (table.path, field), new)

        is_stored = stored_edits.change(draft, edited)
        if is_stored:
            session.notice(f"{table.title} stored.")
        return is_stored

    Fields(f"line.{name}.{draft.product.code}", record, store).form(table, draft.product)
