"""Load chart: the tasks of each station stacked against the limit line."""

from collections.abc import Sequence
from dataclasses import dataclass

from stationflow.balancing.load_rows import (
    Row,
    StationSum,
    in_shown_unit,
    shown_number,
    station_sums,
    summary,
    unit_label,
)
from stationflow.drawing.charts import chart_parts as parts
from stationflow.drawing.charts import load_labels as labels
from stationflow.drawing.charts.chart_parts import Spec
from stationflow.drawing.limit_tips import LimitTips
from stationflow.drawing.palette import ON_PAPER, Inks
from stationflow.drawing.text_size import shortened, text_width
from stationflow.units import TimeUnit

HEIGHT = 420
PLOT_SHARE = 0.65  # of the height that a page leaves to the plot beside title and axis
LABEL_POINTS = 10
WIDTH = 840  # of the plot on a page in pixels, assumed to decide which words fit
WIDEST_BAR = 150  # at that width
NAMED_FROM = 90  # narrower bars, in pixels, hold the number of a task without its name
FITS_WIDTH = 60  # up to so many stations the chart is as wide as its container
FIXED_STEP = 16  # width of one station above that, in pixels
DASHED_FROM = 16  # narrower bars, in pixels, show idle time as a pale fill: dashes would flicker
BAR: Spec = {"type": "bar", "width": {"band": 1}}  # a page's theme draws narrower ones
NO_TIPS = LimitTips()
BETWEEN = 0.14  # share of a step that is left free between two bars


def load_chart(
    rows: Sequence[Row],
    limit: float | None,
    unit: TimeUnit | str = TimeUnit.SECOND,
    *,
    height: int = HEIGHT,
    title: str = "",
    inks: Inks = ON_PAPER,
    tips: LimitTips = NO_TIPS,
) -> Spec:
    """Return the load chart: up to 60 stations as wide as its container, above to be scrolled.

    A click is named "pick", with the fields `station` and `task`. The line below the title
    names the longest stations and those over the limit.

    The rows, from `load_chart_rows`, and the limit (None: no limit line) are in seconds, or in file
    units of a published instance; another unit than a time unit shows them as they are. `tips`
    are said of tasks and stations that are pointed at.
    """
    shown, ceiling = in_shown_unit(rows, limit, unit)
    sums = station_sums(shown, ceiling)
    width: str | Spec = "container"
    step = WIDTH / max(len(sums) + BETWEEN, 1)
    if len(sums) > FITS_WIDTH:
        step = FIXED_STEP
        width = {"step": step}
    bar = min((1 - BETWEEN) * step, WIDEST_BAR)  # the bars of few stations stay slim
    plot = height * PLOT_SHARE
    above = labels.station_words(sums, ceiling, unit, step)
    label = "" if ceiling is None else f"limit {shown_number(ceiling, unit)}"
    end, level = labels.limit_place(above, ceiling or 0.0, label, step) if label else ("", -1)
    peak = max([*(s.load for s in sums), ceiling or 0.0])
    look = _Look(
        x=parts.stations_axis([s.number for s in sums], 1 - bar / step, 0.5 - bar / step / 2),
        top=labels.axis_top(above, peak, level + 1, plot),
        unit=unit,
        bar=bar,
        plot=plot,
        inks=inks,
        tips=tips,
    )
    segments = [_segment(row, ceiling, look) for row in shown if row["order"]]
    layers = [
        *_idle(sums, look),
        _segments(segments, look),
        _over(sums, ceiling, look),
        _inside(segments, "label", inks.segment_ink, look),
    ]
    if ceiling is not None:
        layers += _limit(ceiling, label, end, labels.rows_height(above, level), look)
    layers += _marks(above, look)
    return {
        "layer": layers,
        "width": width,
        "height": height,
        "title": parts.heading(inks, title, summary(sums, ceiling, unit)),
        "config": {"axis": {"labelColor": inks.ink, "titleColor": inks.ink}},
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class _Look:
    """What all layers share: axes and inks, and the sizes in pixels that decide which words fit."""

    x: Spec
    top: float
    unit: TimeUnit | str
    bar: float
    plot: float
    inks: Inks
    tips: LimitTips

    def tooltip(self, **titles: str) -> list[Spec]:
        """Return what a mark says, with the limits where any are entered."""
        more = {"asked": "Limits of the task"} if self.tips.tasks and "task" in titles else {}
        more |= {"asks": "Station has"} if self.tips.stations else {}
        return parts.tooltip(**titles, **more)

    def asks(self, station: int) -> str:
        """Return what is entered for a station."""
        return self.tips.stations.get(station, "no limits of its own")

    def y(self, field: str) -> Spec:
        """Return the vertical axis for one field."""
        return parts.measure(field, f"Time ({unit_label(self.unit)})", (0, self.top))

    def pixels(self, time: float) -> float:
        """Return the height of a time."""
        return time / self.top * self.plot

    def span(self) -> Spec:
        """Return the places of bars that reach from `start` to `end`."""
        return {"x": self.x, "y": self.y("start"), "y2": {"field": "end"}}


def _segment(row: Row, limit: float | None, look: _Look) -> Row:
    """Return a row with what its layer shows: fill, whether its number fits, words."""
    low, high = labels.clear_of_limit(row["start"], row["end"], limit)
    room, label = 0.96 * look.bar, row["task"]
    if look.bar >= NAMED_FROM:
        label = shortened(f"{label} {row['name']}".strip(), room, LABEL_POINTS)
    fits = look.pixels(high - low) >= LABEL_POINTS + 2 and text_width(label, LABEL_POINTS) <= room
    shown = shown_number(row["time"], look.unit)
    over = ", over the limit" if row["over"] else ""
    return {
        **row,
        "middle": (low + high) / 2,
        "label": label if fits else "",
        "turn": "odd" if row["order"] % 2 else "even",
        "shown": shown,
        "until": shown_number(row["end"], look.unit),
        "state": "over the limit" if row["over"] else "within the limit",
        "said": f"Station {row['station']}, task {row['task']} {row['name']}, {shown}{over}",
        "asked": look.tips.tasks.get(row["task"], "none"),
        "asks": look.asks(row["station"]),
    }


def _segments(rows: list[Row], look: _Look) -> Spec:
    """Return the tasks as bars: two fills in turn, a thick outline over the limit."""
    fills = {"domain": ["odd", "even"], "range": list(look.inks.segments)}
    encoding = {
        **look.span(),
        "color": {"field": "turn", "type": "nominal", "scale": fills, "legend": None},
        "stroke": parts.where("datum.over", look.inks.over, look.inks.ground),
        "strokeWidth": parts.where("datum.over", 3, 1),
        "strokeDash": parts.where("datum.over", [5, 3], [1, 0]),
        "opacity": parts.where({"param": "pick"}, 1, 0.45),
        "tooltip": look.tooltip(
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
    return {**parts.layer({**BAR, "strokeWidth": 1}, encoding, rows), "params": [pick]}


def _inside(rows: Sequence[Row], field: str, colour: str, look: _Look) -> Spec:
    """Return the words of one field inside the bars, where they fit."""
    return parts.layer(
        parts.words(colour, LABEL_POINTS, baseline="middle"),
        {"x": look.x, "y": look.y("middle"), "text": {"field": field}},
        [row for row in rows if row[field]],
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
            "words": labels.idle_words(s, look.unit, look.bar, look.pixels(s.idle)),
            "said": f"Station {s.number}, idle {shown_number(s.idle, look.unit)}",
            "asks": look.asks(s.number),
        }
        for s in sums
        if s.idle
    ]
    inks = look.inks
    edge: Spec = {"fill": inks.idle, "stroke": inks.idle_edge, "strokeDash": [3, 3]}
    if look.bar < DASHED_FROM:
        edge = {"fill": inks.idle_narrow}
    said = {
        "tooltip": look.tooltip(station="Station", shown="Idle time"),
        "description": {"field": "said"},
    }
    return [
        parts.layer({**BAR, **edge}, {**look.span(), **said}, rows),
        _inside(rows, "words", inks.idle_ink, look),
    ]


def _over(sums: Sequence[StationSum], limit: float | None, look: _Look) -> Spec:
    """Return what is over the limit as pale bars with a thick edge, told apart without colour."""
    rows = [{"station": s.number, "start": limit, "end": s.load} for s in sums if s.over and limit]
    fill = {"fill": look.inks.ground, "fillOpacity": 0.6}
    return parts.layer(
        {**BAR, **fill, "stroke": look.inks.over, "strokeWidth": 3}, look.span(), rows
    )


def _above(colour: str, height: float, **more: object) -> Spec:
    """Return the mark of words that stand so many pixels above the bars."""
    look = {"baseline": "bottom", "dy": -5 - height, "fontWeight": "bold", **more}
    return parts.words(colour, labels.POINTS, **look)


def _marks(above: Sequence[labels.StationWords], look: _Look) -> list[Spec]:
    """Return the words above the bars, one layer for each row of words."""
    loads: Spec = {"fontWeight": "normal"} if any(w.has_load for w in above) else {}
    if any(w.tall > labels.ROW_HEIGHT for w in above):  # what is moved up is turned after it
        loads |= {"angle": 270, "align": "left", "baseline": "middle", "dx": 5, "dy": 0}
    encoding = {"x": look.x, "y": look.y("at"), "text": {"field": "words"}}
    return [
        parts.layer(
            _above(look.inks.ink, labels.rows_height(above, level), **({} if level else loads)),
            encoding,
            [
                {"station": w.number, "at": w.at, "words": w.rows[level]}
                for w in above
                if len(w.rows) > level
            ],
        )
        for level in range(max((len(w.rows) for w in above), default=0))
    ]


def _limit(limit: float, label: str, end: str, height: float, look: _Look) -> list[Spec]:
    """Return the limit line and, inside the plot, its label on a halo of the ground."""
    rows = [{"limit": limit, "words": label}]
    line: Spec = {"type": "rule", "color": look.inks.limit, "strokeWidth": 2}
    text = _above(look.inks.limit, height, align=end, dx=-4 if end == "right" else 4)
    halo = {**text, "stroke": look.inks.ground, "strokeWidth": 5}
    x = {"value": "width" if end == "right" else 0}
    encoding = {"x": x, "y": look.y("limit"), "text": {"field": "words"}}
    return [
        parts.layer(line, {"y": look.y("limit")}, rows),
        parts.layer(halo, encoding, rows),
        parts.layer(text, encoding, rows),
    ]
