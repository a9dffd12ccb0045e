"""Charts of plans side by side: one figure of each plan, and the loads of each plan.

Every bar carries its number, and the best value its word, so that colour says nothing alone.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from stationflow.drawing.charts import chart_parts as parts
from stationflow.drawing.charts.chart_parts import Spec
from stationflow.drawing.palette import ON_PAPER, Inks
from stationflow.model import BalanceResult
from stationflow.model.schema.cells import one_line
from stationflow.units import TimeUnit, seconds_in_unit, show_seconds

FIGURE_HEIGHT = 230
LOADS_HEIGHT = 300
HEADROOM = 1.22  # an axis reaches so much higher than the highest bar, for the words above it
WORDS_UP_TO = 14  # stations; of more the load is in the tooltip, not in the bar
LONGEST_LABEL = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanBar:
    """One figure of one plan; a value of None has no bar and says `words` only."""

    label: str
    value: float | None
    words: str
    is_best: bool = False


def figure_chart(title: str, bars: Sequence[PlanBar], *, inks: Inks = ON_PAPER) -> Spec:
    """Return one figure of all plans as upright bars from zero."""
    rows = [
        {
            "plan": _short(bar.label),
            "value": bar.value or 0.0,
            "words": bar.words,
            "mark": "best" if bar.is_best else "",
        }
        for bar in bars
    ]
    top = max([bar.value or 0.0 for bar in bars], default=0.0) * HEADROOM * 1.1 or 1.0
    x = {
        "field": "plan",
        "type": "nominal",
        "title": None,
        "sort": [row["plan"] for row in rows],
        "axis": {"labelAngle": 0, "labelLimit": 110},
        "scale": {"paddingInner": 0.35, "paddingOuter": 0.25},
    }
    at = {"x": x, "y": parts.measure("value", None, (0, top), axis=None)}
    bar = {"type": "bar", "fill": inks.segments[0], "stroke": inks.idle_edge}
    value = parts.words(inks.ink, 12, baseline="bottom", dy=-4)
    best = parts.words(inks.ink, 11, baseline="bottom", dy=-18, fontWeight="bold")
    said = parts.tooltip(plan="Plan", words=title)
    edge = parts.where("datum.mark === 'best'", 2.5, 0)
    return {
        "data": {"values": rows},
        "layer": [
            parts.layer(bar, {**at, "strokeWidth": edge, "tooltip": said}),
            parts.layer(value, {**at, "text": {"field": "words"}}),
            parts.layer(best, {**at, "text": {"field": "mark"}}),
        ],
        "width": "container",
        "height": FIGURE_HEIGHT,
        "padding": parts.PADDING,
        "title": {"text": title, "anchor": "start", "fontSize": 13},
    }


def loads_charts(
    plans: Sequence[tuple[str, BalanceResult]], unit: TimeUnit, *, inks: Inks = ON_PAPER
) -> list[Spec]:
    """Return the loads of each plan, all on one time axis so that they can be compared.

    `plans` are labels and results, times in seconds; they are shown in `unit`.
    """
    peaks = [max(result.cycle_time, result.limit or 0.0) for _, result in plans]
    top = seconds_in_unit(max(peaks, default=0.0), unit) * HEADROOM or 1.0
    return [_loads(label, result, top, unit, inks) for label, result in plans]


def _loads(label: str, result: BalanceResult, top: float, unit: TimeUnit, inks: Inks) -> Spec:
    def y(field: str) -> Spec:
        return parts.measure(field, f"Load ({unit.label})", (0, top))

    rows = _load_rows(result, unit)
    at = {"x": parts.stations_axis([s.number for s in result.stations], 0.2, 0.1), "y": y("load")}
    said = {
        "tooltip": parts.tooltip(station="Station", shown="Load", idle="Idle time", tasks="Tasks")
    }
    edge = {
        "stroke": parts.where("datum.over", inks.over, None),
        "strokeWidth": parts.where("datum.over", 3, 0),
    }
    layers = [
        parts.layer(
            {"type": "bar", "fill": inks.idle_narrow}, {**at, "y2": {"field": "ceiling"}, **said}
        ),
        parts.layer({"type": "bar", "fill": inks.segments[0]}, {**at, **edge, **said}),
    ]
    if len(rows) <= WORDS_UP_TO:
        inside = parts.words(inks.segment_ink, 10, baseline="top", dy=4)
        layers.append(parts.layer(inside, {**at, "text": {"field": "number"}}))
    if result.limit is not None:
        limit = seconds_in_unit(result.limit, unit)
        shown = f"limit {show_seconds(result.limit, unit)}"
        layers += parts.level_line(limit, shown, y("limit"), inks.limit, 11)
    count = len(result.stations)
    stations = f"{count} station{'' if count == 1 else 's'}"
    cycle = show_seconds(result.cycle_time, unit)
    return {
        "data": {"values": rows},
        "layer": layers,
        "width": "container",
        "height": LOADS_HEIGHT,
        "padding": parts.PADDING,
        "title": parts.heading(inks, _short(label), f"{stations}, cycle time {cycle}", fontSize=13),
    }


def _load_rows(result: BalanceResult, unit: TimeUnit) -> list[Spec]:
    limit = result.limit or result.cycle_time
    return [
        {
            "station": station.number,
            "load": seconds_in_unit(load, unit),
            "ceiling": seconds_in_unit(max(limit, load), unit),
            "over": load > limit,
            "shown": show_seconds(load, unit),
            "number": show_seconds(load, unit).removesuffix(f" {unit.label}"),
            "idle": show_seconds(limit - load, unit) if load <= limit else "none",
            "tasks": one_line(", ".join(station.tasks)),
        }
        for station, load in zip(result.stations, result.loads, strict=True)
    ]


def _short(label: str) -> str:
    """Return a label that fits below a bar."""
    said = one_line(label)
    return said if len(said) <= LONGEST_LABEL else f"{said[: LONGEST_LABEL - 1]}…"
