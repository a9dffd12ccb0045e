"""What stands above the bars of a load chart, and where the limit is named."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stationflow.balancing.load_rows import StationSum
from stationflow.drawing.text_size import text_width
from stationflow.units import TimeUnit, half_up

POINTS = 11
ROW_HEIGHT = 14  # of one row of words above a bar, in pixels
NARROWEST_TURNED = 12  # pixels of a station beside whose load, turned upright, the next one stands
LONGEST = "\N{BLACK DOWN-POINTING TRIANGLE} longest"


@dataclass(frozen=True, slots=True, kw_only=True)
class StationWords:
    """The words above one bar."""

    number: int
    # the time they stand above: the limit, or the load where that is longer, so that no word stands
    # on the limit line
    at: float
    # from the bar upwards: load, time over the limit, whether it is the longest
    rows: tuple[str, ...]
    has_load: bool = False  # whether the first row is the load
    tall: float = ROW_HEIGHT  # height of the first row; a load that is turned upright is higher


def station_words(
    sums: Sequence[StationSum], limit: float | None, unit: TimeUnit | str, step: float
) -> tuple[StationWords, ...]:
    """Return the words above each bar, as long as they fit a step in pixels.

    Loads that are too wide for a step are turned upright. What is special about a station keeps a
    mark where words do not fit.
    """
    loads = {s.number: plain_number(s.load, unit) for s in sums}
    widest = max((text_width(words, POINTS) for words in loads.values()), default=0.0)
    is_turned = widest > step - 2
    has_loads = not is_turned or step >= NARROWEST_TURNED
    tall = widest + 4 if is_turned and has_loads else ROW_HEIGHT
    found = []
    for s in sums:
        rows = [loads[s.number]] if has_loads and s.load else []
        if s.over:
            words = f"+{plain_number(s.over, unit)}"
            rows.append(words if text_width(words, POINTS) <= step else "+")
        if s.is_bottleneck:
            rows.append(LONGEST if text_width(LONGEST, POINTS) <= step else LONGEST[0])
        top = s.load if limit is None else max(s.load, limit)
        found.append(
            StationWords(
                number=s.number,
                at=top,
                rows=tuple(rows),
                has_load=has_loads and s.load > 0,
                tall=tall,
            )
        )
    return tuple(found)


def rows_height(words: Sequence[StationWords], rows: int) -> float:
    """Return the height of so many rows above the bars, in pixels."""
    first = max((w.tall for w in words), default=ROW_HEIGHT)
    return first + ROW_HEIGHT * (rows - 1) if rows else 0.0


def idle_words(total: StationSum, unit: TimeUnit | str, bar: float, height: float) -> str:
    """Return the idle time as it stands inside its bar, or nothing where it does not fit."""
    words = f"idle {plain_number(total.idle, unit)}"
    fits = text_width(words, POINTS - 1) <= 0.96 * bar and height >= ROW_HEIGHT
    return words if fits else ""


def clear_of_limit(start: float, end: float, limit: float | None) -> tuple[float, float]:
    """Return the longer part of a task's bar that the limit line does not cut, for its number.

    >>> clear_of_limit(40.0, 50.0, 48.0)
    (40.0, 48.0)
    """
    if limit is None or not start < limit < end:
        return start, end
    return (start, limit) if limit - start >= end - limit else (limit, end)


def plain_number(time: float, unit: TimeUnit | str) -> str:
    """Return a time that is in the unit already, without the unit."""
    return str(half_up(time, unit.decimals)) if isinstance(unit, TimeUnit) else f"{time:g}"


def limit_place(
    words: Sequence[StationWords], limit: float, label: str, step: float
) -> tuple[str, int]:
    """Return the end of the limit line where its label is clearest, and the rows below the label.

    `words` stand above the bars; `step` is the width of one station in pixels.
    """
    # A word of about 40 pixels stands in the middle of each step.
    wide = text_width(label, POINTS) + 8 + 20 - step / 2
    many = min(max(math.ceil(wide / step), 0), len(words))
    ends = {"right": words[len(words) - many :], "left": words[:many]}

    def crowd(end: str) -> tuple[bool, int]:
        return (
            any(w.at > limit for w in ends[end]),
            max((len(w.rows) for w in ends[end]), default=0),
        )

    best = min(ends, key=crowd)  # the right one where both are as clear
    return best, crowd(best)[1]


def axis_top(words: Sequence[StationWords], peak: float, label_rows: int, height: float) -> float:
    """Return the top of the time axis: room for the words above the longest bar or the limit.

    `peak` is the longest load or limit, `label_rows` the rows up to and with the label of the
    limit, `height` the height of the axis in pixels.
    """
    rows = max([label_rows, *(len(w.rows) for w in words)])
    room = min(rows_height(words, rows) + 10, 0.6 * height)
    return max(peak, 1e-9) / (1 - room / height)
