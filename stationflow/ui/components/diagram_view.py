"""A precedence diagram that can be moved, zoomed, and in which a task can be chosen."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import streamlit as st

from stationflow.drawing.palette import ARROW, INK, ON_DARK, OVER, PAPER

_SCRIPT = Path(__file__).with_suffix(".js").read_text("utf-8")

DARK_INKS = {
    "white": ON_DARK.ground,
    PAPER: ON_DARK.ground,
    INK: ON_DARK.ink,
    ARROW: "#9FB0B8",
    OVER: ON_DARK.over,
}
"""What the colours of the drawing become on a dark page. Stations keep their fills with dark
words on them; files and prints stay on white paper."""
USUAL_WIDTH = 520
"""Width of the frame beside the table of tasks in a window of 1280 pixels."""
DARK_NEAR, DARK_CHOSEN = "#5BB8DB", "#FF8A55"
"""Outline of the neighbours of the chosen task, and of that task, on a dark page."""


def _dark_style() -> str:
    recoloured = "".join(
        f'.dark .paper :is(path, polygon)[{kind}="{ink}" i] {{{kind}: {dark}}}\n'
        for ink, dark in DARK_INKS.items()
        for kind in ("fill", "stroke")
    )
    return f"""
.frame.dark {{background: {ON_DARK.ground}}}
.frame.dark:focus-visible {{outline-color: {DARK_NEAR}}}
.dark .tools .count {{color: {ON_DARK.ink}}}
.dark .tools :is(button, input) {{background: #263238; color: {ON_DARK.ink}; border-color: #71838d}}
.dark .paper text {{fill: {ON_DARK.ink}}}
.dark .paper g.node:not(:has([fill="{PAPER}" i], [fill="none"])) text {{fill: {INK}}}
{recoloured}
.dark .paper g.node.near :is(path, polygon) {{stroke: {DARK_NEAR}}}
.dark .paper g.node.found :is(path, polygon) {{stroke: {DARK_NEAR}}}
.dark .paper g.node.chosen :is(path, polygon) {{stroke: {DARK_CHOSEN}}}
.dark .paper g.edge.near path {{stroke: {DARK_NEAR}}}
.dark .paper g.edge.near polygon {{stroke: {DARK_NEAR}; fill: {DARK_NEAR}}}
.dark.choosing g.node:hover > :is(path, polygon) {{filter: brightness(1.3)}}
"""


_STYLE = """
.frame {position: relative; border: 1px solid var(--st-border-color); border-radius: 4px;
        background: #fff; overflow: hidden; touch-action: none; cursor: grab; outline-offset: 2px}
.frame:active {cursor: grabbing}
.frame:focus-visible {outline: 2px solid #0b6f93}
.paper {position: absolute; top: 0; left: 0; transform-origin: 0 0}
.tools {position: absolute; left: 0; right: 0; top: 0; padding: 6px 8px; display: flex; gap: 4px;
        background: inherit; pointer-events: none}
.tools > * {pointer-events: auto}
.tools input {width: 12rem; min-width: 0; height: 32px; box-sizing: border-box; padding: 0 8px;
        border: 1px solid #9fb0b8; border-radius: 4px; font: 14px sans-serif; color: #17252d;
        background: #fff}
.tools .count {flex: 1; align-self: center; font: 12px sans-serif; color: #17252d;
        font-variant-numeric: tabular-nums}
.tools button {min-width: 32px; height: 32px; border: 1px solid #9fb0b8; background: #fff;
               border-radius: 4px; font: 600 15px/1 sans-serif; color: #17252d; cursor: pointer}
.said {position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%)}
.choosing g.node {cursor: pointer}
.choosing g.node:hover > path, .choosing g.node:hover > polygon {filter: brightness(.95)}
g.node.near path, g.node.near polygon {stroke: #0b6f93; stroke-width: 2.2px}
g.node.near.after path, g.node.near.after polygon {stroke-dasharray: 5 2.5}
g.node.found :is(path, polygon) {stroke: #0b6f93; stroke-width: 4px}
g.node.chosen path, g.node.chosen polygon {stroke: #c2410c; stroke-width: 4px}
g.edge.near path {stroke: #0b6f93; stroke-width: 2.4px}
g.edge.near polygon {stroke: #0b6f93; fill: #0b6f93}
"""

_view = st.components.v2.component(
    "diagram_view",
    html='<div class="frame" tabindex="0"><div class="paper"></div><div class="tools"></div>'
    '<div class="said" aria-live="polite"></div></div>',
    css=_STYLE + _dark_style(),
    js=_SCRIPT,
)


@dataclass(frozen=True, slots=True)
class Choosing:
    """How a task is chosen in a diagram."""

    nodes: list[str]  # id of each task's drawn node, up to its first underscore, in listed order
    before: list[list[int]]  # for each task the positions in `nodes` of its direct predecessors
    chosen: int  # position of the chosen task in `nodes`; -1: none of them
    table: str  # class around the table that is scrolled to the chosen row; empty: there is none
    row: int  # of the chosen task in that table; -1: none
    row_height: int  # in pixels
    take: Callable[[int], None]  # called with the position of the task that was chosen


def diagram_width(key: str, kept: str) -> int:
    """Return how wide the frame of a diagram is in the browser, in pixels, rounded down.

    Until it is told, as wide as the last one whose width was `kept` under the same key.
    """
    told = st.session_state.get(key, {}).get("width")
    width: int = told if isinstance(told, int) else st.session_state.get(kept, USUAL_WIDTH)
    st.session_state[kept] = width
    return width


def diagram_view(
    svg: str,
    *,
    height: int,
    width: int,
    key: str,
    label: str,
    choosing: Choosing | None = None,
    is_wide: bool = False,
) -> None:
    """Show a drawing in SVG, as Graphviz or we write it, in a frame of a height in pixels.

    `width` is that of the frame it was drawn for, as `diagram_width` gives it. `label` is what a
    screen reader says; without `choosing` the diagram is only looked at. A wide one opens as wide
    as its frame, about the element of class "middle".
    """
    is_dark = st.context.theme.type == "dark"
    data: dict[str, Any] = {
        "svg": svg, "height": height, "width": width, "label": label, "isDark": is_dark,
        "isWide": is_wide,
    }  # fmt: skip
    if choosing is None:
        _view(data=data, key=key, height=height + 4, on_width_change=lambda: None)
        return
    data |= {
        "nodes": choosing.nodes,
        "before": choosing.before,
        "chosen": choosing.chosen,
        "table": choosing.table,
        "row": choosing.row,
        "rowHeight": choosing.row_height,
    }

    def taken() -> None:
        """Hand on which task was chosen, when it is one."""
        pick = st.session_state[key].get("pick")
        if isinstance(pick, int) and 0 <= pick < len(choosing.nodes):
            choosing.take(pick)

    _view(data=data, key=key, height=height + 4, on_pick_change=taken, on_width_change=lambda: None)
