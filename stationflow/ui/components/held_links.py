"""Links to other pages that wait for what was typed just before they were pressed."""

from pathlib import Path

import streamlit as st

_links = st.components.v2.component(
    "held_links", js=Path(__file__).with_suffix(".js").read_text("utf-8")
)


def hold_links() -> None:
    """Let no link of a page be faster than the edit before it."""
    _links(key="held-links", height=1)
