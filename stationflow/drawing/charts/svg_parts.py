"""What the charts written as plain SVG texts have in common."""

import math
from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

from stationflow.drawing.palette import INK
from stationflow.drawing.text_size import FONT_FAMILY

TEXT = 11
"""Size of ordinary text in pixels."""
STEPS = (1, 2, 2.5, 5, 10)


def opening(width: float, height: float, words: str) -> str:
    """Return the first tag of a chart: its size in pixels, what it is in words, its font."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.0f}" height="{height}" '
        f'viewBox="0 0 {width:.0f} {height}" role="img" aria-label={quoteattr(words)} '
        f'font-family="\'{FONT_FAMILY}\', Arial, Helvetica, sans-serif" font-size="{TEXT}" '
        f'fill="{INK}">'
    )


def text_line(
    x: float, y: float, words: str, *, size: float = TEXT, weight: str = "", anchor: str = "start",
    fill: str = INK,
) -> str:  # fmt: skip
    """Return one line of text."""
    bold = f' font-weight="{weight}"' if weight else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:g}" text-anchor="{anchor}" '
        f'fill="{fill}"{bold}>{escape(words)}</text>'
    )


def round_times(top: float) -> list[float]:
    """Return about five round times from 0 to the top of an axis."""
    rough = top / 5
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(s * power for s in STEPS if s * power >= rough * 0.999)
    return [n * step for n in range(int(top / step) + 1)]


def time_axis(
    places: Sequence[tuple[float, float]], left: float, right: float, top: float, title: str
) -> list[str]:
    """Return a time axis: thin lines across, their times, and the title above.

    Parameters
    ----------
    places
        Time and height in pixels of each line.
    left, right, top
        Where the plot begins and ends, and its upper edge, in pixels.
    title
        What the axis shows, with the unit.
    """
    parts = []
    for time, y in places:
        parts += [
            f'<line x1="{left}" x2="{right}" y1="{y:.1f}" y2="{y:.1f}" stroke="#DDDDDD"/>',
            text_line(left - 6, y + 4, f"{time:g}", anchor="end"),
        ]
    return [*parts, text_line(8, top - 8, title)]
