"""Import page: what is in a spreadsheet from somebody else."""

import streamlit as st

from stationflow.actions.importing import bringing_in
from stationflow.ui import session, show
from stationflow.ui.imports import (
    import_columns,
    import_job,
    import_questions,
    import_source,
    import_taking,
)
from stationflow.ui.text import plain

draft = session.draft()
about = f"**{plain(draft.product.code)}** {plain(draft.product.name)}" if draft else ""
show.heading("Import", "What is in a spreadsheet from somebody else?", about)
import_job.tell_trouble()
job = import_job.current()
if job is None:
    if draft is None:
        st.info("No product is open yet: what you bring in becomes a new product.")
    import_source.choose_source()
    st.stop()

import_source.file_bar(job)
if bringing_in.is_product_workbook(job.file):
    import_source.own_workbook(job)
    st.stop()
import_source.reading(job)
import_columns.columns(job)
product, checksum = import_job.target_product(job, draft)
with st.spinner("Reading the rows", show_time=True):
    read = job.preview(product, checksum).imported
import_questions.questions(job, read.offers, read.unanswered)
import_taking.taking(job, draft)
