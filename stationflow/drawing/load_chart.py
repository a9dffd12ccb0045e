"""Load chart: the tasks of each station stacked against the limit line."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from stationflow.drawing.load_chart_svg import load_chart_svg
from stationflow.drawing.load_labels import (
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
from stationflow.drawing.load_rows import (
    Row,
    StationSum,
    in_shown_unit,
    load_chart_rows,
    shown_number,
    station_sums,
    summary,
    unit_label,
)
from stationflow.drawing.palette import ON_PAPER, Inks
from stationflow.drawing.text_size import text_width
from stationflow.units import TimeUnit

if TYPE_CHECKING:
    import altair as alt

__all__ = ["load_chart", "load_chart_rows", "load_chart_svg"]

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


def load_chart(
    rows: Sequence[Row],
    limit: float | None,
    unit: TimeUnit | str = TimeUnit.SECOND,
    *,
    height: int = HEIGHT,
    title: str = "",
    inks: Inks = ON_PAPER,
) -> "alt.LayerChart":
    """Return the load chart for the page.

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

    Returns
    -------
    altair.LayerChart
        As wide as its container up to 60 stations, with a width of its own above, to be
        scrolled. Click selection is named "pick" with the fields `station` and `task`.
    """
    import altair as alt

    shown, ceiling = in_shown_unit(rows, limit, unit)
    sums = station_sums(shown, ceiling)
    step, bar = _widths(len(sums))
    plot = height * PLOT_SHARE
    words = station_words(sums, ceiling, unit, step)
    label = "" if ceiling is None else limit_words(ceiling, unit)
    end, level = limit_place(words, ceiling or 0.0, label, step) if label else ("", -1)
    peak = max([*(s.load for s in sums), ceiling or 0.0])
    base = _Look(
        x=alt.X("station:O", title="Station", sort=[s.number for s in sums],
                axis=alt.Axis(labelAngle=0, labelOverlap=True),
                scale=alt.Scale(paddingInner=1 - bar / step, paddingOuter=0.5 - bar / step / 2)),
        top=axis_top(words, peak, level + 1, plot),
        title=f"Time ({unit_label(unit)})",
        unit=unit, bar=bar, plot=plot, inks=inks,
    )  # fmt: skip
    segments = [_segment(row, ceiling, base) for row in shown if row["order"]]
    layers = [
        *_idle(sums, base),
        _segments(segments, base),
        _over(sums, ceiling, base),
        _numbers(segments, base),
    ]
    if ceiling is not None:
        layers += _limit(ceiling, label, (end, level), base)
    layers += _marks(words, base)
    return alt.layer(*layers).properties(
        width="container" if len(sums) <= FITS_WIDTH else alt.Step(FIXED_STEP),
        height=height,
        title=alt.TitleParams(title, subtitle=summary(sums, ceiling, unit), anchor="start"),
    )


def _widths(stations: int) -> tuple[float, float]:
    """Return the width of a station and of its bar where the page is `WIDTH` wide.

    The bars of few stations stay slim.
    """
    step = WIDTH / max(stations + BETWEEN, 1) if stations <= FITS_WIDTH else FIXED_STEP
    return step, min((1 - BETWEEN) * step, WIDEST_BAR)


class _Look:
    """The axes and inks all layers share, and the sizes in pixels that decide which words fit."""

    def __init__(
        self,
        *,
        x: Any,
        top: float,
        title: str,
        unit: TimeUnit | str,
        bar: float,
        plot: float,
        inks: Inks,
    ) -> None:
        self.x = x
        self.top = top
        self.title = title
        self.unit = unit
        self.bar = bar
        self.plot = plot
        self.inks = inks

    def y(self, field: str) -> Any:
        """Return the vertical axis for one field."""
        import altair as alt

        scale = alt.Scale(domain=[0, self.top], nice=False)
        return alt.Y(f"{field}:Q", scale=scale, title=self.title)

    def pixels(self, time: float) -> float:
        """Return the height of a time."""
        return time / self.top * self.plot


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
    }


def _segments(rows: list[Row], look: _Look) -> "alt.Chart":
    """Return the tasks as bars: two fills in turn, a thick outline over the limit."""
    import altair as alt

    pick = alt.selection_point(name="pick", fields=["station", "task"])
    return (
        alt.Chart(alt.Data(values=rows))
        .mark_bar(strokeWidth=1)
        .encode(
            x=look.x,
            y=look.y("start"),
            y2="end:Q",
            color=alt.Color(
                "turn:N",
                scale=alt.Scale(domain=["odd", "even"], range=list(look.inks.segments)),
                legend=None,
            ),
            stroke=alt.condition(
                "datum.over", alt.value(look.inks.over), alt.value(look.inks.ground)
            ),
            strokeWidth=alt.condition("datum.over", alt.value(3), alt.value(1)),
            strokeDash=alt.condition("datum.over", alt.value([5, 3]), alt.value([1, 0])),
            opacity=alt.condition(pick, alt.value(1), alt.value(0.45)),
            tooltip=[
                alt.Tooltip("station:O", title="Station"),
                alt.Tooltip("task:N", title="Task"),
                alt.Tooltip("name:N", title="Name"),
                alt.Tooltip("shown:N", title="Time"),
                alt.Tooltip("until:N", title="Ends at"),
                alt.Tooltip("state:N", title="Limit"),
            ],
        )
        .add_params(pick)
    )


def _numbers(rows: list[Row], look: _Look) -> "alt.Chart":
    """Return the task numbers inside the bars, where they fit."""
    import altair as alt

    return (
        alt.Chart(alt.Data(values=[row for row in rows if row["label"]]))
        .mark_text(
            fontSize=LABEL_POINTS, color=look.inks.segment_ink, baseline="middle", tooltip=None
        )
        .encode(x=look.x, y=look.y("middle"), text="label:N")
    )


def _idle(sums: Sequence[StationSum], look: _Look) -> list["alt.Chart"]:
    """Return the idle time above the tasks: empty bars with a dashed outline, and its length.

    Narrow bars are pale instead.
    """
    import altair as alt

    rows = [
        {
            "station": s.number,
            "start": s.load,
            "end": s.load + s.idle,
            "middle": s.load + s.idle / 2,
            "shown": shown_number(s.idle, look.unit),
            "words": idle_words(s, look.unit, look.bar, look.pixels(s.idle)),
        }
        for s in sums
        if s.idle
    ]
    edge: dict[str, Any] = {
        "fill": look.inks.idle,
        "stroke": look.inks.idle_edge,
        "strokeDash": [3, 3],
    }
    if look.bar < DASHED_FROM:
        edge = {"fill": look.inks.idle_narrow}
    bars = (
        alt.Chart(alt.Data(values=rows))
        .mark_bar(**edge)
        .encode(
            x=look.x,
            y=look.y("start"),
            y2="end:Q",
            tooltip=[
                alt.Tooltip("station:O", title="Station"),
                alt.Tooltip("shown:N", title="Idle time"),
            ],
        )
    )
    words = (
        alt.Chart(alt.Data(values=[row for row in rows if row["words"]]))
        .mark_text(fontSize=LABEL_POINTS, color=look.inks.idle_ink, baseline="middle", tooltip=None)
        .encode(x=look.x, y=look.y("middle"), text="words:N")
    )
    return [bars, words]


def _over(sums: Sequence[StationSum], limit: float | None, look: _Look) -> "alt.Chart":
    """Return what is over the limit as pale bars with a thick edge, told apart without colour."""
    import altair as alt

    rows = [{"station": s.number, "start": limit, "end": s.load} for s in sums if s.over and limit]
    return (
        alt.Chart(alt.Data(values=rows))
        .mark_bar(
            fill=look.inks.ground,
            fillOpacity=0.6,
            stroke=look.inks.over,
            strokeWidth=3,
            tooltip=None,
        )
        .encode(x=look.x, y=look.y("start"), y2="end:Q")
    )


def _marks(words: Sequence[StationWords], look: _Look) -> list["alt.Chart"]:
    """Return the words above the bars, one layer for each row of words."""
    import altair as alt

    is_plain = any(w.has_load for w in words)
    layers = []
    for level in range(max((len(w.rows) for w in words), default=0)):
        rows = [
            {"station": w.number, "at": w.at, "words": w.rows[level]}
            for w in words
            if len(w.rows) > level
        ]
        layers.append(
            alt.Chart(alt.Data(values=rows))
            .mark_text(
                dy=-5 - ROW_HEIGHT * level,
                baseline="bottom",
                color=look.inks.ink,
                fontSize=POINTS,
                fontWeight="normal" if is_plain and not level else "bold",
                tooltip=None,
            )
            .encode(x=look.x, y=look.y("at"), text="words:N")
        )
    return layers


def _limit(limit: float, label: str, place: tuple[str, int], look: _Look) -> list["alt.Chart"]:
    """Return the limit line and, inside the plot, its label on a halo of the ground."""
    import altair as alt

    end, level = place
    data = alt.Data(values=[{"limit": limit, "words": label}])
    line = alt.Chart(data).mark_rule(color=look.inks.limit, strokeWidth=2).encode(y=look.y("limit"))
    looks: list[dict[str, Any]] = [{"stroke": look.inks.ground, "strokeWidth": 5}, {}]
    labels = [
        alt.Chart(data)
        .mark_text(align=end, baseline="bottom", dx=-4 if end == "right" else 4,
                   dy=-5 - ROW_HEIGHT * level, color=look.inks.limit, fontSize=POINTS,
                   fontWeight="bold", tooltip=None, **more)
        .encode(y=look.y("limit"), x=alt.value("width" if end == "right" else 0), text="words:N")
        for more in looks
    ]  # fmt: skip
    return [line, *labels]
