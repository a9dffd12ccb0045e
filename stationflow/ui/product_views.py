"""What the Products page shows of the open product."""

import streamlit as st

from stationflow.actions.products import check_workbook
from stationflow.model import Finding, Product


@st.cache_data(show_spinner=False, max_entries=32)
def workbook_findings(code: str, checksum: str, _product: Product) -> tuple[Finding, ...]:
    """Return what a workbook could not hold of a product, found once for each of its states."""
    return check_workbook(_product)
