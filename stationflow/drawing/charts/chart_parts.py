"""The parts all charts are built of: axes, layers and words, as plain data of Vega-Lite.

A chart built from objects that check themselves takes ten times as long, and a page draws
it after every click. The tests check the charts against the published schema.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from stationflow.drawing.palette import Inks

Spec = dict[str, Any]  # a Vega-Lite specification, or a part of one

PADDING = {"left": 4, "top": 10, "right": 4, "bottom": 4}


def measure(field: str, title: str | None, domain: Sequence[float], **more: Any) -> Spec:
    """Return an axis of numbers from one end of its domain to the other."""
    scale = {"domain": list(domain), "nice": False}
    return {"field": field, "type": "quantitative", "title": title, "scale": scale, **more}


def stations_axis(numbers: Sequence[int], inner: float, outer: float) -> Spec:
    """Return the axis of the stations; inner and outer: what is free at bars, in steps."""
    return {
        "field": "station",
        "type": "ordinal",
        "title": "Station",
        "sort": list(numbers),
        "axis": {"labelAngle": 0, "labelOverlap": True},
        "scale": {"paddingInner": inner, "paddingOuter": outer},
    }


def layer(
    mark: Spec, encoding: Spec, rows: Sequence[Mapping[str, object]] | None = None, only: str = ""
) -> Spec:
    """Return one layer; without a tooltip in its encoding it says nothing when pointed at.

    `rows` are its own, None: those of the chart, of which `only` may be a test.
    """
    quiet = {} if "tooltip" in encoding else {"tooltip": None}
    drawn: Spec = {} if rows is None else {"data": {"values": list(rows)}}
    if only:
        drawn["transform"] = [{"filter": only}]
    return {**drawn, "mark": {**mark, **quiet}, "encoding": encoding}


def heading(inks: Inks, text: str, below: str, **more: Any) -> Spec:
    """Return the title of a chart with a line below it."""
    colours = {"color": inks.ink, "subtitleColor": inks.ink}
    return {"text": text, "subtitle": below, "anchor": "start", **colours, **more}


def tooltip(**titles: str) -> list[Spec]:
    """Return what a mark says when it is pointed at: its fields with their titles."""
    return [{"field": field, "title": title} for field, title in titles.items()]


def where(test: Spec | str, yes: object, no: object) -> Spec:
    """Return one value where a test holds, another elsewhere."""
    condition = {"test": test} if isinstance(test, str) else test
    return {"condition": {**condition, "value": yes}, "value": no}


def words(colour: str, points: float, **more: object) -> Spec:
    """Return the mark of words in the chart."""
    return {"type": "text", "color": colour, "fontSize": points, **more}


def level_line(
    limit: float, said: str, y: Spec, colour: str, points: float, **look: Any
) -> list[Spec]:
    """Return a line across the chart with its words above the right end."""
    rows = [{"limit": limit, "words": said}]
    text = words(colour, points, align="right", baseline="bottom", dx=-4, dy=-4, fontWeight="bold")
    return [
        layer({"type": "rule", "color": colour, "strokeWidth": 2, **look}, {"y": y}, rows),
        layer(text, {"y": y, "x": {"value": "width"}, "text": {"field": "words"}}, rows),
    ]
