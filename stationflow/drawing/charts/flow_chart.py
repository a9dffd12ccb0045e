"""Charts of the simulation: what each station did, and the line over time.

Every part of a bar carries its word or its letter, so that colour says nothing alone.
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from stationflow.drawing.charts import chart_parts as parts
from stationflow.drawing.charts.chart_parts import Spec
from stationflow.drawing.palette import ON_PAPER, Inks
from stationflow.line.simulation.simulated import StationShares, TraceEvent
from stationflow.model.schema.cells import one_line

STATES = ("worked", "blocked", "starved", "stopped")
LETTERS = {"worked": "w", "blocked": "b", "starved": "s", "stopped": "x"}
FILLS = ("#9DC3E6", "#EEDD88", "#EEEFF1", "#EE8866")  # of the palettes, dark words on all
STATE_INK = "#1A1A1A"
ROW = 22  # height of a bar with its gap, in pixels
WIDE = 0.14  # share of the time from which the part of a bar holds its word
NARROW = 0.035  # from which it holds its letter
LONGEST_LABEL = 34


def shares_chart(shares: Sequence[StationShares], *, inks: Inks = ON_PAPER) -> Spec:
    """Return what each station did as bars that add up to 100 %."""
    labels = [place_label(each.line, each.number, each.name) for each in shares]
    rows = [row for each, label in zip(shares, labels, strict=True) for row in _parts(each, label)]
    x = {**parts.measure("start", "Share of the time", (0, 1)), "axis": {"format": "%"}}
    said = parts.tooltip(station="Station", state="What", shown="Share", of="Of it")
    looks = dict(zip(STATES, FILLS, strict=True))
    return _bars(rows, labels, x, LETTERS, looks, said, edge=inks.idle_edge, size=10)


def _parts(each: StationShares, label: str) -> Iterable[Spec]:
    """Yield the parts of the bar of one station."""
    start = 0.0
    for state in STATES:
        share = getattr(each, state)
        shown = f"{100 * share:.1f} %"
        words = (
            f"{state} {100 * share:.0f} %" if share >= WIDE else LETTERS[state] * (share >= NARROW)
        )
        yield {
            "station": label,
            "state": state,
            "start": start,
            "end": start + share,
            "middle": start + share / 2,
            "words": words,
            "shown": shown,
            "of": _causes(each, state),
        }
        start += share


def _causes(each: StationShares, state: str) -> str:
    causes = {
        "blocked": (("waiting for the common step", each.of_step),),
        "starved": (("a feeder's unit", each.of_feeder), ("a part", each.of_part)),
    }
    said = [f"{name} {100 * share:.1f} %" for name, share in causes.get(state, ()) if share]
    return ", ".join(said) or "-"


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """What a station did from one moment to another, in seconds."""

    label: str
    state: str  # "works", "waits", "stopped", "empty"
    start_s: float
    end_s: float
    unit: int


BEGINS = {"starts": "works", "waits": "waits", "stops": "stopped", "runs": "works",
          "lacks a part": "lacks a part", "ends": "waits"}  # fmt: skip
ENDS = ("leaves", "used", "done", "scrapped", "fails")
TIME_LETTERS = {"works": "", "waits": "w", "lacks a part": "p", "stopped": "x"}
TIME_FILLS = ("#9DC3E6", "#EEDD88", "#FFAABB", "#EE8866")


def spans_of(trace: Sequence[TraceEvent]) -> list[Span]:
    """Return what each station did, from one event to the next."""
    spans: list[Span] = []
    now: dict[str, tuple[str, float, int]] = {}
    for event in trace:
        label = place_label(event.line, event.station, event.name)
        state, since, unit = now.get(label, ("", 0.0, 0))
        becomes = BEGINS.get(event.what, "" if event.what in ENDS else state)
        if becomes == state and (event.unit == unit or not event.unit):
            continue
        if state and event.at_s > since:
            spans.append(Span(label=label, state=state, start_s=since, end_s=event.at_s, unit=unit))
        now[label] = becomes, event.at_s, event.unit or unit
    last = trace[-1].at_s if trace else 0.0
    spans += [
        Span(label=label, state=state, start_s=since, end_s=last, unit=unit)
        for label, (state, since, unit) in now.items()
        if state and last > since
    ]
    return spans


def line_over_time(
    trace: Sequence[TraceEvent], first_s: float, last_s: float, *, inks: Inks = ON_PAPER
) -> Spec:
    """Return what each station does with which unit between two moments."""
    labels = list(dict.fromkeys(place_label(e.line, e.station, e.name) for e in _in_order(trace)))
    rows = [
        {
            "station": span.label,
            "state": span.state,
            "start": round(max(span.start_s, first_s), 2),
            "end": round(min(span.end_s, last_s), 2),
            "middle": (max(span.start_s, first_s) + min(span.end_s, last_s)) / 2,
            "unit": f"{span.unit}" if span.unit else "",
            "words": _span_words(span, last_s - first_s),
        }
        for span in spans_of(trace)
        if span.end_s > first_s and span.start_s < last_s
    ]
    x = parts.measure("start", "Seconds from the start", (first_s, last_s))
    said = parts.tooltip(station="Station", state="What", unit="Unit", start="From", end="To")
    looks = dict(zip(TIME_LETTERS, TIME_FILLS, strict=True))
    return _bars(rows, labels, x, TIME_LETTERS, looks, said, edge=inks.ground, size=9)


def _span_words(span: Span, window_s: float) -> str:
    """Return what stands in a bar: the unit, and a letter for what is no work."""
    share = (span.end_s - span.start_s) / window_s if window_s else 0.0
    if share < NARROW / 2:
        return ""
    letter = TIME_LETTERS.get(span.state, "")
    return f"{letter} {span.unit}".strip() if span.unit and share >= NARROW else letter


def _in_order(trace: Sequence[TraceEvent]) -> list[TraceEvent]:
    """Return the events by line, station and name, lines in the order of their first event."""
    lines = list(dict.fromkeys(event.line for event in trace))
    return sorted(trace, key=lambda e: (lines.index(e.line), e.station, e.name))


def _bars(
    rows: Sequence[Spec],
    labels: Sequence[str],
    x: Spec,
    letters: Mapping[str, str],
    fills: Mapping[str, str],
    said: Sequence[Spec],
    *,
    edge: str,
    size: int,
) -> Spec:
    """Return a bar of parts for each station: where they start and end, their state and words."""
    y = {
        "field": "station",
        "type": "nominal",
        "title": None,
        "sort": list(dict.fromkeys(labels)),
        "axis": {"labelLimit": 200},
        "scale": {"paddingInner": 0.18, "paddingOuter": 0.1},
    }
    fill = {
        "field": "state",
        "type": "nominal",
        "title": None,
        "scale": {"domain": list(fills), "range": list(fills.values())},
        "legend": _legend(letters),
    }
    at = {"x": x, "x2": {"field": "end"}, "y": y, "fill": fill, "tooltip": said}
    middle = {"x": {**x, "field": "middle"}, "y": y, "text": {"field": "words"}}
    return {
        "data": {"values": rows},
        "layer": [
            parts.layer({"type": "bar", "stroke": edge, "strokeWidth": 0.8}, at),
            parts.layer(parts.words(STATE_INK, size), middle),
        ],
        "width": "container",
        "height": {"step": ROW},
        "padding": parts.PADDING,
    }


def _legend(letters: Mapping[str, str]) -> Spec:
    """Return the legend, each state with the letter that stands for it in narrow bars."""
    said = json.dumps({state: f"{state} ({x})" if x else state for state, x in letters.items()})
    look = {"symbolStrokeColor": STATE_INK, "symbolType": "square", "symbolSize": 160}
    return {"orient": "top", "labelExpr": f"{said}[datum.label]", **look}


def place_label(line: str, number: int, name: str) -> str:
    """Return what a station, bench or soak is called in a chart."""
    said = one_line(f"{line} {number}{f', {name}' if name else ''}")
    return said if len(said) <= LONGEST_LABEL else f"{said[: LONGEST_LABEL - 1]}…"
