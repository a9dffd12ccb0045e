"""Stations against cycle time: for each number of stations the shortest cycle time.

A proven point is filled; an open one is a ring with a bar down to its bound. The demand's
limit is a line with its words, and the point that answers it has a ring and its number.
"""

from collections.abc import Sequence

from stationflow.balancing.load_rows import shown_number, unit_label
from stationflow.drawing.charts import chart_parts as parts
from stationflow.drawing.charts.chart_file import chart_file
from stationflow.drawing.charts.chart_parts import Spec
from stationflow.drawing.palette import ON_PAPER, Inks
from stationflow.drawing.render import Kind
from stationflow.model import CurvePoint, CycleCurve
from stationflow.units import TimeUnit, seconds_in_unit

HEIGHT = 430
STEEP = 8.0  # above this ratio of longest to shortest cycle the time axis is logarithmic
# What the points of a file mean; on a page each says it when pointed at.
OPEN_POINTS = "Filled: proven shortest. Ring: best plan so far, its bar reaches to what is proven."
PICK = "pick"  # name of the click selection; its field is `stations`


def curve_chart(
    curve: CycleCurve,
    limit: float | None,
    unit: TimeUnit | str = TimeUnit.SECOND,
    *,
    inks: Inks = ON_PAPER,
) -> Spec:
    """Return the curve for the page: as wide as its container, its points clicked as `PICK`.

    The curve has at least one point; its times, and the demand's limit of a station (None: not
    set), are in seconds, or in file units of a published instance. Another unit than a time unit
    shows them as they are.
    """
    answer = None if limit is None else curve.answer(limit)
    rows = [_row(curve, point, answer, unit) for point in curve.points]
    level = None if limit is None else seconds_in_unit(limit, unit)
    demand = "" if level is None else shown_number(level, unit)
    lows = [row["low"] for row in rows]
    is_log = min(lows) > 0 and rows[0]["cycle"] / min(lows) > STEEP
    times = [*lows, *(row["cycle"] for row in rows), *([level] if level else [])]
    ends = (0.85 * min(times), 1.15 * max(times)) if is_log else (0.0, 1.1 * max(times) or 1.0)

    def y(field: str) -> Spec:
        title = f"Cycle time ({unit_label(unit)}{', logarithmic' if is_log else ''})"
        axis = parts.measure(field, title, ends, axis={"format": "~g"})
        axis["scale"] |= {"type": "log"} if is_log else {}
        return axis

    grid = {"tickMinStep": 1, "format": "d", "grid": False}
    x = parts.measure("stations", "Stations", (curve.first - 0.5, curve.flat_from + 0.5), axis=grid)
    at = {"x": x, "y": y("cycle")}
    line = {"type": "line", "color": inks.idle_edge, "strokeWidth": 1.5}
    bound = {"type": "rule", "color": inks.over, "strokeWidth": 3}
    layers = [
        parts.layer(line, at),
        parts.layer(bound, {**at, "y2": {"field": "low"}}, only="datum.open"),
    ]
    if level:
        words_of = f"demand: {demand}"
        layers += parts.level_line(level, words_of, y("limit"), inks.ink, 12, strokeDash=[6, 4])
    layers.append(_points(at, inks))
    summary = _summary(rows)
    if answer:
        many = f"{answer.stations} station{'' if answer.stations == 1 else 's'}"
        summary += f"; {many} for the demand of {demand}"
        in_right_half = 2 * answer.stations > curve.first + curve.flat_from
        layers += _answer(at, {**y(""), "datum": level}, many, inks, in_right_half=in_right_half)
    return {
        "data": {"values": rows},
        "layer": layers,
        "width": "container",
        "height": HEIGHT,
        "padding": parts.PADDING,
        "description": f"{summary}.",
    }


def _row(
    curve: CycleCurve, point: CurvePoint, answer: CurvePoint | None, unit: TimeUnit | str
) -> Spec:
    """Return one point: numbers in the unit shown, and their words."""
    cycle, low = (seconds_in_unit(time, unit) for time in (point.cycle, point.lower_bound))
    is_open = not point.is_proven
    return {
        "stations": point.stations,
        "cycle": cycle,
        "low": low,
        "open": is_open,
        "answer": point == answer,
        "cycle_words": shown_number(cycle, unit),
        "low_words": shown_number(low, unit),
        "state_words": f"not proven, gap {100 * point.gap:.1f} %" if is_open else "proven shortest",
        "efficiency_words": f"{100 * curve.efficiency(point):.1f} %",
    }


def _summary(rows: Sequence[Spec]) -> str:
    """Return the curve in words, for those who do not see it."""
    open_points = sum(row["open"] for row in rows)
    first, last = rows[0]["stations"], rows[-1]["stations"]
    proven = len(rows) - open_points
    said = f"Shortest cycle time of {first} to {last} stations, {proven} points proven"
    return said + (f", {open_points} between bound and plan" if open_points else "")


def curve_file(
    curve: CycleCurve, limit: float | None, unit: TimeUnit | str, title: str, kind: Kind
) -> bytes:
    """Return the curve as a file, with what it shows in words below the title.

    Raises `DrawingError` if it cannot be drawn.
    """
    chart = curve_chart(curve, limit, unit)
    is_open = any(not point.is_proven for point in curve.points)
    return chart_file(chart, kind, title, [chart["description"], *([OPEN_POINTS] * is_open)])


def _points(at: Spec, inks: Inks) -> Spec:
    """Return the points, which can be clicked and pointed at."""
    mark = {"type": "point", "size": 70, "opacity": 1, "strokeWidth": 2, "cursor": "pointer"}
    encoding = {
        **at,
        "stroke": parts.where("datum.open", inks.over, inks.limit),
        "fill": parts.where("datum.open", inks.ground, inks.limit),
        "size": parts.where({"param": PICK, "empty": False}, 220, 70),
        "tooltip": parts.tooltip(
            stations="Stations",
            cycle_words="Cycle time",
            low_words="Lower bound",
            state_words="State",
            efficiency_words="Balance efficiency",
        ),
    }
    select = {"type": "point", "fields": ["stations"], "nearest": True}
    return {"params": [{"name": PICK, "select": select}], **parts.layer(mark, encoding)}


def _answer(at: Spec, level: Spec, many: str, inks: Inks, *, in_right_half: bool) -> list[Spec]:
    """Return a ring and the number at the point that answers the demand.

    The words stand at the demand's line where a falling curve is not: to the right of the
    answer that is above the line, to the left of it below. Above the right end of the line
    stand the demand's own words.
    """
    place = {"align": "left", "baseline": "bottom", "dx": 14, "dy": -4}
    if in_right_half:
        place = {"align": "right", "baseline": "top", "dx": -14, "dy": 6}
    ring = {"type": "point", "size": 320, "filled": False, "color": inks.ink, "strokeWidth": 2}
    del level["field"]
    text = parts.words(inks.ink, 12, fontWeight="bold", **place)
    number = {"x": at["x"], "y": level, "text": {"value": many}}
    return [
        parts.layer({**ring, "opacity": 1}, at, only="datum.answer"),
        parts.layer(text, number, only="datum.answer"),
    ]
