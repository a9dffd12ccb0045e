"""A precedence diagram that can be moved and zoomed."""

from pathlib import Path

import streamlit as st

_SCRIPT = Path(__file__).with_suffix(".js").read_text("utf-8")

_STYLE = """
.frame {position: relative; border: 1px solid var(--st-border-color); border-radius: 4px;
        background: #fff; overflow: hidden; touch-action: none; cursor: grab; outline-offset: 2px}
.frame:active {cursor: grabbing}
.paper {position: absolute; top: 0; left: 0; transform-origin: 0 0}
.tools {position: absolute; right: 8px; top: 8px; display: flex; gap: 4px}
.tools button {min-width: 32px; height: 32px; border: 1px solid #9fb0b8; background: #fff;
               border-radius: 4px; font: 600 15px/1 sans-serif; color: #17252d; cursor: pointer}
"""

_view = st.components.v2.component(
    "diagram_view",
    html='<div class="frame" tabindex="0"><div class="paper"></div><div class="tools"></div></div>',
    css=_STYLE,
    js=_SCRIPT,
)


def diagram_view(svg: str, *, height: int, key: str, label: str) -> None:
    """Show a diagram.

    Parameters
    ----------
    svg
        The diagram as SVG, as Graphviz wrote it.
    height
        Height of the frame in pixels.
    key
        Name of the view in the session.
    label
        What a screen reader says.
    """
    _view(data={"svg": svg, "height": height, "label": label}, key=key, height=height + 4)
