"""Products page: what am I working on."""

import streamlit as st

from stationflow.actions import products
from stationflow.actions.starting import restore_demo_products
from stationflow.model import has_errors
from stationflow.ui import product_views, session, show
from stationflow.ui.text import plain

FORM_WIDTH = 560

show.heading("Products", "What am I working on?")
store = session.store()
who = session.who()

with_archived = st.toggle("Show archived products", key="products.with_archived")
rows = store.products(archived=with_archived)
if rows:
    chosen = st.dataframe(
        [
            {
                "Product code": row.code,
                "Name": row.name,
                "Tasks": row.tasks,
                "Version": row.version,
                "State": "archived" if row.archived else "draft",
                "Plan in force": "yes" if row.has_plan else "no",
                "Last saved by": row.by,
                "Last saved (UTC)": f"{row.at:%Y-%m-%d %H:%M}",
            }
            for row in rows
        ],
        hide_index=True,
        on_select="rerun",
        selection_mode="single-row",
        key="products.list",
        height="content",
        alt="Products in the store; choose a row to open it",
    )
    picked = chosen["selection"]["rows"]
    if picked and picked[0] < len(rows) and rows[picked[0]].code != session.current_product():
        session.open_product(rows[picked[0]].code)
else:
    st.info("The store is empty. Make a product below, or bring back the demo products.")

code = session.current_product()
draft = session.draft()
if draft is None:
    st.markdown("**Choose a row to open a product.** New here? Open the small demo product first.")
else:
    product = draft.product
    with st.container(border=True):
        st.markdown(f"Open: **{plain(product.code)}** {plain(product.name)}")
        if product.remarks:
            st.text(product.remarks)
        findings = product_views.workbook_findings(product.code, draft.checksum, product)
        with st.container(horizontal=True):
            st.page_link(
                "stationflow/ui/pages/tasks.py",
                label="Next: Tasks",
                icon=":material/arrow_forward:",
            )
            st.download_button(
                "Download as workbook",
                lambda: products.export_workbook(store, product.code),
                file_name=f"{product.code}.xlsx",
                icon=":material/download:",
                key="products.workbook",
                disabled=has_errors(findings),
            )
            if st.button("Archive", icon=":material/archive:", key="products.archive"):
                with show.errors():
                    products.archive_product(store, product.code)
                    session.close_product()
                    session.notice(f"{product.code} is archived. Nothing of it is lost.")
                    st.rerun()
            if with_archived and st.button("Bring back", key="products.bring_back"):
                with show.errors():
                    products.bring_back_product(store, product.code)
                    st.rerun()
        if findings:
            show.findings(findings)

new, copied, imported, demos = st.tabs(
    ["New product", "Copy", "Import a workbook", "Demo products"]
)
with new, st.form("products.new", border=False, width=FORM_WIDTH):
    new_code = st.text_input("Product code", max_chars=60, key="products.new_code")
    new_name = st.text_input("Name", max_chars=200, key="products.new_name")
    if st.form_submit_button("Make the product", key="products.make"):
        with show.errors():
            made = products.create_product(store, new_code, new_name, **who)
            session.open_product(made.product.code)
            session.notice(f"{made.product.code} is made. Enter its tasks on the Tasks page.")
            st.rerun()
with copied, st.form("products.copy", border=False, width=FORM_WIDTH):
    st.text(f"Copies {code} under another product code." if code else "Open a product first.")
    copy_code = st.text_input("New product code", max_chars=60, key="products.copy_code")
    if st.form_submit_button("Copy the product", disabled=code is None, key="products.do_copy"):
        with show.errors():
            made = products.copy_product(store, code or "", copy_code, **who)
            session.open_product(made.product.code)
            session.notice(f"{made.product.code} is made as a copy.")
            st.rerun()
with imported, st.form("products.import", border=False, width=FORM_WIDTH):
    st.text(
        "A product workbook as this page writes it. Download the open product to see how one looks."
    )
    file = st.file_uploader("Product workbook", type=["xlsx"], key="products.file")
    other_code = st.text_input(
        "Other product code",
        max_chars=60,
        key="products.other_code",
        help="Only if the code in the workbook is taken.",
    )
    if st.form_submit_button("Import the workbook", key="products.do_import"):
        if file is None:
            st.error("Choose a workbook first.")
        else:
            with show.errors():
                came = products.import_workbook(store, file.getvalue(), new_code=other_code, **who)
                session.open_product(came.draft.product.code)
                st.success(f"{plain(came.draft.product.code)} is in the store and open.")
                show.findings(came.findings, nothing="Everything in the workbook was read.")
with demos:
    st.text("Invented products to learn with. Those in the store already are left alone.")
    if st.button("Bring in the demo products", key="products.demo"):
        with show.errors():
            brought = restore_demo_products(store, **who)
            session.notice(f"Brought in: {', '.join(brought) or 'none, all are there already'}.")
            st.rerun()
