"""Products page: what am I working on."""

import streamlit as st

from stationflow.actions.opening.starting import restore_demo_products
from stationflow.actions.products import product_upkeep
from stationflow.ui import session, show
from stationflow.ui.products import product_views
from stationflow.ui.text import plain

FORM_WIDTH = 560

show.heading("Products", "What am I working on?")
store = session.store()
by = session.author()

with_archived = st.toggle("Show archived products", key="products.with_archived")
rows = store.products(archived=with_archived)
if rows:
    product_views.product_list(rows)
else:
    st.info("The store is empty. Make a product below, or bring in the demo products.")

draft = session.draft()
code = draft.product.code if draft else None
if draft is None:
    st.markdown("**Choose a row to open a product.**")
    show.first_steps(with_list=False)
else:
    archived = any(row.code == code and row.archived for row in rows)
    product_views.open_product(draft, is_archived=archived)

new, copied, imported, header, demos = st.tabs(
    ["New product", "Copy", "Import a workbook", "Header of the open product", "Demo products"]
)
with new, st.form("products.new", border=False, width=FORM_WIDTH):
    new_code = st.text_input("Product code", max_chars=60, key="products.new_code")
    new_name = st.text_input("Name", max_chars=200, key="products.new_name")
    if st.form_submit_button("Make the product", key="products.make"):
        with show.errors():
            made = product_upkeep.create_product(store, new_code, new_name, by=by).product.code
            session.open_product(made)
            session.rerun(f"{made} is made. Enter its tasks on the Tasks page.")
with copied, st.form("products.copy", border=False, width=FORM_WIDTH):
    st.text(f"Copies {code} under another product code." if code else "Open a product first.")
    copy_code = st.text_input("New product code", max_chars=60, key="products.copy_code")
    if st.form_submit_button("Copy the product", disabled=code is None, key="products.do_copy"):
        with show.errors():
            made = product_upkeep.copy_product(store, code or "", copy_code, by=by).product.code
            session.open_product(made)
            session.rerun(f"{made} is made as a copy.")
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
                came = product_upkeep.import_workbook(
                    store, file.getvalue(), new_code=other_code, by=by
                )
                session.open_product(came.draft.product.code)
                st.success(f"{plain(came.draft.product.code)} is in the store and open.")
                show.findings(came.findings, nothing="Everything in the workbook was read.")
with header:
    if draft is None:
        st.text("Open a product first.")
    else:
        product_views.header_form(draft, FORM_WIDTH)
with demos:
    st.text("Invented products to learn with. Those in the store already are left alone.")
    if st.button("Bring in the demo products", key="products.demo"):
        with show.errors():
            brought = restore_demo_products(store, by=by)
            session.rerun(f"Brought in: {', '.join(brought) or 'none, all are there already'}.")
