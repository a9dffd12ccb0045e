"""Stations against cycle time: for each number of stations the shortest cycle time.

A proven point is filled; an open one is a ring with a bar down to its bound. The demand's
limit is a line with its words, and the point that answers it has a ring and its number.
"""

from stationflow.drawing.charts.chart_file import chart_file
from stationflow.drawing.charts.chart_parts import (
    PADDING,
    Spec,
    layer,
    level_line,
    measure,
    tooltip,
    where,
    words,
)
from stationflow.drawing.charts.curve_rows import CurveRows, curve_rows
from stationflow.drawing.palette import ON_PAPER, Inks
from stationflow.drawing.render import Kind
from stationflow.model import CycleCurve
from stationflow.units import TimeUnit

HEIGHT = 430
# What the points of a file mean; on a page each says it when pointed at.
OPEN_POINTS = "Filled: proven shortest. Ring: best plan so far, its bar reaches to what is proven."
PICK = "pick"  # name of the click selection; its field is `stations`


def curve_chart(
    curve: CycleCurve,
    limit: float | None,
    unit: TimeUnit | str = TimeUnit.SECOND,
    *,
    height: int = HEIGHT,
    inks: Inks = ON_PAPER,
) -> Spec:
    """Return the curve for the page: as wide as its container, its points clicked as `PICK`.

    Parameters
    ----------
    curve
        At least one point; times in seconds, or in file units of a published instance.
    limit
        The demand's limit of a station in the same unit; None: not set.
    unit
        Unit in which times are shown; another text than a time unit shows them as they are.
    """
    drawn = curve_rows(curve, limit, unit)
    last = drawn.rows[-1]["stations"]
    grid = {"tickMinStep": 1, "format": "d", "grid": False}
    x = measure("stations", "Stations", (0.5, last + 0.5), axis=grid)
    at = {"x": x, "y": _y("cycle", drawn)}
    line = {"type": "line", "color": inks.idle_edge, "strokeWidth": 1.5}
    bound = {"type": "rule", "color": inks.over, "strokeWidth": 3}
    layers = [
        layer(line, at),
        layer(bound, {**at, "y2": {"field": "low"}}, only="datum.open"),
    ]
    if drawn.limit:
        y = _y("limit", drawn)
        layers += level_line(drawn.limit, drawn.limit_words, y, inks.ink, 12, strokeDash=[6, 4])
    layers.append(_points(at, inks))
    if drawn.answer_words:
        layers += _answer(at, drawn, inks)
    return {
        "data": {"values": list(drawn.rows)},
        "layer": layers,
        "width": "container",
        "height": height,
        "padding": PADDING,
        "description": drawn.summary,
    }


def curve_file(
    curve: CycleCurve, limit: float | None, unit: TimeUnit | str, title: str, kind: Kind
) -> bytes:
    """Return the curve as a file, with what it shows in words below the title.

    Raises `DrawingError` if it cannot be drawn.
    """
    chart = curve_chart(curve, limit, unit)
    is_open = any(not point.is_proven for point in curve.points)
    return chart_file(chart, kind, title, [chart["description"], *([OPEN_POINTS] * is_open)])


def _y(field: str, drawn: CurveRows) -> Spec:
    """Return the time axis."""
    title = f"Cycle time ({drawn.unit}{', logarithmic' if drawn.is_log else ''})"
    axis = measure(field, title, drawn.domain, axis={"format": "~g"})
    if drawn.is_log:
        axis["scale"]["type"] = "log"
    return axis


def _points(at: Spec, inks: Inks) -> Spec:
    """Return the points, which can be clicked and pointed at."""
    mark = {"type": "point", "size": 70, "opacity": 1, "strokeWidth": 2, "cursor": "pointer"}
    encoding = {
        **at,
        "stroke": where("datum.open", inks.over, inks.limit),
        "fill": where("datum.open", inks.ground, inks.limit),
        "size": where({"param": PICK, "empty": False}, 220, 70),
        "tooltip": tooltip(
            stations="Stations",
            cycle_words="Cycle time",
            low_words="Lower bound",
            state_words="State",
            efficiency_words="Balance efficiency",
        ),
    }
    select = {"type": "point", "fields": ["stations"], "nearest": True}
    return {"params": [{"name": PICK, "select": select}], **layer(mark, encoding)}


def _answer(at: Spec, drawn: CurveRows, inks: Inks) -> list[Spec]:
    """Return a ring and the number at the point that answers the demand.

    The words stand at the demand's line where a falling curve is not: to the right of the
    answer that is above the line, to the left of it below. Above the right end of the line
    stand the demand's own words.
    """
    answer = next(row["stations"] for row in drawn.rows if row["answer"])
    place = {"align": "left", "baseline": "bottom", "dx": 14, "dy": -4}
    if 2 * answer > len(drawn.rows):
        place = {"align": "right", "baseline": "top", "dx": -14, "dy": 6}
    ring = {"type": "point", "size": 320, "filled": False, "color": inks.ink, "strokeWidth": 2}
    y = {**_y("", drawn), "datum": drawn.limit}
    del y["field"]
    number = {"x": at["x"], "y": y, "text": {"value": drawn.answer_words}}
    text = words(inks.ink, 12, fontWeight="bold", **place)
    return [
        layer({**ring, "opacity": 1}, at, only="datum.answer"),
        layer(text, number, only="datum.answer"),
    ]
