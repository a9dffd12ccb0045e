"""A player of the line over time: stepped from event to event, or running at a speed."""

from pathlib import Path
from typing import Any

import streamlit as st

from stationflow.drawing.charts.flow_chart import TIME_FILLS, TIME_LETTERS, place_label, spans_of
from stationflow.line.simulation.simulated import Simulated

_FILLS = "\n".join(
    f'.box[data-state="{state}"] {{background: {fill}; color: #1a1a1a; border-style: solid}}'
    for state, fill in zip(TIME_LETTERS, TIME_FILLS, strict=True)
)
_STYLE = f"""
.player {{font: 13px var(--st-font, sans-serif); color: var(--st-text-color)}}
.tools {{display: flex; flex-wrap: wrap; gap: .5rem; align-items: center; margin-bottom: .6rem}}
.tools button, .tools select {{min-height: 2.1rem; padding: 0 .7rem; border-radius: 4px;
  border: 1px solid var(--st-border-color); background: var(--st-background-color);
  color: inherit; font: inherit; cursor: pointer}}
.tools .play {{min-width: 4.2rem; font-weight: 600}}
.tools input {{flex: 1; min-width: 8rem; accent-color: var(--st-primary-color)}}
.tools output {{font-variant-numeric: tabular-nums; min-width: 4rem}}
.row {{display: flex; gap: .6rem; margin-bottom: .5rem; align-items: flex-start}}
.line {{flex: 0 0 7.5rem; font-weight: 600; padding-top: .3rem; overflow-wrap: anywhere}}
.boxes {{display: flex; flex-wrap: wrap; gap: 3px}}
.box {{width: 3.6rem; height: 3.5rem; border: 1px dashed var(--st-border-color);
  border-radius: 3px; display: flex; flex-direction: column; align-items: center;
  justify-content: space-between; padding: 2px; box-sizing: border-box; overflow: hidden;
  font-variant-numeric: tabular-nums}}
.box.named {{width: 7.4rem}}
.number {{max-width: 100%; overflow: hidden; text-overflow: ellipsis; font-size: 10px;
  opacity: .8; white-space: nowrap}}
.unit {{font-weight: 700; font-size: 14px; line-height: 1}}
.state {{font-size: 10px; white-space: nowrap}}
.said {{margin-top: .4rem; min-height: 5.2em; line-height: 1.3;
  font-variant-numeric: tabular-nums}}
{_FILLS}
"""

_player = st.components.v2.component(
    "line_player",
    html='<div class="player"><div class="tools"></div><div class="rows"></div>'
    '<div class="said" aria-live="polite"></div></div>',
    css=_STYLE,
    js=Path(__file__).with_suffix(".js").read_text("utf-8"),
)
SHORT = {"works": "works", "waits": "waits", "lacks a part": "no part", "stopped": "stopped"}


def line_player(made: Simulated, key: str) -> None:
    """Show the events of a simulation as the line they happen on."""
    trace = made.trace
    told = [(each.line, each.number, each.name) for each in made.stations]
    told += [(event.line, event.station, event.name) for event in trace]
    places = sorted(dict.fromkeys(told), key=lambda place: (bool(place[2]), place[1], place[2]))
    lines = list(dict.fromkeys(line for line, _, _ in told))
    index = {place_label(*place): at for at, place in enumerate(places)}
    data: dict[str, Any] = {
        "lines": [
            [
                line,
                [
                    [index[place_label(*place)], place[2] or f"{place[1]}"]
                    for place in places
                    if place[0] == line
                ],
            ]
            for line in lines
        ],
        "spans": [[index[s.label], s.state, s.start_s, s.end_s, s.unit] for s in spans_of(trace)],
        "events": [[event.at_s, event.words] for event in trace],
        "times": sorted({event.at_s for event in trace}),
        "end": trace[-1].at_s if trace else 0.0,
        "states": SHORT,
    }
    _player(data=data, key=key)
