"""Stations against cycle time: for each number of stations the shortest cycle time.

Written as a Vega-Lite specification in plain data, as the load chart is. A proven point is
filled; an open one is a ring with a bar down to its bound. The demand's limit is a line
with its words, and the point that answers it has a ring and its number.
"""

from typing import Any

from stationflow.drawing.charts.chart_file import chart_file
from stationflow.drawing.charts.curve_rows import CurveRows, curve_rows
from stationflow.drawing.palette import ON_PAPER, Inks
from stationflow.drawing.render import Kind
from stationflow.model import CycleCurve
from stationflow.units import TimeUnit

Spec = dict[str, Any]

HEIGHT = 430
OPEN_POINTS = "Filled: proven shortest. Ring: best plan so far, its bar reaches to what is proven."
"""What the points of a file mean; on a page each says it when pointed at."""
PICK = "pick"
"""Name of the click selection; its field is `stations`."""


def curve_chart(
    curve: CycleCurve,
    limit: float | None,
    unit: TimeUnit | str = TimeUnit.SECOND,
    *,
    height: int = HEIGHT,
    inks: Inks = ON_PAPER,
) -> Spec:
    """Return the curve for the page.

    Parameters
    ----------
    curve
        At least one point; times in seconds, or in file units of a published instance.
    limit
        The demand's limit of a station in the same unit; None: not set.
    unit
        Unit in which times are shown; another text than a time unit shows them as they are.
    height
        Height in pixels.
    inks
        Colours for the ground the chart lies on.

    Returns
    -------
    dict
        A Vega-Lite specification as wide as its container. Click selection is named
        "pick" with the field `stations`.
    """
    drawn = curve_rows(curve, limit, unit)
    last = drawn.rows[-1]["stations"]
    x = {
        "field": "stations",
        "type": "quantitative",
        "title": "Stations",
        "axis": {"tickMinStep": 1, "format": "d", "grid": False},
        "scale": {"domain": [0.5, last + 0.5], "nice": False},
    }
    layers = [
        {
            "mark": {"type": "line", "color": inks.idle_edge, "strokeWidth": 1.5, "tooltip": None},
            "encoding": {"x": x, "y": _y("cycle", drawn)},
        },
        {
            "transform": [{"filter": "datum.open"}],
            "mark": {"type": "rule", "color": inks.over, "strokeWidth": 3, "tooltip": None},
            "encoding": {"x": x, "y": _y("cycle", drawn), "y2": {"field": "low"}},
        },
        *_demand(drawn, inks),
        _points(x, drawn, inks),
        *_answer(x, drawn, inks),
    ]
    return {
        "data": {"values": list(drawn.rows)},
        "layer": layers,
        "width": "container",
        "height": height,
        "padding": {"left": 4, "top": 10, "right": 4, "bottom": 4},
        "description": drawn.summary,
    }


def curve_file(
    curve: CycleCurve, limit: float | None, unit: TimeUnit | str, title: str, kind: Kind
) -> bytes:
    """Return the curve as a file, with what it shows in words below the title.

    Raises
    ------
    DrawingError
        If it cannot be drawn.
    """
    chart = curve_chart(curve, limit, unit)
    is_open = any(not point.is_proven for point in curve.points)
    return chart_file(chart, kind, title, [chart["description"], *([OPEN_POINTS] * is_open)])


def _y(field: str, drawn: CurveRows) -> Spec:
    """Return the time axis."""
    scale: Spec = {"domain": list(drawn.domain), "nice": False}
    if drawn.is_log:
        scale["type"] = "log"
    words = ", logarithmic" if drawn.is_log else ""
    return {
        "field": field,
        "type": "quantitative",
        "title": f"Cycle time ({drawn.unit}{words})",
        "scale": scale,
        "axis": {"format": "~g"},
    }


def _at(time: float | None, drawn: CurveRows) -> Spec:
    """Return the place of one time on the time axis."""
    axis = _y("", drawn)
    del axis["field"]
    return {**axis, "datum": time}


def _points(x: Spec, drawn: CurveRows, inks: Inks) -> Spec:
    """Return the points, which can be clicked and pointed at."""
    chosen = {"param": PICK, "empty": False}
    return {
        "params": [
            {
                "name": PICK,
                "select": {"type": "point", "fields": ["stations"], "nearest": True},
            }
        ],
        "mark": {"type": "point", "size": 70, "opacity": 1, "strokeWidth": 2, "cursor": "pointer"},
        "encoding": {
            "x": x,
            "y": _y("cycle", drawn),
            "stroke": {
                "condition": {"test": "datum.open", "value": inks.over},
                "value": inks.limit,
            },
            "fill": {
                "condition": {"test": "datum.open", "value": inks.ground},
                "value": inks.limit,
            },
            "size": {"condition": {**chosen, "value": 220}, "value": 70},
            "tooltip": [
                {"field": "stations", "title": "Stations"},
                {"field": "cycle_words", "title": "Cycle time"},
                {"field": "low_words", "title": "Lower bound"},
                {"field": "state_words", "title": "State"},
                {"field": "efficiency_words", "title": "Balance efficiency"},
            ],
        },
    }


def _demand(drawn: CurveRows, inks: Inks) -> list[Spec]:
    """Return the demand's limit as a line with its words; nothing where none is set."""
    if not drawn.limit:
        return []
    data = {"values": [{"limit": drawn.limit, "words": drawn.limit_words}]}
    y = _y("limit", drawn)
    return [
        {
            "data": data,
            "mark": {
                "type": "rule", "color": inks.ink, "strokeWidth": 2, "strokeDash": [6, 4],
                "tooltip": None,
            },
            "encoding": {"y": y},
        },
        {
            "data": data,
            "mark": {
                "type": "text", "align": "right", "baseline": "bottom", "dx": -4, "dy": -4,
                "fontSize": 12, "fontWeight": "bold", "color": inks.ink, "tooltip": None,
            },
            "encoding": {"y": y, "x": {"value": "width"}, "text": {"field": "words"}},
        },
    ]  # fmt: skip


def _answer(x: Spec, drawn: CurveRows, inks: Inks) -> list[Spec]:
    """Return a ring and the number at the point that answers the demand."""
    if not drawn.answer_words:
        return []
    only = [{"filter": "datum.answer"}]
    encoding = {"x": x, "y": _y("cycle", drawn)}
    return [
        {
            "transform": only,
            "mark": {
                "type": "point", "size": 320, "filled": False, "color": inks.ink,
                "strokeWidth": 2, "opacity": 1, "tooltip": None,
            },
            "encoding": encoding,
        },
        {
            "transform": only,
            "mark": {**_beside(drawn), "color": inks.ink, "tooltip": None},
            "encoding": {
                "x": x,
                "y": _at(drawn.limit, drawn),
                "text": {"value": drawn.answer_words},
            },
        },
    ]  # fmt: skip


def _beside(drawn: CurveRows) -> Spec:
    """Return how words stand beside the ring at the demand's line where a falling curve is not.

    To the right of the answer that is above the line, to the left of it below. Above the right
    end of the line stand the demand's own words.
    """
    answer = next(row["stations"] for row in drawn.rows if row["answer"])
    text: Spec = {"type": "text", "fontSize": 12, "fontWeight": "bold"}
    if 2 * answer > len(drawn.rows):
        return {**text, "align": "right", "baseline": "top", "dx": -14, "dy": 6}
    return {**text, "align": "left", "baseline": "bottom", "dx": 14, "dy": -4}
