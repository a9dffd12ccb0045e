"""The keys of undo and redo, heard wherever on the page they are pressed."""

from dataclasses import dataclass
from pathlib import Path

import streamlit as st

from stationflow.actions.products.going_back import Way

_keys = st.components.v2.component(
    "undo_keys", js=Path(__file__).with_suffix(".js").read_text("utf-8")
)


@dataclass(frozen=True, slots=True)
class Presses:
    """All presses since the page was opened in the browser.

    Attributes
    ----------
    page
        Name of that opening.
    ways
        The presses, the oldest first.
    """

    page: str = ""
    ways: tuple[Way, ...] = ()


def undo_keys(key: str) -> Presses:
    """Listen to the keys; return every press so far."""
    told = _keys(key=key, height=1, on_presses_change=lambda: None).get("presses") or {}
    ways: tuple[Way, ...] = tuple(
        "redo" if letter == "r" else "undo" for letter in told.get("ways", "")
    )
    return Presses(told.get("page", ""), ways)
