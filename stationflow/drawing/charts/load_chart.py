"""Load chart: the tasks of each station stacked against the limit line.

The chart is a Vega-Lite specification written as plain data: a chart built from objects
that check themselves takes ten times as long, and a page draws it after every click.
The tests check it against the published schema.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from stationflow.balancing.load_rows import (
    Row,
    StationSum,
    in_shown_unit,
    shown_number,
    station_sums,
    summary,
    unit_label,
)
from stationflow.drawing.charts.load_labels import (
    POINTS,
    ROW_HEIGHT,
    StationWords,
    axis_top,
    clear_of_limit,
    idle_words,
    limit_place,
    limit_words,
    station_words,
)
from stationflow.drawing.palette import ON_PAPER, Inks
from stationflow.drawing.text_size import text_width
from stationflow.units import TimeUnit

HEIGHT = 420
PLOT_SHARE = 0.65
"""Share of the height that a page leaves to the plot beside title and axis."""
LABEL_POINTS = 10
WIDTH = 840
"""Width of the plot on a page in pixels, assumed where it is to be decided which words fit."""
WIDEST_BAR = 96
"""Greatest width of a bar at that width."""
FITS_WIDTH = 60
"""Up to so many stations the chart is as wide as its container; above, it has its own width."""
FIXED_STEP = 16
"""Width of one station above that, in pixels."""
DASHED_FROM = 16
"""Bars narrower than this, in pixels, show idle time as a pale fill: dashes would flicker."""
BETWEEN = 0.14
"""Share of a step that is left free between two bars."""


Spec = dict[str, Any]
"""A Vega-Lite specification, or a part of one."""


def load_chart(
    rows: Sequence[Row],
    limit: float | None,
    unit: TimeUnit | str = TimeUnit.SECOND,
    *,
    height: int = HEIGHT,
    title: str = "",
    inks: Inks = ON_PAPER,
    step: float | None = None,
) -> Spec:
    """Return the load chart.

    Parameters
    ----------
    rows
        From `load_chart_rows`, in seconds (or in file units of a published instance).
    limit
        The station time or takt in the same unit; None: no limit line.
    unit
        Unit in which times are shown; another text than a time unit shows them as they are.
    height
        Height in pixels.
    title
        Heading; the line below it names the longest stations and those over the limit.
    inks
        Colours for the ground the chart lies on.
    step
        Width of one station in pixels, for a file; None: as a page has room.

    Returns
    -------
    dict
        A Vega-Lite 6 specification: on a page as wide as its container up to 60 stations,
        with a width of its own above, to be scrolled. Click selection is named "pick" with
        the fields `station` and `task`.
    """
    shown, ceiling = in_shown_unit(rows, limit, unit)
    sums = station_sums(shown, ceiling)
    step, bar, width = _widths(len(sums), step)
    plot = height * PLOT_SHARE
    words = station_words(sums, ceiling, unit, step)
    label = "" if ceiling is None else limit_words(ceiling, unit)
    end, level = limit_place(words, ceiling or 0.0, label, step) if label else ("", -1)
    peak = max([*(s.load for s in sums), ceiling or 0.0])
    look = _Look(
        x=_stations_axis(sums, bar / step),
        top=axis_top(words, peak, level + 1, plot),
        title=f"Time ({unit_label(unit)})",
        unit=unit,
        bar=bar,
        plot=plot,
        inks=inks,
    )
    segments = [_segment(row, ceiling, look) for row in shown if row["order"]]
    layers = [
        *_idle(sums, look),
        _segments(segments, look),
        _over(sums, ceiling, look),
        _numbers(segments, look),
    ]
    if ceiling is not None:
        layers += _limit(ceiling, label, (end, level), look)
    layers += _marks(words, look)
    return {
        "layer": layers,
        "width": width,
        "height": height,
        "title": {
            "text": title,
            "subtitle": summary(sums, ceiling, unit),
            "anchor": "start",
            "color": inks.ink,
            "subtitleColor": inks.ink,
        },
        "config": {"axis": {"labelColor": inks.ink, "titleColor": inks.ink}},
    }


def _widths(stations: int, step: float | None) -> tuple[float, float, str | Spec]:
    """Return the width of a station and of its bar, and how the chart's width is told.

    The bars of few stations stay slim.
    """
    width: str | Spec = "container"
    if step is None and stations <= FITS_WIDTH:
        step = WIDTH / max(stations + BETWEEN, 1)
    else:
        step = step or FIXED_STEP
        width = {"step": step}
    return step, min((1 - BETWEEN) * step, WIDEST_BAR), width


def _stations_axis(sums: Sequence[StationSum], bar_share: float) -> Spec:
    """Return the axis of the stations."""
    return {
        "field": "station",
        "type": "ordinal",
        "title": "Station",
        "sort": [s.number for s in sums],
        "axis": {"labelAngle": 0, "labelOverlap": True},
        "scale": {"paddingInner": 1 - bar_share, "paddingOuter": 0.5 - bar_share / 2},
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class _Look:
    """The axes and inks all layers share, and the sizes in pixels that decide which words fit."""

    x: Spec
    top: float
    title: str
    unit: TimeUnit | str
    bar: float
    plot: float
    inks: Inks

    def y(self, field: str) -> Spec:
        """Return the vertical axis for one field."""
        scale = {"domain": [0, self.top], "nice": False}
        return {"field": field, "type": "quantitative", "scale": scale, "title": self.title}

    def pixels(self, time: float) -> float:
        """Return the height of a time."""
        return time / self.top * self.plot


def _layer(rows: Sequence[Mapping[str, object]], mark: Spec, encoding: Spec) -> Spec:
    """Return one layer; only bars say something when they are pointed at."""
    quiet = {} if "tooltip" in encoding else {"tooltip": None}
    return {"data": {"values": list(rows)}, "mark": {**mark, **quiet}, "encoding": encoding}


def _tooltip(**titles: str) -> list[Spec]:
    """Return what a bar says when it is pointed at: its fields with their titles."""
    return [{"field": field, "title": title} for field, title in titles.items()]


def _segment(row: Row, limit: float | None, look: _Look) -> Row:
    """Return a row with what its layer shows: fill, whether its number fits, words."""
    low, high = clear_of_limit(row["start"], row["end"], limit)
    fits = (
        look.pixels(high - low) >= LABEL_POINTS + 2
        and text_width(row["task"], LABEL_POINTS) <= 0.96 * look.bar
    )
    return {
        **row,
        "middle": (low + high) / 2,
        "label": row["task"] if fits else "",
        "turn": "odd" if row["order"] % 2 else "even",
        "shown": shown_number(row["time"], look.unit),
        "until": shown_number(row["end"], look.unit),
        "state": "over the limit" if row["over"] else "within the limit",
        "said": f"Station {row['station']}, task {row['task']} {row['name']}, "
        + shown_number(row["time"], look.unit)
        + (", over the limit" if row["over"] else ""),
    }


def _segments(rows: list[Row], look: _Look) -> Spec:
    """Return the tasks as bars: two fills in turn, a thick outline over the limit."""

    def where(test: Spec | str, yes: object, no: object) -> Spec:
        """Return one value where a test holds, another elsewhere."""
        condition = {"test": test} if isinstance(test, str) else test
        return {"condition": {**condition, "value": yes}, "value": no}

    fills = {"domain": ["odd", "even"], "range": list(look.inks.segments)}
    encoding = {
        "x": look.x,
        "y": look.y("start"),
        "y2": {"field": "end"},
        "color": {"field": "turn", "type": "nominal", "scale": fills, "legend": None},
        "stroke": where("datum.over", look.inks.over, look.inks.ground),
        "strokeWidth": where("datum.over", 3, 1),
        "strokeDash": where("datum.over", [5, 3], [1, 0]),
        "opacity": where({"param": "pick"}, 1, 0.45),
        "tooltip": _tooltip(
            station="Station",
            task="Task",
            name="Name",
            shown="Time",
            until="Ends at",
            state="Limit",
        ),
        "description": {"field": "said"},
    }
    pick = {"name": "pick", "select": {"type": "point", "fields": ["station", "task"]}}
    return {**_layer(rows, {"type": "bar", "strokeWidth": 1}, encoding), "params": [pick]}


def _words(colour: str, points: float, **more: object) -> Spec:
    """Return the mark of words in the chart."""
    return {"type": "text", "color": colour, "fontSize": points, **more}


def _numbers(rows: list[Row], look: _Look) -> Spec:
    """Return the task numbers inside the bars, where they fit."""
    return _layer(
        [row for row in rows if row["label"]],
        _words(look.inks.segment_ink, LABEL_POINTS, baseline="middle"),
        {"x": look.x, "y": look.y("middle"), "text": {"field": "label"}},
    )


def _idle(sums: Sequence[StationSum], look: _Look) -> list[Spec]:
    """Return the idle time above the tasks: empty bars with a dashed outline, and its length.

    Narrow bars are pale instead.
    """
    rows = [
        {
            "station": s.number,
            "start": s.load,
            "end": s.load + s.idle,
            "middle": s.load + s.idle / 2,
            "shown": shown_number(s.idle, look.unit),
            "words": idle_words(s, look.unit, look.bar, look.pixels(s.idle)),
            "said": f"Station {s.number}, idle {shown_number(s.idle, look.unit)}",
        }
        for s in sums
        if s.idle
    ]
    inks = look.inks
    edge: Spec = {"fill": inks.idle, "stroke": inks.idle_edge, "strokeDash": [3, 3]}
    if look.bar < DASHED_FROM:
        edge = {"fill": inks.idle_narrow}
    bars = {
        "x": look.x,
        "y": look.y("start"),
        "y2": {"field": "end"},
        "tooltip": _tooltip(station="Station", shown="Idle time"),
        "description": {"field": "said"},
    }
    words = {"x": look.x, "y": look.y("middle"), "text": {"field": "words"}}
    return [
        _layer(rows, {"type": "bar", **edge}, bars),
        _layer(
            [row for row in rows if row["words"]],
            _words(inks.idle_ink, LABEL_POINTS, baseline="middle"),
            words,
        ),
    ]


def _over(sums: Sequence[StationSum], limit: float | None, look: _Look) -> Spec:
    """Return what is over the limit as pale bars with a thick edge, told apart without colour."""
    rows = [{"station": s.number, "start": limit, "end": s.load} for s in sums if s.over and limit]
    fill = {"fill": look.inks.ground, "fillOpacity": 0.6}
    edge = {"stroke": look.inks.over, "strokeWidth": 3}
    encoding = {"x": look.x, "y": look.y("start"), "y2": {"field": "end"}}
    return _layer(rows, {"type": "bar", **fill, **edge}, encoding)


def _marks(words: Sequence[StationWords], look: _Look) -> list[Spec]:
    """Return the words above the bars, one layer for each row of words."""
    is_plain = any(w.has_load for w in words)
    encoding = {"x": look.x, "y": look.y("at"), "text": {"field": "words"}}
    return [
        _layer(
            [
                {"station": w.number, "at": w.at, "words": w.rows[level]}
                for w in words
                if len(w.rows) > level
            ],
            _words(
                look.inks.ink,
                POINTS,
                baseline="bottom",
                dy=-5 - ROW_HEIGHT * level,
                fontWeight="normal" if is_plain and not level else "bold",
            ),
            encoding,
        )
        for level in range(max((len(w.rows) for w in words), default=0))
    ]


def _limit(limit: float, label: str, place: tuple[str, int], look: _Look) -> list[Spec]:
    """Return the limit line and, inside the plot, its label on a halo of the ground."""
    end, level = place
    rows = [{"limit": limit, "words": label}]
    line: Spec = {"type": "rule", "color": look.inks.limit, "strokeWidth": 2}
    words = _words(
        look.inks.limit,
        POINTS,
        align=end,
        baseline="bottom",
        dx=-4 if end == "right" else 4,
        dy=-5 - ROW_HEIGHT * level,
        fontWeight="bold",
    )
    halo = {**words, "stroke": look.inks.ground, "strokeWidth": 5}
    x = {"value": "width" if end == "right" else 0}
    encoding = {"x": x, "y": look.y("limit"), "text": {"field": "words"}}
    return [
        _layer(rows, line, {"y": look.y("limit")}),
        _layer(rows, halo, encoding),
        _layer(rows, words, encoding),
    ]
