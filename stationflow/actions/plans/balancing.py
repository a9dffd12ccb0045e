"""Balance a line of a product at its own pace."""

from dataclasses import replace

from stationflow.actions.showing.checking import by_severity
from stationflow.balancing.balance import Progress, balance, refused
from stationflow.balancing.limits_kept import limits_not_kept, model_overloads
from stationflow.balancing.work import LineWork, line_work
from stationflow.model import BalanceResult, BalanceSettings, Finding, Product, has_errors
from stationflow.network.joins import check_lines
from stationflow.pace.takt import LinePace, line_pace


def balance_product(
    product: Product,
    line: str,
    settings: BalanceSettings,
    progress: Progress | None = None,
) -> BalanceResult:
    """Balance one line of a product.

    With neither takt nor stations in `settings`, the demand sets the limit: the
    station time of the line's own pace.

    Parameters
    ----------
    product
        The product.
    line
        Name of the line.
    settings
        What is asked.
    progress
        Told about better plans, and asked whether to stop.

    Returns
    -------
    BalanceResult
        With data errors: `ending` None and the findings say what to cure.
    """
    pace = None
    is_at_pace = settings.takt is None and settings.stations is None
    if is_at_pace and product.line(line) is not None:  # an unknown line is named below, once
        pace = line_pace(product, line)
        if pace.station_time_s is not None:
            settings = replace(settings, takt=pace.station_time_s)
    work, findings = work_of(product, line)
    findings = (*findings, *(pace.findings if pace else ()))
    if work is None or has_errors(findings) or (is_at_pace and settings.takt is None):
        return _with_pace(refused(line, settings, by_severity(findings)), pace)
    result = balance(work, settings, progress, by_demand=is_at_pace)
    warned = limits_not_kept(product, line)
    return replace(
        _with_pace(result, pace),
        findings=by_severity(
            (
                *result.findings,
                *findings,
                *((warned,) if warned else ()),
                *model_overloads(product, result),
            )
        ),
    )


def work_of(product: Product, line: str) -> tuple[LineWork | None, tuple[Finding, ...]]:
    """Return the work of a line ready to balance, and what should be known about it.

    Errors on other lines do not count: each line is balanced by itself.
    """
    work, findings = line_work(product, line)
    places = {f"Line {line}", *(f"Task {task.number}" for task in product.tasks_of(line))}
    said = {finding.code for finding in findings}
    joins = tuple(f for f in check_lines(product) if f.where in places and f.code not in said)
    return (None if has_errors(joins) else work), (*findings, *joins)


def _with_pace(result: BalanceResult, pace: LinePace | None) -> BalanceResult:
    """Return the result with the takt it was made for."""
    if pace is None:
        return result
    return replace(result, takt_time=pace.takt_time_s, operating_takt=pace.operating_takt_s)
