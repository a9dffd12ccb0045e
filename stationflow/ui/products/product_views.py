"""What the Products page shows: the list, the open product, its header."""

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import Any

import streamlit as st

from stationflow.actions.products import product_upkeep, products_out
from stationflow.actions.showing.work_state import work_state
from stationflow.model import Finding, Product, has_errors
from stationflow.storage import Draft, ProductRow
from stationflow.ui import downloads, session, show, undo
from stationflow.ui.grids import stored_edits
from stationflow.ui.text import plain
from stationflow.units import TimeUnit

LIST = "products.list"


def product_list(rows: Sequence[ProductRow]) -> None:
    """Show the products; choosing a row opens it."""
    shown = [
        {
            "Product code": row.code,
            "Name": row.name,
            "Tasks": row.tasks,
            "Version": row.version,
            "State": "archived" if row.archived else "draft",
            "Plan in force": "yes" if row.has_plan else "no",
            "Last saved by": row.by,
            "Last saved (UTC)": f"{row.at:%Y-%m-%d %H:%M}" if row.at else "not readable",
        }
        for row in rows
    ]
    code = session.current_product()
    is_open = [i for i, row in enumerate(rows) if row.code == code]

    def open_picked() -> None:
        picked = st.session_state[LIST]["selection"]["rows"]
        if picked and picked[0] < len(rows):
            session.open_product(rows[picked[0]].code)

    show.table(
        shown,
        "Products in the store; choose a row to open it",
        on_select=open_picked,
        selection_mode="single-row",
        selection_default={"selection": {"rows": is_open, "columns": [], "cells": []}},
        key=LIST,
        height="content",
    )


def open_product(draft: Draft, *, is_archived: bool) -> None:
    """Show the open product and what can be done with it."""
    show.damage(draft)
    store, product = session.store(), draft.product
    findings = workbook_findings(product.code, draft.checksum, product)
    with st.container(border=True):
        st.markdown(f"Open: **{plain(product.code)}** {plain(product.name)}")
        if product.remarks:
            st.text(product.remarks)
        _state_of_work(draft)
        with st.container(horizontal=True, vertical_alignment="center"):
            downloads.button(
                "Download as workbook",
                partial(products_out.export_workbook, store, product.code),
                f"{product.code}.xlsx",
                downloads.MIME["xlsx"],
                key="products.workbook",
                icon=":material/download:",
                disabled=has_errors(findings),
            )
            downloads.button(
                "Download as folder (ZIP)",
                partial(products_out.folder_archive, store, product.code),
                f"{product.code}.zip",
                downloads.MIME["zip"],
                key="products.folder",
                icon=":material/folder_zip:",
            )
            _archive_button(product, is_archived)
        if findings:
            show.findings(findings)


def _state_of_work(draft: Draft) -> None:
    """Show how far the work is, page by page, each a step to its page."""
    states = work_state(session.opened(draft))
    for column, state in zip(st.columns(len(states)), states, strict=True):
        with column.container(border=True, height="stretch"):
            st.page_link(
                f"stationflow/ui/pages/{state.page}.py",
                label=f"**{state.page.capitalize()}**",
                icon=":material/check_circle:" if state.is_done else ":material/arrow_forward:",
            )
            st.caption(f"{'Done' if state.is_done else 'To do'}: {plain(state.said)}")


def _archive_button(product: Product, is_archived: bool) -> None:
    icon = f":material/{'unarchive' if is_archived else 'archive'}:"
    if show.archive_button(is_archived, "products", icon=icon):
        with show.errors():
            archived, by = not is_archived, session.author()
            product_upkeep.archive_product(session.store(), product.code, archived=archived, by=by)
            if not is_archived:
                session.close_product()
            said = "" if is_archived else f"{product.code} is archived. Nothing of it is lost."
            session.rerun(said)


@st.cache_data(show_spinner=False, max_entries=32)
def workbook_findings(code: str, checksum: str, _product: Product) -> tuple[Finding, ...]:
    """Return what a workbook could not hold of a product, found once for each of its states."""
    return products_out.check_workbook(_product)


def header_form(draft: Draft, width: int) -> None:
    """Let the engineer edit name, author, remarks and the unit of times."""
    form = stored_edits.form("products.header", draft, f"products.header_name.{draft.product.code}")
    product = form.base.product
    key = f"{product.code}{form.suffix}"
    undo.undo_buttons(draft)
    with st.form(f"products.header.{product.code}", border=False, width=width):

        def text(field: Any, label: str, name: str, most: int) -> str:
            key_of = f"products.header_{name}.{key}"
            entered: str = field(label, getattr(product, name), max_chars=most, key=key_of)
            return entered

        name = text(st.text_input, "Name", "name", 200)
        author = text(st.text_input, "Planned by", "author", 200)
        unit = st.selectbox(
            "Times are shown in",
            list(TimeUnit),
            list(TimeUnit).index(product.time_unit),
            format_func=lambda u: u.label,
            help="Times are always kept in seconds; changing the unit changes no result.",
            key=f"products.header_unit.{key}",
        )
        remarks = text(st.text_area, "Remarks", "remarks", 4000)
        if st.form_submit_button("Store the header", key="products.store_header"):
            edited = replace(
                product,
                name=name,
                author=author,
                time_unit=unit or product.time_unit,
                remarks=remarks,
            )
            if stored_edits.save(form.base, edited):
                session.rerun("The header is stored.")
