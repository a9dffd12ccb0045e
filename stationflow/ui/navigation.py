"""The pages in the order of the job, grouped by it, and the last door."""

from pathlib import Path

import streamlit as st

from stationflow.ui import session, show, theme
from stationflow.ui.components.for_window import for_window
from stationflow.ui.jobs import job_views, made_ready

PAGES = Path(__file__).parent / "pages"
ICON = str(Path(__file__).with_name("icon.png"))  # a file of ours: named icons are fetched
GROUPS = {
    "Product": (
        ("products", "Products", ":material/inventory_2:"),
        ("importing", "Import", ":material/upload_file:"),
        ("tasks", "Tasks", ":material/format_list_numbered:"),
    ),
    "Plan": (
        ("pace", "Pace", ":material/speed:"),
        ("balance", "Balance", ":material/balance:"),
        ("compare", "Compare", ":material/compare:"),
    ),
    "Whole line": (("line", "Line", ":material/conveyor_belt:"),),
    "Floor": (("cards", "Cards", ":material/print:"),),
}
"""The groups; of each page its file, title and icon."""
ORDER = tuple(page for group in GROUPS.values() for page in group)


def run() -> None:
    """Show the page that is chosen."""
    st.set_page_config(page_title="Stationflow", page_icon=ICON, layout="wide")
    theme.apply()
    theme.group_links({group: len(pages) for group, pages in GROUPS.items()})
    for_window()
    made_ready.begin("search")
    # One flat list: groups of Streamlit's own bar are drop-downs, and each page two clicks away.
    pages = [
        st.Page(PAGES / f"{name}.py", title=title, icon=icon, default=name == "products")
        for name, title, icon in ORDER
    ]
    page = st.navigation(pages, position="top")
    session.current_product()
    with show.last_door():
        session.tell_of_store()
        job_views.quiet()
        page.run()
