"""The station board: tasks as tiles that are moved from station to station by hand."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock
from typing import Any

import streamlit as st

from stationflow.drawing.palette import ON_DARK, ON_PAPER, Inks
from stationflow.ui.components.undo_keys import WAYS

ACCENT, ACCENT_DARK = "#c2410c", "#FF8A55"
"""Outline of what is chosen or carried, as in the diagrams."""


def _inks(inks: Inks, accent: str, grey: str, button: str) -> str:
    odd, even = inks.segments
    return (
        f"--ground: {inks.ground}; --ink: {inks.ink}; --limit: {inks.limit}; --over: {inks.over}; "
        f"--one: {odd}; --two: {even}; --on: {inks.segment_ink}; --quiet: {inks.idle_ink}; "
        f"--edge: {inks.idle_edge}; --accent: {accent}; --grey: {grey}; --button: {button}"
    )


_STYLE = f"""
.board {{{_inks(ON_PAPER, ACCENT, "#eef1f3", "#fff")}; position: relative; display: flex;
  flex-direction: column; border: 1px solid var(--st-border-color); border-radius: 4px;
  background: var(--ground); color: var(--ink); overflow: hidden; outline-offset: -2px;
  font: 12px/1.25 var(--st-font, sans-serif); user-select: none; -webkit-user-select: none}}
.board.dark {{{_inks(ON_DARK, ACCENT_DARK, "#222d33", "#263238")}}}
.board:focus-visible {{outline: 2px solid var(--limit)}}
.tools {{display: flex; align-items: center; gap: 4px; padding: 5px 8px; flex: none;
  overflow-x: auto; border-bottom: 1px solid var(--grey)}}
.tools button {{height: 26px; padding: 0 8px; border: 1px solid var(--edge); border-radius: 4px;
  background: var(--button); color: var(--ink); font: inherit; cursor: pointer;
  white-space: nowrap}}
.tools button:disabled {{opacity: .4; cursor: default}}
.tools button:not(:disabled):hover {{border-color: var(--limit); color: var(--limit)}}
.tools button:focus-visible {{outline: 2px solid var(--limit); outline-offset: 1px}}
.tools .of {{padding: 0 2px 0 14px; color: var(--quiet); white-space: nowrap;
  font-variant-numeric: tabular-nums; min-width: 4.6em; text-align: end}}
.figures {{display: flex; flex-wrap: wrap; gap: 2px 18px; padding: 5px 10px; flex: none;
  font-variant-numeric: tabular-nums; transition: opacity .15s}}
.figures.old {{opacity: .45}}
.figures span {{white-space: nowrap}}
.figures i {{font-style: normal; color: var(--quiet); margin-inline-end: 5px}}
.figures b {{font-weight: 600}}
.figures em {{font-style: normal; color: var(--quiet); margin-inline-start: 4px}}
.figures .bad, .figures .bad b {{color: var(--over)}}
.figures > span.bad:not(:has(b)) {{white-space: normal; font-weight: 600}}
.lanes {{position: relative; flex: 1; min-height: 110px; display: flex; align-items: flex-end;
  overflow-x: auto; overflow-y: hidden; direction: ltr; touch-action: pan-x}}
.column {{flex: none; position: relative}}
.plot {{position: relative; display: flex; flex-direction: column-reverse;
  border-bottom: 1px solid var(--edge)}}
.loose .plot {{flex-direction: column; overflow-y: auto; scrollbar-width: thin}}
.tile, .ghost {{position: relative; flex: none; box-sizing: border-box; overflow: hidden;
  padding: 0 4px;
  background: var(--one); color: var(--on); border-top: 1px solid var(--ground); cursor: grab;
  touch-action: none; display: flex; align-items: center; gap: 3px}}
.tile.odd, .ghost.odd {{background: var(--two)}}
.tile span, .ghost span {{flex: 1; white-space: nowrap; overflow: hidden; text-overflow: ellipsis;
  font-size: 11px;
  line-height: 1.15; text-align: start}}
.tile span.small {{font-size: 9px; line-height: 1}}
.tile.over {{box-shadow: inset 0 0 0 2px var(--over)}}
.tile:hover {{filter: brightness(.95)}}
.tile.chosen {{outline: 2px solid var(--accent); outline-offset: -2px; z-index: 2}}
.tile.taken {{opacity: .35}}
.icon {{flex: none; width: 11px; height: 11px; fill: currentColor}}
.head {{height: 45px; box-sizing: border-box; padding-top: 3px; text-align: center; cursor: pointer;
  font-variant-numeric: tabular-nums; line-height: 13px; overflow: hidden; white-space: nowrap}}
.head b {{font-weight: 600; font-size: 12px}}
.head .icon {{margin-inline-start: 4px; vertical-align: -1px; width: 10px; height: 10px}}
.head span {{display: block; font-size: 11px; color: var(--quiet)}}
.head.over span {{color: var(--over); font-weight: 600}}
.column.chosen .head {{background: var(--grey); box-shadow: inset 0 2px 0 var(--accent)}}
.column.locked .plot {{
  background: repeating-linear-gradient(135deg, var(--grey) 0 3px, transparent 3px 8px)}}
.gap {{flex: none; width: 12px; margin-bottom: 45px; position: relative}}
.carrying, .carrying .tile, .carrying .head {{cursor: grabbing}}
.carrying .gap.may::before {{content: ""; position: absolute; inset: 10% 5.5px 0 5.5px;
  background: var(--edge); opacity: .35}}
.carrying .column.no {{opacity: .3; filter: grayscale(1)}}
.carrying .column.no.at {{opacity: .45; background: var(--grey)}}
.carrying .tile.off {{opacity: .4; filter: grayscale(1)}}
.carrying .column:not(.no) .plot {{background: color-mix(in srgb, var(--limit) 7%, transparent)}}
.mark {{position: absolute; left: -3px; right: -3px; height: 3px; border-radius: 2px;
  background: var(--accent); z-index: 4; pointer-events: none}}
.mark.new {{left: 3px; right: 3px; height: auto; top: 10%; bottom: 0}}
.limit {{position: absolute; left: 0; height: 0; border-top: 2px solid var(--limit); z-index: 3;
  pointer-events: none}}
.limit span {{position: sticky; left: 4px; display: inline-block; transform: translateY(-17px);
  color: var(--limit); font-weight: 600; font-size: 11px; background: var(--ground); padding: 0 3px;
  border-radius: 2px; white-space: nowrap}}
.target {{position: absolute; left: 0; right: 0; border-top: 2px dashed var(--limit); z-index: 3;
  pointer-events: none}}
.ghost {{position: absolute; left: 0; top: 0; z-index: 9; pointer-events: none; opacity: .9;
  outline: 2px solid var(--accent); box-shadow: 0 3px 10px #0004}}
.line {{flex: none; min-height: 26px; box-sizing: border-box; padding: 5px 10px;
  border-top: 1px solid var(--grey); overflow: hidden; text-overflow: ellipsis;
  white-space: nowrap}}
.said {{position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%)}}
@media (prefers-reduced-motion: reduce) {{.figures {{transition: none}}}}
"""

_board = st.components.v2.component(
    "station_board",
    html='<div class="board has-own-undo" tabindex="0" role="application">'
    '<div class="tools"></div><div class="figures"></div><div class="lanes"></div>'
    '<div class="line"></div><div class="said" aria-live="polite"></div></div>',
    css=_STYLE,
    js=WAYS + Path(__file__).with_suffix(".js").read_text("utf-8"),
)


@dataclass(slots=True)
class Heard:
    """How many of the things asked on a board were taken, of each opening of the page."""

    taken: dict[str, int] = field(default_factory=dict)
    page: str = ""  # the opening that was heard last
    said: str = ""  # why what was asked last was refused
    lock: Lock = field(default_factory=Lock)


def station_board(
    data: Mapping[str, Any],
    *,
    height: int,
    key: str,
    heard: Heard,
    take: Callable[[Sequence[Mapping[str, Any]]], str],
) -> None:
    """Show the board, at least so high in pixels.

    `take` is called with what is asked on it, and returns why it is refused.
    """

    def told() -> None:
        asked = st.session_state[key].get("asks")
        if not isinstance(asked, dict) or asked.get("id") != data["id"]:
            return
        page, start = str(asked.get("page")), int(asked.get("from") or 0)
        all_asked = list(asked.get("asks") or ())
        with heard.lock:  # a run that is cut short goes on beside the next
            done = heard.taken.get(page, 0)
            new = all_asked[max(0, done - start) :]
            heard.page, heard.taken[page] = page, max(done, start + len(all_asked))
            if new:
                heard.said = take(new)

    _board(
        data={
            **data,
            "page": heard.page,
            "taken": heard.taken.get(heard.page, 0),
            "said": heard.said,
            "height": height,
            "isDark": st.context.theme.type == "dark",
        },
        key=key,
        on_asks_change=told,
    )
