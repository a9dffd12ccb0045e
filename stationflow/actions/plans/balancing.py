"""Balance a line of a product at its own pace."""

from dataclasses import replace

from stationflow.actions.showing.checking import by_severity
from stationflow.balancing.balance import balance, named, refused
from stationflow.balancing.progress import Progress
from stationflow.balancing.work import LineWork, line_work
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    DemandPace,
    Finding,
    Product,
    has_errors,
)
from stationflow.network.joins import check_lines
from stationflow.pace.takt import LinePace, line_pace


def balance_product(
    product: Product,
    line: str,
    settings: BalanceSettings,
    progress: Progress | None = None,
) -> BalanceResult:
    """Balance one line of a product.

    With neither limit nor stations in `settings`, the demand sets the limit: the
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
    pace = DemandPace()
    is_at_pace = settings.limit is None and settings.stations is None
    work, findings = work_of(product, line)
    if is_at_pace and product.line(line) is not None:
        of_line = line_pace(product, line)
        pace = demand_pace(of_line)
        findings = (*findings, *of_line.findings)
    if work is None or has_errors(findings) or (is_at_pace and pace.station_time is None):
        return refused(line, settings, by_severity(findings), pace)
    result = named(product, balance(work, settings, progress, findings, pace=pace))
    return replace(result, findings=by_severity(result.findings))


def demand_pace(pace: LinePace) -> DemandPace:
    """Return the pace of a line as a plan keeps it."""
    return DemandPace(
        takt_time=pace.takt_time_s,
        operating_takt=pace.operating_takt_s,
        station_time=pace.station_time_s,
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
