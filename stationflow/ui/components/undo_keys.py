"""The keys of undo and redo, heard wherever on the page they are pressed."""

from pathlib import Path
from typing import NamedTuple

import streamlit as st

from stationflow.actions.products.going_back import Way

WAYS = Path(__file__).with_name("undo_ways.js").read_text("utf-8")
"""Which key leads where, for every script that hears undo and redo."""

_keys = st.components.v2.component(
    "undo_keys", js=WAYS + Path(__file__).with_suffix(".js").read_text("utf-8")
)


class Presses(NamedTuple):
    """All presses since the page was opened in the browser, the oldest first."""

    page: str  # name of that opening
    ways: tuple[Way, ...]


def undo_keys(key: str) -> Presses:
    """Listen to the keys; return every press so far."""
    told = _keys(key=key, height=1, on_presses_change=lambda: None).get("presses") or {}
    ways = tuple[Way, ...]("redo" if way == "r" else "undo" for way in told.get("ways", ""))
    return Presses(told.get("page", ""), ways)
