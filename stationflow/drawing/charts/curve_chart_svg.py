"""Stations against cycle time as a plain SVG text, for files and print."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from xml.sax.saxutils import escape

from stationflow.drawing.charts.curve_rows import CurveRows, Row, curve_rows
from stationflow.drawing.charts.svg_parts import opening, round_times, text_line, time_axis
from stationflow.drawing.palette import IDLE_EDGE, INK, LIMIT, OVER, PAPER
from stationflow.model import CycleCurve
from stationflow.model.schema.cells import one_line
from stationflow.units import TimeUnit

WIDTH = 900
HEIGHT = 420
LEFT = 72
RIGHT = 150
TOP = 62
BOTTOM = 60
LEAST_APART = 34
"""Least distance of two numbers at the axis of stations, in pixels."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plot:
    """Where things stand. Lengths in pixels."""

    drawn: CurveRows

    @property
    def step(self) -> float:
        """Distance from one number of stations to the next."""
        return WIDTH / len(self.drawn.rows)

    def x(self, stations: int) -> float:
        """Return where a number of stations stands."""
        return LEFT + self.step * (stations - 0.5)

    def y(self, time: float) -> float:
        """Return the height of a time."""
        low, high = self.drawn.domain
        if self.drawn.is_log:
            share = math.log(time / low) / math.log(high / low)
        else:
            share = (time - low) / (high - low)
        return TOP + HEIGHT * (1 - share)


def curve_chart_svg(
    curve: CycleCurve,
    limit: float | None,
    unit: TimeUnit | str = TimeUnit.SECOND,
    *,
    title: str = "",
) -> str:
    """Return the curve as SVG.

    Parameters
    ----------
    curve
        At least one point; times in seconds, or in file units of a published instance.
    limit
        The demand's limit of a station in the same unit; None: not set.
    unit
        Unit in which times are shown; another text than a time unit shows them as they are.
    title
        Heading of the chart.

    Returns
    -------
    str
        An SVG document. Proven points are filled; an open one is a ring with a bar to its
        bound.
    """
    drawn = curve_rows(curve, limit, unit)
    plot = _Plot(drawn=drawn)
    width, height = LEFT + WIDTH + RIGHT, TOP + HEIGHT + BOTTOM
    line = " ".join(f"{plot.x(r['stations']):.1f},{plot.y(r['cycle']):.1f}" for r in drawn.rows)
    parts = [
        opening(width, height, drawn.summary),
        f'<rect width="100%" height="100%" fill="{PAPER}"/>',
        text_line(LEFT, 20, one_line(title), size=15, weight="bold"),
        text_line(LEFT, 40, drawn.summary, size=12),
        *time_axis(
            [(time, plot.y(time)) for time in _round_times(drawn)],
            LEFT,
            LEFT + WIDTH,
            TOP,
            f"Cycle time ({drawn.unit}{', logarithmic' if drawn.is_log else ''})",
        ),
        *_station_axis(plot),
        f'<polyline points="{line}" fill="none" stroke="{IDLE_EDGE}" stroke-width="1.5"/>',
        *_demand(plot),
        *(_point(plot, row) for row in drawn.rows),
        *_key(drawn),
    ]
    return "\n".join([*parts, "</svg>"]) + "\n"


def _round_times(drawn: CurveRows) -> list[float]:
    """Return about five round times within the axis: 1, 2, 5, 10 ... where it is logarithmic."""
    low, high = drawn.domain
    if drawn.is_log:
        powers = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
        rounds = [factor * 10.0**power for power in powers for factor in (1, 2, 5)]
        return [time for time in rounds if low <= time <= high]
    return round_times(high)


def _station_axis(plot: _Plot) -> Iterator[str]:
    """Yield the numbers of stations, as many as have room."""
    every = max(1, math.ceil(LEAST_APART / plot.step))
    every = next(s for s in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000) if s >= every)
    for row in plot.drawn.rows:
        stations = row["stations"]
        if every == 1 or stations == 1 or stations % every == 0:
            yield text_line(plot.x(stations), TOP + HEIGHT + 16, str(stations), anchor="middle")
    yield text_line(LEFT, TOP + HEIGHT + 34, "Stations")


def _point(plot: _Plot, row: Row) -> str:
    """Return one point: filled where proven, else a ring with a bar to its bound."""
    x, y = plot.x(row["stations"]), plot.y(row["cycle"])
    tip = (
        f"{row['stations']} stations, cycle time {row['cycle_words']}, {row['state_words']}, "
        f"lower bound {row['low_words']}, balance efficiency {row['efficiency_words']}"
    )
    parts = [f'<g data-stations="{row["stations"]}"><title>{escape(tip)}</title>']
    ink, fill = (OVER, PAPER) if row["open"] else (LIMIT, LIMIT)
    if row["open"]:
        parts.append(
            f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{y:.1f}" y2="{plot.y(row["low"]):.1f}" '
            f'stroke="{OVER}" stroke-width="3"/>'
        )
    parts.append(
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" fill="{fill}" stroke="{ink}" stroke-width="2"/>'
    )
    if row["answer"]:
        parts.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="9" fill="none" stroke="{INK}" stroke-width="2"/>'
        )
        # Above the line of the demand, where a falling curve leaves room.
        above = plot.y(plot.drawn.limit or row["cycle"]) - 7
        parts.append(text_line(x + 12, above, plot.drawn.answer_words, weight="bold", size=12))
    return "".join([*parts, "</g>"])


def _demand(plot: _Plot) -> list[str]:
    """Return the demand's limit as a line with its words; nothing where none is set."""
    limit = plot.drawn.limit
    if not limit:
        return []
    y, end = plot.y(limit), LEFT + WIDTH
    return [
        f'<line x1="{LEFT}" x2="{end + 6}" y1="{y:.1f}" y2="{y:.1f}" stroke="{INK}" '
        'stroke-width="2" stroke-dasharray="6 4"/>',
        text_line(end + 10, y + 4, plot.drawn.limit_words, weight="bold"),
    ]


def _key(drawn: CurveRows) -> list[str]:
    """Return what the two kinds of point mean, where there are both."""
    if not any(row["open"] for row in drawn.rows):
        return []
    y = TOP + HEIGHT + 50
    return [
        f'<circle cx="{LEFT + 4}" cy="{y - 4}" r="4" fill="{LIMIT}" stroke="{LIMIT}"/>',
        text_line(LEFT + 14, y, "proven shortest"),
        f'<circle cx="{LEFT + 124}" cy="{y - 4}" r="4" fill="{PAPER}" stroke="{OVER}" '
        'stroke-width="2"/>',
        text_line(LEFT + 134, y, "best plan so far; the bar reaches down to what is proven"),
    ]
