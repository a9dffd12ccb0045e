"""The curve as a table that goes out, and as a document."""

from collections.abc import Sequence
from typing import Any

from stationflow.files.exports.sheets_out import SheetColumn, SheetTable
from stationflow.files.plan_document import finding_document
from stationflow.model import CurvePoint, CycleCurve, Finding
from stationflow.units import TimeUnit, seconds_in_unit, show_seconds


def curve_table(
    curve: CycleCurve, limit: float | None, unit: TimeUnit | str, about: str = ""
) -> SheetTable:
    """Return the points as a table: numbers as numbers, times in the unit shown.

    Parameters
    ----------
    curve
        The curve; its times are in seconds, or file units of a published instance.
    limit
        Limit of a station as demand sets it, in the same unit; None: not set.
    """
    label = unit.label if isinstance(unit, TimeUnit) else unit
    decimals = unit.decimals if isinstance(unit, TimeUnit) else None

    def number(time: float) -> float:
        return seconds_in_unit(time, unit) if isinstance(unit, TimeUnit) else time

    times = ("Cycle time", "Lower bound")
    answer = None if limit is None else curve.answer(limit)
    return SheetTable(
        name="curve",
        title="Stations against cycle time",
        columns=(
            SheetColumn(title="Stations"),
            *(SheetColumn(title=t, unit=label, decimals=decimals) for t in times),
            SheetColumn(title="Proven"),
            SheetColumn(title="Gap", unit="%", decimals=1),
            SheetColumn(title="Balance efficiency", unit="%", decimals=1),
            SheetColumn(title="Stations of the plan"),
            SheetColumn(title="Demand"),
        ),
        rows=tuple(
            (
                point.stations,
                number(point.cycle),
                number(point.lower_bound),
                proven_words(point),
                100 * point.gap,
                100 * curve.efficiency(point),
                len(point.plan) or None,
                "fewest stations that keep it" if point == answer else None,
            )
            for point in curve.points
        ),
        about=about,
    )


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
        longest = shown_time(curve.longest, unit)
        return f"No number of stations keeps {shown}: the longest task takes {longest}."
    many = f"{point.stations} station{'' if point.stations == 1 else 's'}"
    said = f"Demand asks for {shown}: {many} {'keeps' if point.stations == 1 else 'keep'} it"
    said += f", with a cycle time of {shown_time(point.cycle, unit)}."
    if fewest is None or fewest >= point.stations:
        return f"{said} Fewer cannot, that is proven."
    return f"{said} Whether {fewest} can is not decided."


def flat_words(curve: CycleCurve, unit: TimeUnit | str) -> str:
    """Return where the curve ends and why."""
    longest = shown_time(curve.longest, unit)
    before = curve.points[-2] if curve.flat_from > 1 else None
    from_here = f"{curve.flat_from} station{'' if curve.flat_from == 1 else 's'}"
    if before is not None and before.lower_bound <= curve.longest:
        from_here += ", perhaps from fewer,"
    return f"From {from_here} on it is flat: the longest task takes {longest} and is not split."


def curve_document(
    source: str,
    line: str,
    curve: CycleCurve | None,
    limit: float | None,
    findings: Sequence[Finding],
) -> dict[str, Any]:
    """Return a curve, ready for JSON.

    Returns
    -------
    dict
        ``source``, ``line``, ``method``, ``engine``, ``time_unit``, ``tasks``,
        ``work_content``, ``limit`` (of a station as demand sets it, or null), ``answer`` and
        ``answer_proven`` (fewest stations that keep it by plan and by proof, or null),
        ``flat_from``, ``points`` with ``stations``, ``cycle_time``, ``lower_bound``,
        ``proven``, ``balance_efficiency`` and ``plan``; ``runtime_s``, ``findings``.
    """
    found = [finding_document(finding) for finding in findings]
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
