"""Load chart: the tasks of each station stacked against the limit line."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from stationflow.drawing.load_chart_svg import load_chart_svg
from stationflow.drawing.load_rows import (
    Row,
    StationSum,
    bar_step,
    in_shown_unit,
    load_chart_rows,
    shown_number,
    station_sums,
    summary,
    unit_label,
)
from stationflow.drawing.palette import IDLE, INK, LIMIT, OVER, PAPER, SEGMENT_FILLS
from stationflow.drawing.text_size import text_width
from stationflow.units import TimeUnit

if TYPE_CHECKING:
    import altair as alt

__all__ = ["load_chart", "load_chart_rows", "load_chart_svg"]

HEIGHT = 420
PLOT_SHARE = 0.65
"""Share of the height that a page leaves to the plot beside title and axis."""
LABEL_POINTS = 10


def load_chart(
    rows: Sequence[Row],
    limit: float | None,
    unit: TimeUnit | str = TimeUnit.SECOND,
    *,
    height: int = HEIGHT,
    title: str = "",
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

    Returns
    -------
    altair.LayerChart
        Click selection is named "pick" with the fields `station` and `task`.
    """
    import altair as alt

    shown, ceiling = in_shown_unit(rows, limit, unit)
    sums = station_sums(shown, ceiling)
    top = 1.12 * max([*(s.load for s in sums), ceiling or 0.0, 1e-9])
    step = bar_step(len(sums))
    base = _Look(
        x=alt.X("station:O", title="Station", sort=[s.number for s in sums],
                axis=alt.Axis(labelAngle=0, labelOverlap=True)),
        scale=alt.Scale(domain=[0, top], nice=False),
        title=f"Time ({unit_label(unit)})",
    )  # fmt: skip
    segments = [_segment(row, unit, top, step, height) for row in shown if row["order"]]
    layers = [_idle(sums, unit, base), _segments(segments, base), _numbers(segments, base)]
    layers.append(_marks(sums, unit, base))
    if ceiling is not None:
        layers += _limit(ceiling, unit, base)
    return alt.layer(*layers).properties(
        width=alt.Step(step),
        height=height,
        title=alt.TitleParams(title, subtitle=summary(sums, ceiling, unit), anchor="start"),
    )


class _Look:
    """The axes all layers share."""

    def __init__(self, x: Any, scale: Any, title: str) -> None:
        self.x = x
        self.scale = scale
        self.title = title

    def y(self, field: str) -> Any:
        """Return the vertical axis for one field."""
        import altair as alt

        return alt.Y(f"{field}:Q", scale=self.scale, title=self.title)


def _segment(row: Row, unit: TimeUnit | str, top: float, step: int, height: int) -> Row:
    """Return a row with what its layer shows: fill, whether its number fits, words."""
    fits = (
        row["time"] / top * height * PLOT_SHARE >= LABEL_POINTS + 2
        and text_width(row["task"], LABEL_POINTS) <= 0.84 * step
    )
    return {
        **row,
        "middle": (row["start"] + row["end"]) / 2,
        "label": row["task"] if fits else "",
        "turn": "odd" if row["order"] % 2 else "even",
        "shown": shown_number(row["time"], unit),
        "until": shown_number(row["end"], unit),
        "state": "over the limit" if row["over"] else "within the limit",
    }


def _segments(rows: list[Row], look: _Look) -> "alt.Chart":
    """Return the tasks as bars: two fills in turn, a thick outline over the limit."""
    import altair as alt

    pick = alt.selection_point(name="pick", fields=["station", "task"])
    return (
        alt.Chart(alt.Data(values=rows))
        .mark_bar(width=alt.RelativeBandSize(0.88), strokeWidth=1)
        .encode(
            x=look.x,
            y=look.y("start"),
            y2="end:Q",
            color=alt.Color(
                "turn:N",
                scale=alt.Scale(domain=["odd", "even"], range=list(SEGMENT_FILLS)),
                legend=None,
            ),
            stroke=alt.condition("datum.over", alt.value(OVER), alt.value(PAPER)),
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
        .mark_text(fontSize=LABEL_POINTS, color=INK, baseline="middle", tooltip=None)
        .encode(x=look.x, y=look.y("middle"), text="label:N")
    )


def _idle(sums: Sequence[StationSum], unit: TimeUnit | str, look: _Look) -> "alt.Chart":
    """Return the idle time above the tasks as pale bars with a dashed outline."""
    import altair as alt

    rows = [
        {
            "station": s.number,
            "start": s.load,
            "end": s.load + s.idle,
            "shown": shown_number(s.idle, unit),
        }
        for s in sums
        if s.idle
    ]
    return (
        alt.Chart(alt.Data(values=rows))
        .mark_bar(width=alt.RelativeBandSize(0.88), fill=IDLE, stroke="#999999", strokeDash=[2, 2])
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


def _marks(sums: Sequence[StationSum], unit: TimeUnit | str, look: _Look) -> "alt.Chart":
    """Return the words above the bars: the longest station, and how far one is over."""
    import altair as alt

    rows = []
    for s in sums:
        words = [f"+{shown_number(s.over, unit)}"] if s.over else []
        words += ["\N{BLACK DOWN-POINTING TRIANGLE} longest"] if s.is_bottleneck else []
        if len(sums) > 14:  # no room for words: the mark alone, the words are in the subtitle
            words = (
                ["\N{BLACK DOWN-POINTING TRIANGLE}"] if s.is_bottleneck else ["+"] * bool(s.over)
            )
        if words:
            rows.append({"station": s.number, "at": s.load, "words": words})
    return (
        alt.Chart(alt.Data(values=rows))
        .mark_text(dy=-6, baseline="line-bottom", fontWeight="bold", color=INK, fontSize=11,
                   lineBreak="\n")
        .encode(x=look.x, y=look.y("at"), text="words:N")
    )  # fmt: skip


def _limit(limit: float, unit: TimeUnit | str, look: _Look) -> list["alt.Chart"]:
    """Return the limit line and its label."""
    import altair as alt

    words = f"limit {shown_number(limit, unit)}"
    data = alt.Data(values=[{"limit": limit, "words": words}])
    line = alt.Chart(data).mark_rule(color=LIMIT, strokeWidth=2).encode(y=look.y("limit"))
    label = (
        alt.Chart(data)
        .mark_text(align="left", baseline="middle", dx=6, color=LIMIT, fontWeight="bold")
        .encode(y=look.y("limit"), x=alt.value("width"), text="words:N")
    )
    return [line, label]
