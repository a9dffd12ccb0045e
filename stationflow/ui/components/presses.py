"""Presses that get where they were meant to, though the page is being stored or drawn anew."""

from pathlib import Path

import streamlit as st

_presses = st.components.v2.component(
    "presses", js=Path(__file__).with_suffix(".js").read_text("utf-8")
)


def keep_presses() -> None:
    """Let no link be faster than the edit before it, and no press be lost in a page drawn anew."""
    _presses(key="presses", height=1)
