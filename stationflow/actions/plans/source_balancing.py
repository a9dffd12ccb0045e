"""Check and balance what a command names."""

from dataclasses import replace

from stationflow.actions.opening.sources import Source
from stationflow.actions.showing.checking import check_product
from stationflow.balancing.balance import balance, balance_product
from stationflow.balancing.explained.bound_reasons import why_not_less
from stationflow.balancing.progress import Progress
from stationflow.balancing.work import line_work
from stationflow.errors import NoLimitError
from stationflow.model import MAIN_LINE, BalanceResult, BalanceSettings, Finding, by_severity


def lines_to_balance(source: Source, line: str | None, *, all_lines: bool = False) -> list[str]:
    """Return the names of the lines a command means: one, the main line, or all."""
    if source.product is None:
        return [line or MAIN_LINE]
    if all_lines:
        return [known.name for known in source.product.lines]
    main = source.product.main_line
    return [line or (main.name if main else MAIN_LINE)]


def balance_source(
    source: Source, line: str, settings: BalanceSettings, progress: Progress | None = None
) -> BalanceResult:
    """Balance one line of a source; without a limit, the source's own.

    Raises
    ------
    NoLimitError
        If an instance has no cycle time and none is asked for.
    """
    if source.product is not None:
        result = balance_product(source.product, line, settings, progress)
        return replace(result, findings=by_severity((*source.findings, *result.findings)))
    instance = source.instance
    assert instance is not None
    if settings.limit is None and settings.stations is None:
        if instance.cycle_time is None:
            raise NoLimitError(source.name)
        settings = replace(settings, limit=float(instance.cycle_time))
    result = balance(instance.work, settings, progress)
    return replace(result, findings=by_severity((*source.findings, *result.findings)))


def why_of_source(source: Source, result: BalanceResult) -> str:
    """Return why no plan of a line can have less, in words; empty: nothing is proven."""
    product, instance = source.product, source.instance
    if instance is not None:
        return why_not_less(instance.work, result)
    work, _ = line_work(product, result.line) if product else (None, ())
    return "" if work is None else why_not_less(work, result)


def check_source(source: Source) -> tuple[Finding, ...]:
    """Return every finding of a source."""
    if source.product is None:
        return source.findings
    return by_severity((*source.findings, *check_product(source.product)))
