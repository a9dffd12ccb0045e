"""The growth of the exact method's time with the number of tasks, as SVG or PNG."""

import math
from collections.abc import Sequence
from typing import Literal

from stationflow.drawing.palette import INK, ON_PAPER, PAPER, SEGMENT_FILLS
from stationflow.drawing.render import render_svg
from stationflow.drawing.text_size import FONT_FAMILY
from tests.benchmarks.exact_figures import Growth

WIDTH, HEIGHT = 620, 380
LEFT, RIGHT, TOP, BOTTOM = 70, 30, 58, 76
LEAST_S = 0.0001
TITLE = "Exact, fewest stations: median seconds by number of tasks, order strength 0.6"


def growth_chart(points: Sequence[Growth], limit_s: float, kind: Literal["svg", "png"]) -> bytes:
    """Return the chart of the medians, both axes logarithmic.

    A full mark is the median of published instances, a hollow one of instances made
    for the benchmark. A median that was not proved stands at the limit and is named.
    """
    low = math.floor(math.log10(max(LEAST_S, min([p.seconds for p in points], default=0.1))))
    high = math.ceil(math.log10(limit_s * 1.2))
    sizes = [point.tasks for point in points] or [20, 1000]
    first, last = math.log(min(sizes) * 0.8), math.log(max(sizes) * 1.25)

    def x(tasks: int) -> float:
        return LEFT + (WIDTH - LEFT - RIGHT) * (math.log(tasks) - first) / (last - first)

    def y(seconds: float) -> float:
        share = (math.log10(max(LEAST_S, seconds)) - low) / (high - low)
        return HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * share

    parts = [
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="{PAPER}"/>',
        _text(LEFT, 26, TITLE, size=13, anchor="start", weight="bold"),
        _text(LEFT, TOP - 12, "seconds", anchor="end"),
        _text((LEFT + WIDTH - RIGHT) / 2, HEIGHT - 38, "tasks"),
        _mark(LEFT + 6, HEIGHT - 18, is_made=False),
        _text(LEFT + 18, HEIGHT - 14, "published instances", anchor="start"),
        _mark(LEFT + 176, HEIGHT - 18, is_made=True),
        _text(LEFT + 188, HEIGHT - 14, "drawn from those of 1000 tasks", anchor="start"),
    ]
    for power in range(low, high + 1):
        at = y(10.0**power)
        parts.append(_rule(at, ON_PAPER.idle_ink, 0.4))
        parts.append(_text(LEFT - 8, at + 4, f"{10.0**power:g}", anchor="end"))
    parts.append(_rule(y(limit_s), ON_PAPER.limit, 1.5))
    parts.append(_text(LEFT + 6, y(limit_s) + 14, f"limit {limit_s:g} s", anchor="start"))
    path = " ".join(f"{x(point.tasks):.1f},{y(point.seconds):.1f}" for point in points)
    parts.append(f'<polyline points="{path}" fill="none" stroke="{INK}" stroke-width="1"/>')
    for point in points:
        across, up = x(point.tasks), y(point.seconds)
        words = f"{point.seconds:.3g}" if point.is_proved else "not proved"
        parts.append(_mark(across, up, is_made=point.is_made))
        parts.append(_text(across, up - 12, words))
        parts.append(_text(across, HEIGHT - BOTTOM + 18, str(point.tasks)))
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{HEIGHT}" '
        f'viewBox="0 0 {WIDTH} {HEIGHT}" font-family="{FONT_FAMILY}">{"".join(parts)}</svg>'
    )
    return render_svg(svg, kind, TITLE)


def _text(
    x: float, y: float, words: str, *, size: int = 11, anchor: str = "middle", weight: str = ""
) -> str:
    """Return words at a point."""
    bold = f' font-weight="{weight}"' if weight else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}" text-anchor="{anchor}"{bold} '
        f'fill="{INK}" stroke="{PAPER}" stroke-width="3" paint-order="stroke">{words}</text>'
    )


def _rule(y: float, colour: str, width: float) -> str:
    """Return a line across the chart."""
    return (
        f'<line x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{y:.1f}" y2="{y:.1f}" '
        f'stroke="{colour}" stroke-width="{width}"/>'
    )


def _mark(x: float, y: float, *, is_made: bool) -> str:
    """Return the mark of a median."""
    fill = PAPER if is_made else SEGMENT_FILLS[0]
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" fill="{fill}" stroke="{INK}"/>'
