"""The stations-against-cycle curve of a line: made, kept, and turned into plans."""

from dataclasses import dataclass, replace
from datetime import datetime

from stationflow.actions.opening.sources import Source
from stationflow.actions.plans.plan_keeping import save_plan
from stationflow.actions.plans.source_balancing import lines_to_balance
from stationflow.balancing.balance import complete_settings, with_told
from stationflow.balancing.balance_check import check_settings, work_findings
from stationflow.balancing.curve.cycle_curve import CurveProgress, cycle_curve
from stationflow.balancing.given_stations import given_result
from stationflow.balancing.limits_kept import limits_not_kept
from stationflow.balancing.plan_age import plan_differences
from stationflow.balancing.time_words import count
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork, line_work
from stationflow.errors import StoreError
from stationflow.model import (
    MAIN_LINE,
    BalanceResult,
    BalanceSettings,
    CurvePoint,
    CurveSettings,
    CycleCurve,
    Effort,
    Ending,
    Finding,
    Plan,
    Product,
    StoredCurve,
    by_severity,
    has_errors,
)
from stationflow.pace.takt import line_pace
from stationflow.storage import Draft, Store

__all__ = [
    "CurveAnswer",
    "CurveProgress",
    "CurveState",
    "curve_and_keep",
    "curve_problems",
    "curve_source",
    "curve_state",
    "demand_limit",
    "plan_of_point",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveAnswer:
    """The curve of a line, and what demand asks of it.

    Attributes
    ----------
    line
        Name of the line.
    curve
        The curve; None: the findings say why there is none.
    limit
        Limit of a station as demand sets it, in the time unit of the curve; None: not set.
    findings
        What should be known about the line.
    """

    line: str
    curve: CycleCurve | None
    limit: float | None
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveState:
    """The last curve of a line and how it stands to the product as it is now.

    Attributes
    ----------
    kept
        The curve with what was asked.
    differences
        What differs in the work of the line now, in words; empty: the curve holds.
    """

    kept: StoredCurve
    differences: tuple[str, ...] = ()


def curve_problems(settings: CurveSettings) -> tuple[str, ...]:
    """Return what is wrong with what a curve is asked for; empty: nothing."""
    problems = tuple(check_settings(_of_point(settings, 1)))
    if settings.seconds_each is not None and not settings.seconds_each > 0:
        said = f"The time limit of one point is {settings.seconds_each:g} s; give more than 0."
        problems = (*problems, said)
    return problems


def curve_source(
    source: Source,
    line: str | None,
    settings: CurveSettings,
    progress: CurveProgress | None = None,
) -> CurveAnswer:
    """Return the curve of one line of a source.

    Parameters
    ----------
    source
        A product or a published instance.
    line
        Name of the line; None: the main line.
    settings
        What is asked.
    progress
        Hears of every point and may stop.
    """
    name = lines_to_balance(source, line)[0]
    if source.product is not None:
        answer = _curve_of(source.product, name, settings, progress)
        return replace(answer, findings=by_severity((*source.findings, *answer.findings)))
    instance = source.instance
    assert instance is not None
    limit = None if instance.cycle_time is None else float(instance.cycle_time)
    stops = work_findings(instance.work)
    findings = by_severity((*source.findings, *stops))
    curve = None if stops else cycle_curve(instance.work, settings, progress, near=limit)
    return CurveAnswer(line=name or MAIN_LINE, curve=curve, limit=limit, findings=findings)


def curve_and_keep(
    store: Store,
    draft: Draft,
    line: str,
    settings: CurveSettings,
    *,
    by: str,
    at: datetime,
    progress: CurveProgress | None = None,
) -> CurveAnswer:
    """Make the curve of a line and keep it as the last one of the line."""
    answer = _curve_of(draft.product, line, settings, progress)
    if answer.curve is not None:
        store.keep_curve(
            StoredCurve(
                product=draft.product.code,
                settings=settings,
                curve=answer.curve,
                product_version=draft.version,
                product_checksum=draft.checksum,
                by=by,
                at=at,
            )
        )
    return answer


def curve_state(store: Store, draft: Draft, line: str) -> CurveState | None:
    """Return the last curve of a line and what has changed since; None: there is no curve."""
    kept = store.last_curve(draft.product.code, line)
    if kept is None:
        return None
    if kept.product_checksum == draft.checksum:
        return CurveState(kept=kept)
    try:
        made_from = store.saved_product(kept.product, kept.product_checksum)
    except StoreError:
        return CurveState(
            kept=kept, differences=("The version the curve was made from is not there.",)
        )
    if _arithmetic(made_from, line) == _arithmetic(draft.product, line):
        return CurveState(kept=kept)
    said = plan_differences(made_from, draft.product, line)
    return CurveState(kept=kept, differences=said or ("The work of the line has changed.",))


def demand_limit(product: Product, line: str) -> float | None:
    """Return the station time that demand sets for a line in seconds; None: it sets none."""
    return line_pace(product, line).station_time_s if product.line(line) else None


def plan_of_point(
    store: Store, draft: Draft, line: str, stations: int, *, by: str, at: datetime
) -> Plan:
    """Store the plan of one point of the line's last curve, as if it had been asked for.

    The assignment is the one found with the curve; nothing is searched again. It is put
    in force when the line has no plan in force yet.

    Parameters
    ----------
    stations
        How many stations are allowed; beyond the end of the curve it stays flat.

    Raises
    ------
    StoreError
        If there is no curve, or the plan does not hold as the product is now.
    """
    state = curve_state(store, draft, line)
    work, findings = line_work(draft.product, line)
    if state is None or work is None:
        raise StoreError("There is no curve to take the plan from.", "Compute the curve first.")
    curve, settings = state.kept.curve, state.kept.settings
    point = curve.at(stations)
    broken = verify(work, point.plan, takt=point.cycle, most_stations=stations)
    if broken or state.differences:
        raise StoreError(
            "The line has changed since the curve was computed, so its plans do not hold.",
            "Compute the curve again.",
        )
    asked = complete_settings(_of_point(settings, stations))
    result = _result(work, curve, replace(point, stations=stations), asked)
    name = f"{count(stations, 'station')}, shortest cycle, from the curve"
    is_first = store.plan_in_force(draft.product.code, line) is None
    return save_plan(
        store,
        draft,
        with_told(draft.product, result, findings),
        by=by,
        at=at,
        in_force=is_first,
        name=name,
    )


def _curve_of(
    product: Product, line: str, settings: CurveSettings, progress: CurveProgress | None
) -> CurveAnswer:
    """Return the curve of one line of a product."""
    work, findings = line_work(product, line)
    if work is not None:
        findings = (*findings, *work_findings(work))
    if work is None or has_errors(findings):
        return CurveAnswer(line=line, curve=None, limit=None, findings=by_severity(findings))
    limit = demand_limit(product, line)
    curve = cycle_curve(work, settings, progress, near=limit)
    warned = limits_not_kept(product, line)
    told = by_severity((*findings, *((warned,) if warned else ())))
    return CurveAnswer(line=line, curve=curve, limit=limit, findings=told)


def _of_point(settings: CurveSettings, stations: int) -> BalanceSettings:
    """Return what one point of a curve asks for, as a balance would be asked."""
    return BalanceSettings(
        method=settings.method,
        stations=stations,
        seconds=settings.seconds,
        seed=settings.seed,
        cores=settings.cores,
        memory_mb=settings.memory_mb,
    )


def _result(
    work: LineWork, curve: CycleCurve, point: CurvePoint, asked: BalanceSettings
) -> BalanceResult:
    """Return a point as the result of a balance for the shortest cycle."""
    result = given_result(
        work,
        enumerate(point.plan, 1),
        limit=None,
        method=curve.method,
        most_stations=point.stations,
    )
    return replace(
        result,
        asked=asked,
        proof=replace(
            result.proof,
            ending=Ending.OPTIMAL if point.is_proven else Ending.FOUND,
            lower_bound=point.lower_bound,
        ),
        effort=Effort(engine=curve.engine, runtime_s=curve.runtime_s),
    )


def _arithmetic(product: Product, line: str) -> tuple[object, ...] | None:
    """Return all that a curve depends on; None: the work of the line has errors."""
    work, _ = line_work(product, line)
    return None if work is None else (work.numbers, work.times, work.predecessors, work.ticks)
