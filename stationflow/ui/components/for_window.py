"""What a window needs whatever page it shows, while pages are stored and drawn anew under it.

Presses get where they were meant to, and the keyboard keeps its place.
"""

from pathlib import Path

import streamlit as st

_components = {
    name: st.components.v2.component(
        name, js=Path(__file__).with_name(f"{name}.js").read_text("utf-8")
    )
    for name in ("presses", "focus")
}


def for_window() -> None:
    """Let no link be faster than the edit before it, no press be lost, no field lose its focus."""
    for name, component in _components.items():
        component(key=f"for-window-{name}", height=1)
