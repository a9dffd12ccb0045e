"""The curve as a table that goes out, and as a document."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from stationflow.files.exports.sheets_out import SheetColumn, SheetTable, time_columns, titled
from stationflow.model import CurvePoint, CycleCurve, Finding
from stationflow.units import TimeUnit, seconds_in_unit, show_seconds


def curve_table(
    curve: CycleCurve, limit: float | None, unit: TimeUnit | str, about: str = ""
) -> SheetTable:
    """Return the points as a table: numbers as numbers, times in the unit shown.

    Curve and limit (of a station, as demand sets it; None: not set) are in seconds, or file
    units of a published instance.
    """
    answer = None if limit is None else curve.answer(limit)
    columns = (
        *titled("Stations"),
        *time_columns(unit, "Cycle time", "Lower bound"),
        *titled("Proven"),
        SheetColumn("Gap", "%", 1),
        SheetColumn("Balance efficiency", "%", 1),
        *titled("Stations of the plan", "Demand"),
    )
    rows = tuple(
        (
            point.stations,
            seconds_in_unit(point.cycle, unit),
            seconds_in_unit(point.lower_bound, unit),
            proven_words(point),
            100 * point.gap,
            100 * curve.efficiency(point),
            len(point.plan) or None,
            "fewest stations that keep it" if point == answer else None,
        )
        for point in curve.points
    )
    return SheetTable("curve", "Stations against cycle time", columns, rows, about)


def proven_words(point: CurvePoint) -> str:
    """Return whether a point is proven, in words."""
    return "proven" if point.is_proven else "between bound and plan"


def shown_time(time: float, unit: TimeUnit | str) -> str:
    """Return a time of a curve as people read it: an instance's times have no unit."""
    return show_seconds(time, unit) if isinstance(unit, TimeUnit) else f"{time:.10g}"


def answer_words(curve: CycleCurve, limit: float | None, unit: TimeUnit | str) -> str:
    """Return what the curve says of the demand, in one or two sentences."""
    if limit is None:
        return "Demand sets no limit of a station, so no point is marked."
    shown, point = shown_time(limit, unit), curve.answer(limit)
    fewest = curve.fewest_proven(limit)
    if point is None:
        if curve.points[-1].cycle <= curve.longest:
            longest = shown_time(curve.longest, unit)
            return f"No number of stations keeps {shown}: the longest task takes {longest}."
        shortest = shown_time(curve.points[-1].cycle, unit)
        return f"No plan that is known keeps {shown}: the shortest cycle time is {shortest}."
    many = f"{point.stations} station{'' if point.stations == 1 else 's'}"
    said = f"Demand asks for {shown}: {many} {'keeps' if point.stations == 1 else 'keep'} it"
    said += f", with a cycle time of {shown_time(point.cycle, unit)}."
    if fewest is None or fewest >= point.stations:
        return f"{said} Fewer cannot, that is proven."
    return f"{said} Whether {fewest} can is not decided."


def flat_words(curve: CycleCurve, unit: TimeUnit | str) -> str:
    """Return where the curve ends and why."""
    end = curve.points[-1]
    before = curve.points[-2] if len(curve.points) > 1 else None
    from_here = f"{curve.flat_from} station{'' if curve.flat_from == 1 else 's'}"
    if before is not None and before.lower_bound <= end.cycle:
        from_here += ", perhaps from fewer,"
    if end.cycle > curve.longest:
        return f"From {from_here} on it is flat: no plan that is known keeps the limits faster."
    longest = shown_time(curve.longest, unit)
    return f"From {from_here} on it is flat: the longest task takes {longest} and is not split."


def curve_document(
    source: str,
    line: str,
    curve: CycleCurve | None,
    limit: float | None,
    findings: Sequence[Finding],
) -> dict[str, Any]:
    """Return a curve, ready for JSON; `limit` is that of a station as demand sets it, or null.

    ``answer`` and ``answer_proven`` are the fewest stations that keep it by plan and by proof.
    """
    found = [asdict(finding) for finding in findings]
    if curve is None:
        return {"source": source, "line": line, "points": [], "findings": found}
    point = None if limit is None else curve.answer(limit)
    return {
        "source": source,
        "line": line,
        "method": curve.method,
        "engine": curve.engine,
        "time_unit": curve.time_unit,
        "tasks": curve.tasks,
        "work_content": curve.work_content,
        "limit": limit,
        "answer": None if point is None else point.stations,
        "answer_proven": None if limit is None else curve.fewest_proven(limit),
        "flat_from": curve.flat_from,
        "points": [
            {
                "stations": each.stations,
                "cycle_time": each.cycle,
                "lower_bound": each.lower_bound,
                "proven": each.is_proven,
                "balance_efficiency": curve.efficiency(each),
                "plan": [list(tasks) for tasks in each.plan],
            }
            for each in curve.points
        ],
        "runtime_s": curve.runtime_s,
        "findings": found,
    }
