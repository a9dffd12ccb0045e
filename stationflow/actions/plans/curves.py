"""The stations-against-cycle curve of a line: made, kept, and turned into plans."""

from dataclasses import dataclass, replace

from stationflow.actions.opening.opened import Opened, opened_draft
from stationflow.actions.plans.plan_keeping import save_plan
from stationflow.balancing.balance import complete_settings, with_told
from stationflow.balancing.balance_check import check_settings, work_findings
from stationflow.balancing.curve.cycle_curve import cycle_curve
from stationflow.balancing.given_stations import GivenStation, given_result
from stationflow.balancing.limits.clashes import find_clash
from stationflow.balancing.limits.contraction import contracted
from stationflow.balancing.limits.forms import ALL_FORMS
from stationflow.balancing.limits_findings import are_all_kept, limits_not_kept
from stationflow.balancing.plan_inputs import curve_differences, curve_inputs_checksum
from stationflow.balancing.problem import balance_problem
from stationflow.balancing.progress import Progress
from stationflow.balancing.time_words import count
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork, line_work
from stationflow.errors import StoreError
from stationflow.model import (
    Author,
    BalanceResult,
    BalanceSettings,
    CurvePoint,
    CurveSettings,
    CycleCurve,
    Effort,
    Ending,
    Finding,
    Plan,
    StoredCurve,
    by_severity,
    error,
    has_errors,
    warning,
)
from stationflow.storage import Draft, Store


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveAnswer:
    """The curve of a line, and what demand asks of it."""

    line: str  # name of the line
    curve: CycleCurve | None  # the curve; None: the findings say why there is none
    # limit of a station as demand sets it, in the time unit of the curve; None: not set
    limit: float | None
    findings: tuple[Finding, ...] = ()  # what should be known about the line


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveState:
    """The last curve of a line and how it stands to the product as it is now."""

    kept: StoredCurve  # the curve with what was asked
    # what differs in the work of the line now, in words; empty: the curve holds
    differences: tuple[str, ...] = ()


def curve_problems(settings: CurveSettings) -> tuple[str, ...]:
    """Return what is wrong with what a curve is asked for; empty: nothing."""
    problems = tuple(check_settings(_of_point(settings, 1)))
    if settings.seconds_each is not None and not settings.seconds_each > 0:
        said = f"The time limit of one point is {settings.seconds_each:g} s; give more than 0."
        problems = (*problems, said)
    return problems


def curve_of(
    opened: Opened, line: str, settings: CurveSettings, progress: Progress | None = None
) -> CurveAnswer:
    """Return the curve of one line; `progress` hears of every point and may stop."""
    work, findings = opened.work(line)
    findings = (*findings, *(work_findings(work) if work else ()))
    is_stopped = work is None or has_errors(findings)
    findings = (*opened.findings, *findings)
    if work is None or is_stopped:
        return CurveAnswer(line=line, curve=None, limit=None, findings=by_severity(findings))
    limit = opened.limit(line)
    curve = cycle_curve(work, settings, progress, near=limit)
    if curve.points:
        warned = None if opened.instance else limits_not_kept(opened.product, line, settings.method)
        told = by_severity((*findings, *((warned,) if warned else ())))
        return CurveAnswer(line=line, curve=curve, limit=limit, findings=told)
    clash = find_clash(contracted(balance_problem(work)), None)
    said = warning("nothing-found", f"Line {line}", "No plan was found that keeps the limits.")
    if clash:
        message = f"These cannot all hold: {'; '.join(clash)}."
        said = error("limits-clash", f"Line {line}", message)
    return CurveAnswer(line=line, curve=None, limit=limit, findings=by_severity((*findings, said)))


def curve_and_keep(
    store: Store,
    draft: Draft,
    line: str,
    settings: CurveSettings,
    *,
    by: Author,
    progress: Progress | None = None,
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
                inputs=curve_inputs_checksum(draft.product, line),
            ),
            by=by,
        )
    return answer


def curve_state(opened: Opened, line: str) -> CurveState | None:
    """Return the last curve of a line and what has changed since; None: there is no curve."""
    kept = opened.last_curve(line)
    if kept is None:
        return None
    work = opened.work(line)[0]
    if work and not kept.curve.keeps_limits and not are_all_kept(work.limits, frozenset()):
        return CurveState(kept=kept, differences=("It was made without the limits of the line.",))
    if kept.inputs and kept.inputs == curve_inputs_checksum(opened.product, line):
        return CurveState(kept=kept)
    made_from = opened.made_from(kept.product_checksum)
    if made_from is None:
        gone = "The version the curve was made from is not there."
        return CurveState(kept=kept, differences=(gone,))
    said = curve_differences(made_from, opened.product, line)
    return CurveState(kept=kept, differences=said)


def plan_of_point(store: Store, draft: Draft, line: str, stations: int, *, by: Author) -> Plan:
    """Store the plan of one point of the line's last curve, as if it had been asked for.

    The assignment is the one found with the curve; nothing is searched again. It is put
    in force when the line has no plan in force yet.

    `stations`: how many stations are allowed; beyond the end of the curve it stays flat.
    StoreError if there is no curve, or the plan does not hold as the product is now.
    """
    state = curve_state(opened_draft(store, draft), line)
    work, findings = line_work(draft.product, line)
    if state is None or work is None:
        raise StoreError("There is no curve to take the plan from.", "Compute the curve first.")
    curve, settings = state.kept.curve, state.kept.settings
    point = curve.at(stations)
    if point is None:
        raise StoreError(
            f"No plan of {count(stations, 'station')} is known that keeps the limits.",
            f"Take {count(curve.first, 'station')} or more.",
        )
    broken = verify(work, point.plan, limit=point.cycle, most_stations=stations)
    if broken or state.differences:
        raise StoreError(
            "The line has changed since the curve was computed, so its plans do not hold.",
            "Compute the curve again.",
        )
    asked = complete_settings(_of_point(settings, stations))
    result = _result(work, curve, replace(point, stations=stations), asked)
    if result.ending == Ending.OPTIMAL and not are_all_kept(work.limits, ALL_FORMS):
        result = replace(result, proof=replace(result.proof, ending=Ending.FOUND))
    name = f"{count(stations, 'station')}, shortest cycle, from the curve"
    return save_plan(store, draft, with_told(draft.product, result, findings), by=by, name=name)


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
        (GivenStation(number, tasks) for number, tasks in enumerate(point.plan, 1)),
        limit=None,
        asked=asked,
        effort=Effort(engine=curve.engine, runtime_s=curve.runtime_s),
    )
    return replace(
        result,
        proof=replace(
            result.proof,
            ending=Ending.OPTIMAL if point.is_proven else Ending.FOUND,
            lower_bound=point.lower_bound,
        ),
    )
