"""Charts of plans side by side: one figure of each plan, and the loads of each plan.

Written as Vega-Lite specifications in plain data, as the load chart is. Every bar carries
its number, and the best value its word, so that colour says nothing alone.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from stationflow.drawing.palette import ON_PAPER, Inks
from stationflow.model import BalanceResult
from stationflow.model.schema.cells import one_line
from stationflow.units import TimeUnit, seconds_in_unit, show_seconds

Spec = dict[str, Any]

FIGURE_HEIGHT = 230
LOADS_HEIGHT = 300
PADDING = {"left": 4, "top": 10, "right": 4, "bottom": 4}
HEADROOM = 1.22
"""How much higher than the highest bar an axis reaches, for the words above it."""
WORDS_UP_TO = 14
"""Up to so many stations the load stands above each bar; with more, it is in the tooltip."""
LONGEST_LABEL = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanBar:
    """One figure of one plan; a value of None has no bar and says `words` only."""

    label: str
    value: float | None
    words: str
    is_best: bool = False


def figure_chart(title: str, bars: Sequence[PlanBar], *, inks: Inks = ON_PAPER) -> Spec:
    """Return one figure of all plans as upright bars from zero.

    Parameters
    ----------
    title
        Heading: the figure's name.
    bars
        The plans in the order of the comparison.
    inks
        Colours for the ground the chart lies on.
    """
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
    y = {
        "field": "value",
        "type": "quantitative",
        "title": None,
        "axis": None,
        "scale": {"domain": [0, top], "nice": False},
    }
    words = {"baseline": "bottom", "color": inks.ink, "tooltip": None}
    return {
        "data": {"values": rows},
        "layer": [
            {
                "mark": {"type": "bar", "fill": inks.segments[0], "stroke": inks.idle_edge},
                "encoding": {
                    "x": x,
                    "y": y,
                    "strokeWidth": {
                        "condition": {"test": "datum.mark === 'best'", "value": 2.5},
                        "value": 0,
                    },
                    "tooltip": [
                        {"field": "plan", "title": "Plan"},
                        {"field": "words", "title": title},
                    ],
                },
            },
            {
                "mark": {"type": "text", "dy": -4, "fontSize": 12, **words},
                "encoding": {"x": x, "y": y, "text": {"field": "words"}},
            },
            {
                "mark": {"type": "text", "dy": -18, "fontSize": 11, "fontWeight": "bold", **words},
                "encoding": {"x": x, "y": y, "text": {"field": "mark"}},
            },
        ],
        "width": "container",
        "height": FIGURE_HEIGHT,
        "padding": PADDING,
        "title": {"text": title, "anchor": "start", "fontSize": 13},
    }


def loads_charts(
    plans: Sequence[tuple[str, BalanceResult]], unit: TimeUnit, *, inks: Inks = ON_PAPER
) -> list[Spec]:
    """Return the loads of each plan, all on one time axis so that they can be compared.

    Parameters
    ----------
    plans
        Label and result of each plan, times in seconds.
    unit
        Unit in which times are shown.
    inks
        Colours for the ground the charts lie on.
    """
    peak = max(
        [
            *(result.cycle_time for _, result in plans),
            *(result.limit or 0.0 for _, result in plans),
        ],
        default=0.0,
    )
    top = seconds_in_unit(peak, unit) * HEADROOM or 1.0
    return [_loads(label, result, top, unit, inks) for label, result in plans]


def _loads(label: str, result: BalanceResult, top: float, unit: TimeUnit, inks: Inks) -> Spec:
    """Return the loads of one plan."""
    x = {
        "field": "station",
        "type": "ordinal",
        "title": "Station",
        "sort": [station.number for station in result.stations],
        "axis": {"labelAngle": 0, "labelOverlap": True},
        "scale": {"paddingInner": 0.2, "paddingOuter": 0.1},
    }

    def y(field: str) -> Spec:
        scale = {"domain": [0, top], "nice": False}
        title = f"Load ({unit.label})"
        return {"field": field, "type": "quantitative", "scale": scale, "title": title}

    rows = _load_rows(result, unit)
    tooltip = [
        {"field": "station", "title": "Station"},
        {"field": "shown", "title": "Load"},
        {"field": "idle", "title": "Idle time"},
        {"field": "tasks", "title": "Tasks"},
    ]
    layers: list[Spec] = [
        {
            "mark": {"type": "bar", "fill": inks.idle_narrow},
            "encoding": {"x": x, "y": y("load"), "y2": {"field": "ceiling"}, "tooltip": tooltip},
        },
        {
            "mark": {"type": "bar", "fill": inks.segments[0]},
            "encoding": {
                "x": x,
                "y": y("load"),
                "stroke": {"condition": {"test": "datum.over", "value": inks.over}, "value": None},
                "strokeWidth": {"condition": {"test": "datum.over", "value": 3}, "value": 0},
                "tooltip": tooltip,
            },
        },
    ]
    if len(rows) <= WORDS_UP_TO:
        layers.append(
            {
                "mark": {
                    "type": "text",
                    "baseline": "top",
                    "dy": 4,
                    "fontSize": 10,
                    "color": inks.segment_ink,
                    "tooltip": None,
                },
                "encoding": {"x": x, "y": y("load"), "text": {"field": "number"}},
            }
        )
    if result.limit is not None:
        layers += _limit(result.limit, y("limit"), unit, inks)
    cycle = result.cycle_time
    count = len(result.stations)
    stations = f"{count} station{'' if count == 1 else 's'}"
    return {
        "data": {"values": rows},
        "layer": layers,
        "width": "container",
        "height": LOADS_HEIGHT,
        "padding": PADDING,
        "title": {
            "text": _short(label),
            "subtitle": f"{stations}, cycle time {show_seconds(cycle, unit)}",
            "anchor": "start",
            "fontSize": 13,
            "color": inks.ink,
            "subtitleColor": inks.ink,
        },
    }


def _load_rows(result: BalanceResult, unit: TimeUnit) -> list[Spec]:
    """Return one row for each station."""
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


def _limit(limit: float, y: Spec, unit: TimeUnit, inks: Inks) -> list[Spec]:
    """Return the limit line with its words."""
    data = {
        "values": [
            {"limit": seconds_in_unit(limit, unit), "words": f"limit {show_seconds(limit, unit)}"}
        ]
    }
    return [
        {
            "data": data,
            "mark": {"type": "rule", "color": inks.limit, "strokeWidth": 2, "tooltip": None},
            "encoding": {"y": y},
        },
        {
            "data": data,
            "mark": {
                "type": "text",
                "align": "right",
                "baseline": "bottom",
                "dx": -4,
                "dy": -4,
                "fontSize": 11,
                "fontWeight": "bold",
                "color": inks.limit,
                "tooltip": None,
            },
            "encoding": {"y": y, "x": {"value": "width"}, "text": {"field": "words"}},
        },
    ]


def _short(label: str) -> str:
    """Return a label that fits below a bar."""
    said = one_line(label)
    return said if len(said) <= LONGEST_LABEL else f"{said[: LONGEST_LABEL - 1]}…"
