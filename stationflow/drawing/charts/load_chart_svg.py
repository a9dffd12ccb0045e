"""Load chart as a plain SVG text, for files and print."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from stationflow.balancing.load_rows import (
    Row,
    StationSum,
    bar_step,
    in_shown_unit,
    shown_number,
    station_sums,
    summary,
    unit_label,
)
from stationflow.drawing.charts.load_labels import (
    ROW_HEIGHT,
    StationWords,
    axis_top,
    clear_of_limit,
    idle_words,
    limit_words,
    station_words,
)
from stationflow.drawing.charts.svg_parts import TEXT, opening, round_times, text_line, time_axis
from stationflow.drawing.palette import (
    IDLE,
    IDLE_EDGE,
    IDLE_INK,
    LIMIT,
    OVER,
    PAPER,
    SEGMENT_FILLS,
)
from stationflow.drawing.text_size import text_width
from stationflow.model.schema.cells import one_line
from stationflow.units import TimeUnit

HEIGHT = 360
LEFT = 64
RIGHT = 110
TOP = 62
BOTTOM = 46
HATCH = (
    '<defs><pattern id="over" width="6" height="6" patternUnits="userSpaceOnUse" '
    f'patternTransform="rotate(45)"><rect width="6" height="6" fill="{PAPER}"/>'
    f'<rect width="2.4" height="6" fill="{OVER}"/></pattern></defs>'
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plot:
    """Where things stand. Lengths in pixels."""

    step: int
    top: float
    unit: TimeUnit | str

    def y(self, time: float) -> float:
        """Return the height of a time."""
        return TOP + HEIGHT * (1 - time / self.top)

    def x(self, column: int) -> float:
        """Return the left edge of a station's bar."""
        return LEFT + self.step * (column + 0.06)

    @property
    def bar(self) -> float:
        """Width of a bar."""
        return self.step * 0.88


def load_chart_svg(
    rows: Sequence[Row],
    limit: float | None,
    unit: TimeUnit | str = TimeUnit.SECOND,
    *,
    title: str = "",
) -> str:
    """Return the load chart as SVG.

    Parameters
    ----------
    rows
        From `load_chart_rows`, in seconds (or in file units of a published instance).
    limit
        The station time or takt in the same unit; None: no limit line.
    unit
        Unit in which times are shown; another text than a time unit shows them as they are.
    title
        Heading of the chart.

    Returns
    -------
    str
        An SVG document. What is over the limit is hatched, outlined and named in words.
    """
    shown, ceiling = in_shown_unit(rows, limit, unit)
    sums = station_sums(shown, ceiling)
    step = bar_step(len(sums))
    above = station_words(sums, ceiling, unit, step)
    peak = max([*(s.load for s in sums), ceiling or 0.0])
    plot = _Plot(step=step, top=axis_top(above, peak, 0, HEIGHT), unit=unit)
    words = summary(sums, ceiling, unit)
    plot_width = plot.step * max(len(sums), 1)
    width = max(LEFT + plot_width + RIGHT, LEFT + text_width(words, 12) + 20)
    height = TOP + HEIGHT + BOTTOM
    place = {s.number: column for column, s in enumerate(sums)}
    parts = [
        opening(width, height, one_line(f"Load chart. {words}")),
        HATCH,
        f'<rect width="100%" height="100%" fill="{PAPER}"/>',
        text_line(LEFT, 20, one_line(title), size=15, weight="bold"),
        text_line(LEFT, 40, words, size=12),
        *time_axis(
            [(time, plot.y(time)) for time in round_times(plot.top)],
            LEFT,
            LEFT + plot_width,
            TOP,
            f"Time ({unit_label(unit)})",
        ),
        *(_idle(plot, place[s.number], s) for s in sums if s.idle),
        *(_segment(plot, place[row["station"]], row, ceiling) for row in shown if row["order"]),
    ]
    if ceiling is not None:
        parts += _limit_line(plot, ceiling, plot_width)
    parts += [part for w in above for part in _station(plot, place[w.number], w)]
    return "\n".join([*parts, "</svg>"]) + "\n"


def _segment(plot: _Plot, column: int, row: Row, limit: float | None) -> str:
    """Return one task: its bar, its words on pointing, its number where that fits."""
    x, y, height = plot.x(column), plot.y(row["end"]), HEIGHT * row["time"] / plot.top
    fill = "url(#over)" if row["over"] else SEGMENT_FILLS[(row["order"] - 1) % 2]
    stroke = f'stroke="{OVER}" stroke-width="2"' if row["over"] else f'stroke="{PAPER}"'
    over = ", over the limit" if row["over"] else ""
    time = shown_number(row["time"], plot.unit)
    tip = f"Station {row['station']}, task {row['task']} {row['name']}, {time}{over}"
    label = ""
    low, high = clear_of_limit(row["start"], row["end"], limit)
    has_room = HEIGHT * (high - low) / plot.top >= TEXT + 3
    if has_room and text_width(row["task"], TEXT) <= plot.bar - 2:
        middle, at = x + plot.bar / 2, plot.y((low + high) / 2) + 4
        if row["over"]:  # paper behind the number, so that it reads on the hatching
            wide = text_width(row["task"], TEXT) + 4
            label = (
                f'<rect x="{middle - wide / 2:.1f}" y="{at - TEXT:.1f}" width="{wide:.1f}" '
                f'height="{TEXT + 3}" fill="{PAPER}"/>'
            )
        label += text_line(middle, at, row["task"], anchor="middle")
    return (
        f'<g data-station="{row["station"]}" data-task={quoteattr(row["task"])} '
        f'data-time="{row["time"]:.10g}"><title>{escape(tip)}</title>'
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{plot.bar:.1f}" '
        f'height="{height:.2f}" fill="{fill}" {stroke}/>{label}</g>'
    )


def _idle(plot: _Plot, column: int, total: StationSum) -> str:
    """Return the idle time of a station as an empty bar with a dashed outline."""
    y, height = plot.y(total.load + total.idle), HEIGHT * total.idle / plot.top
    words = f"Station {total.number}, idle {shown_number(total.idle, plot.unit)}"
    inside = idle_words(total, plot.unit, plot.bar, height)
    label = ""
    if inside:
        middle = plot.x(column) + plot.bar / 2
        label = text_line(
            middle, y + height / 2 + 4, inside, anchor="middle", fill=IDLE_INK, size=10
        )
    return (
        f'<g><title>{escape(words)}</title><rect x="{plot.x(column):.1f}" y="{y:.1f}" '
        f'width="{plot.bar:.1f}" height="{height:.2f}" fill="{IDLE}" '
        f'stroke="{IDLE_EDGE}" stroke-dasharray="3 3"/>{label}</g>'
    )


def _station(plot: _Plot, column: int, words: StationWords) -> Iterator[str]:
    """Yield the words of a station: its number below; load and what is special about it above."""
    middle = plot.x(column) + plot.bar / 2
    yield text_line(middle, TOP + HEIGHT + 16, str(words.number), anchor="middle")
    if column == 0:
        yield text_line(LEFT, TOP + HEIGHT + 34, "Station")
    for level, row in enumerate(words.rows):
        weight = "" if words.has_load and not level else "bold"
        y = plot.y(words.at) - 6 - ROW_HEIGHT * level
        yield text_line(middle, y, row, weight=weight, anchor="middle")


def _limit_line(plot: _Plot, limit: float, width: float) -> list[str]:
    """Return the limit line and its label at the right."""
    y = plot.y(limit)
    return [
        f'<line x1="{LEFT}" x2="{LEFT + width + 6}" y1="{y:.1f}" y2="{y:.1f}" stroke="{LIMIT}" '
        'stroke-width="2"/>',
        text_line(
            LEFT + width + 10,
            y + 4,
            limit_words(limit, plot.unit),
            weight="bold",
            fill=LIMIT,
        ),
    ]
