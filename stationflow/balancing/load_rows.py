"""What a load chart shows: a row per task, and the sum of each station."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from stationflow.model import BalanceResult
from stationflow.model.schema.cells import one_line
from stationflow.units import TimeUnit, exact, half_up

Row = dict[str, Any]


def load_chart_rows(
    result: BalanceResult,
    times: Mapping[str, float | None],
    names: Mapping[str, str] | None = None,
    turns: Mapping[int, float] | None = None,
) -> list[Row]:
    """Return one row per task, stacked in the order of work at its station.

    `times` are in the unit of the result (a task without one counts as 0). Rows have `station`,
    `order` (from 1), `task`, `name`, `time`, `start`, `end`, `over` (the task ends after the limit
    of the result); a station without tasks has order 0.
    `turns`, by station, is the time in which it turns the unit over: a last row without a task.
    """
    rows: list[Row] = []
    for station in result.stations:
        start = Decimal(0)
        done = [
            (number, times.get(number), (names or {}).get(number, "")) for number in station.tasks
        ]
        if turned := (turns or {}).get(station.number):
            done.append(("", turned, "turn the unit over"))
        for order, (number, known, name) in enumerate(done or [("", 0, "")], 1 if done else 0):
            time = exact(known or 0)
            rows.append(
                {
                    "station": station.number,
                    "order": order,
                    "task": one_line(number),
                    "name": one_line(name),
                    "time": float(time),
                    "start": float(start),
                    "end": float(start + time),
                    "over": result.limit is not None and start + time > exact(result.limit),
                }
            )
            start += time
    return rows


@dataclass(frozen=True, slots=True, kw_only=True)
class StationSum:
    """The load of one station against the limit, in the unit of the rows."""

    number: int
    load: float
    idle: float  # time left to the limit; without a limit, to the longest station
    over: float  # time over the limit
    is_bottleneck: bool  # whether no station takes longer


def station_sums(rows: Sequence[Row], limit: float | None) -> tuple[StationSum, ...]:
    """Return the load of each station, in the order of the rows."""
    loads: dict[int, float] = {}
    for row in rows:
        loads[row["station"]] = max(loads.get(row["station"], 0.0), row["end"])
    longest = max(loads.values(), default=0.0)
    ceiling = exact(longest if limit is None else limit)
    return tuple(
        StationSum(
            number=number,
            load=load,
            idle=float(max(ceiling - exact(load), Decimal(0))),
            over=float(max(exact(load) - ceiling, Decimal(0))),
            is_bottleneck=load == longest and load > 0,
        )
        for number, load in loads.items()
    )


def in_shown_unit(
    rows: Sequence[Row], limit: float | None, unit: TimeUnit | str
) -> tuple[list[Row], float | None]:
    """Return rows and limit, given in seconds, in the unit shown.

    Times of published instances have the unit "unit" and stay as they are.
    """
    if not isinstance(unit, TimeUnit):
        return [dict(row) for row in rows], limit
    factor = Decimal(1000) / unit.milliseconds
    shown = [
        {**row, **{key: float(exact(row[key]) * factor) for key in ("time", "start", "end")}}
        for row in rows
    ]
    return shown, None if limit is None else float(exact(limit) * factor)


def shown_number(time: float, unit: TimeUnit | str) -> str:
    """Return a time that is in the unit already as text with the unit."""
    if not isinstance(unit, TimeUnit):
        return f"{time:g}"
    return f"{half_up(time, unit.decimals)} {unit.label}"


def unit_label(unit: TimeUnit | str) -> str:
    """Return the unit as it stands at an axis."""
    return unit.label if isinstance(unit, TimeUnit) else unit


def summary(sums: Sequence[StationSum], limit: float | None, unit: TimeUnit | str) -> str:
    """Return the line above a load chart: the longest stations, and those over the limit."""
    longest = [s for s in sums if s.is_bottleneck]
    if not longest:
        return "No work is assigned."

    def named(some: Sequence[StationSum], most: int) -> str:
        return ", ".join(f"S{s.number}" for s in some[:most]) + (" ..." if some[most:] else "")

    plural, load = "s" if len(longest) > 1 else "", shown_number(longest[0].load, unit)
    words = f"Longest station{plural}: {named(longest, 4)} with {load}"
    over = [s for s in sums if s.over]
    if over and limit is not None:
        words += f". Over the limit: {named(over, 6)}"
    return words if words.endswith("...") else f"{words}."
