"""The points of a curve as they are drawn: numbers in the unit shown, and their words."""

from dataclasses import dataclass
from typing import Any

from stationflow.balancing.load_rows import shown_number, unit_label
from stationflow.model import CurvePoint, CycleCurve
from stationflow.units import TimeUnit, seconds_in_unit

STEEP = 8.0
"""Above this ratio of longest to shortest cycle the time axis is logarithmic."""

Row = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveRows:
    """A curve ready to be drawn; times are in the unit shown."""

    # one for each point: ``stations``, ``cycle``, ``low``, ``open`` (not proven), ``answer`` (the
    # answer to the demand), and ``cycle_words``, ``low_words``, ``state_words``,
    # ``efficiency_words``
    rows: tuple[Row, ...]
    limit: float | None  # the demand's limit of a station; None: not set
    # limit_shown, answer_words: the limit, and the stations that keep it, in words; empty: none
    limit_shown: str
    answer_words: str
    is_log: bool  # whether the time axis is logarithmic
    unit: str  # the unit at the axis

    @property
    def limit_words(self) -> str:
        """What stands at the line of the demand."""
        return f"demand: {self.limit_shown}"

    @property
    def domain(self) -> tuple[float, float]:
        """Where the time axis begins and ends."""
        times = [row["cycle"] for row in self.rows] + [row["low"] for row in self.rows]
        times += [self.limit] if self.limit else []
        if self.is_log:
            return 0.85 * min(times), 1.15 * max(times)
        return 0.0, 1.1 * max(times) or 1.0

    @property
    def summary(self) -> str:
        """The curve in one sentence, for those who do not see it."""
        open_points = sum(row["open"] for row in self.rows)
        proven = len(self.rows) - open_points
        said = f"Shortest cycle time of 1 to {len(self.rows)} stations, {proven} points proven"
        said += f", {open_points} between bound and plan" if open_points else ""
        if self.answer_words:
            said += f"; {self.answer_words} for the demand of {self.limit_shown}"
        return f"{said}."


def curve_rows(curve: CycleCurve, limit: float | None, unit: TimeUnit | str) -> CurveRows:
    """Return a curve ready to be drawn.

    Parameters
    ----------
    curve
        At least one point; times in seconds, or in file units of a published instance.
    limit
        The demand's limit of a station in the same unit; None: not set.
    unit
        Unit in which times are shown; another text than a time unit shows them as they are.
    """

    def number(time: float) -> float:
        return seconds_in_unit(time, unit) if isinstance(unit, TimeUnit) else time

    answer = None if limit is None else curve.answer(limit)

    def row(point: CurvePoint) -> Row:
        cycle, low = number(point.cycle), number(point.lower_bound)
        return {
            "stations": point.stations,
            "cycle": cycle,
            "low": low,
            "open": not point.is_proven,
            "answer": point == answer,
            "cycle_words": shown_number(cycle, unit),
            "low_words": shown_number(low, unit),
            "state_words": "proven shortest"
            if point.is_proven
            else f"not proven, gap {100 * point.gap:.1f} %",
            "efficiency_words": f"{100 * curve.efficiency(point):.1f} %",
        }

    rows = tuple(row(point) for point in curve.points)
    shortest = min(r["low"] for r in rows)
    many = answer.stations if answer else 0
    return CurveRows(
        rows=rows,
        limit=None if limit is None else number(limit),
        limit_shown="" if limit is None else shown_number(number(limit), unit),
        answer_words=f"{many} station{'' if many == 1 else 's'}" if answer else "",
        is_log=shortest > 0 and rows[0]["cycle"] / shortest > STEEP,
        unit=unit_label(unit),
    )
