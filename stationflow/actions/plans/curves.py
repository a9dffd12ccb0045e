"""The stations-against-cycle curve of a line: made, kept, and turned into plans."""

from dataclasses import dataclass, replace

from stationflow.actions.opening.opened import Opened, opened_draft
from stationflow.actions.plans.plan_keeping import complete_settings, save_plan
from stationflow.balancing.balance import with_told
from stationflow.balancing.balance_check import check_settings, work_findings
from stationflow.balancing.curve.cycle_curve import CurveProgress, cycle_curve
from stationflow.balancing.given_stations import given_result
from stationflow.balancing.limits_findings import are_all_kept, limits_broken, limits_not_kept
from stationflow.balancing.plan_age import plan_differences
from stationflow.balancing.time_words import count
from stationflow.balancing.verify import LIMIT_CODES, verify
from stationflow.balancing.work import LineWork, line_work
from stationflow.errors import StoreError
from stationflow.model import (
    Author,
    BalanceResult,
    BalanceSettings,
    CurvePoint,
    CurveSettings,
    CycleCurve,
    Ending,
    Finding,
    Plan,
    Product,
    StoredCurve,
    by_severity,
    has_errors,
)
from stationflow.storage import Draft, Store


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


def curve_of(
    opened: Opened, line: str, settings: CurveSettings, progress: CurveProgress | None = None
) -> CurveAnswer:
    """Return the curve of one line; `progress` hears of every point and may stop."""
    work, findings = opened.work(line)
    findings = (*opened.findings, *findings, *(work_findings(work) if work else ()))
    if work is None or has_errors(findings):
        return CurveAnswer(line=line, curve=None, limit=None, findings=by_severity(findings))
    limit = opened.limit(line)
    curve = cycle_curve(work, settings, progress, near=limit)
    warned = None if opened.instance else limits_not_kept(opened.product, line, keeps=frozenset())
    told = by_severity((*findings, *((warned,) if warned else ())))
    return CurveAnswer(line=line, curve=curve, limit=limit, findings=told)


def curve_and_keep(
    store: Store,
    draft: Draft,
    line: str,
    settings: CurveSettings,
    *,
    by: Author,
    progress: CurveProgress | None = None,
) -> CurveAnswer:
    """Make the curve of a line and keep it as the last one of the line."""
    answer = curve_of(opened_draft(store, draft), line, settings, progress)
    if answer.curve is not None:
        store.keep_curve(
            StoredCurve(
                product=draft.product.code,
                settings=settings,
                curve=answer.curve,
                product_version=draft.version,
                product_checksum=draft.checksum,
            ),
            by=by,
        )
    return answer


def curve_state(store: Store, draft: Draft, line: str) -> CurveState | None:
    """Return the last curve of a line and what has changed since; None: there is no curve."""
    opened = opened_draft(store, draft)
    kept = store.last_curve(draft.product.code, line)
    if kept is None:
        return None
    made_from = opened.made_from(kept.product_checksum)
    if made_from is None:
        gone = "The version the curve was made from is not there."
        return CurveState(kept=kept, differences=(gone,))
    if _arithmetic(made_from, line) == _arithmetic(draft.product, line):
        return CurveState(kept=kept)
    said = plan_differences(made_from, draft.product, line)
    return CurveState(kept=kept, differences=said or ("The work of the line has changed.",))


def plan_of_point(store: Store, draft: Draft, line: str, stations: int, *, by: Author) -> Plan:
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
    if any(f.code not in LIMIT_CODES for f in broken) or state.differences:
        raise StoreError(
            "The line has changed since the curve was computed, so its plans do not hold.",
            "Compute the curve again.",
        )
    asked = complete_settings(_of_point(settings, stations))
    result = _result(work, curve, replace(point, stations=stations), asked)
    if warned := limits_broken(line, broken):
        findings = (*findings, warned)
    if result.ending == Ending.OPTIMAL and not are_all_kept(work.limits, frozenset()):
        result = replace(result, ending=Ending.FOUND)
    name = f"{count(stations, 'station')}, shortest cycle, from the curve"
    return save_plan(
        store,
        draft,
        asked,
        with_told(draft.product, result, findings),
        by=by,
        name=name,
    )


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
        work.without_limits(),
        enumerate(point.plan, 1),
        limit=None,
        method=curve.method,
        most_stations=point.stations,
    )
    return replace(
        result,
        ending=Ending.OPTIMAL if point.is_proven else Ending.FOUND,
        engine=curve.engine,
        lower_bound=point.lower_bound,
        seed=asked.seed,
        cores=asked.cores or 1,
        runtime_s=curve.runtime_s,
    )


def _arithmetic(product: Product, line: str) -> tuple[object, ...] | None:
    """Return all that a curve depends on; None: the work of the line has errors."""
    work, _ = line_work(product, line)
    return None if work is None else (work.numbers, work.times, work.predecessors, work.ticks)
