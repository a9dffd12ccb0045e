"""Balance what is opened: a line of a product, or a published instance."""

from collections.abc import Iterator
from dataclasses import replace

from stationflow.actions.opening.opened import Opened
from stationflow.balancing.balance import balance, balance_product
from stationflow.balancing.explained.bound_reasons import why_not_less
from stationflow.balancing.impossible.explained_result import with_ways_out
from stationflow.balancing.plan_inputs import plan_inputs_checksum
from stationflow.balancing.progress import Progress
from stationflow.errors import NoLimitError
from stationflow.model import BalanceResult, BalanceSettings, Finding, Plan, by_severity, note


def balance_opened(
    opened: Opened, line: str, settings: BalanceSettings, progress: Progress | None = None
) -> BalanceResult:
    """Balance one line; without a limit, at the line's pace or the instance's own cycle time.

    NoLimitError if an instance has no cycle time and none is asked for.
    """
    if opened.instance is None:
        result = balance_product(opened.product, line, settings, progress)
        work, _ = opened.work(line)
        result = with_ways_out(work, result) if work else result
    else:
        if settings.limit is None and settings.stations is None:
            if opened.limit(line) is None:
                raise NoLimitError(opened.name)
            settings = replace(settings, limit=opened.limit(line))
        result = balance(opened.instance.work, settings, progress)
    said = (*opened.findings, *result.findings, *_same_plan(opened, result))
    return replace(result, findings=by_severity(said))


def _same_plan(opened: Opened, result: BalanceResult) -> Iterator[Finding]:
    """Yield that the product has this very plan already."""
    if opened.instance is not None or not result.has_plan:
        return
    product, plans = opened.product, opened.plans(result.line, archived=True)
    if not plans:
        return
    inputs = plan_inputs_checksum(product, result.line)
    made = Plan(product=product.code, result=result, inputs=inputs)
    for plan in reversed(plans):
        if plan.is_same(made):
            words = f"The same as {plan.label}: asked alike, and the same stations came out."
            yield note("same-plan", f"Line {result.line}", words)
            return


def why_of_result(opened: Opened, result: BalanceResult) -> str:
    """Return why no plan of a line can have less, in words; empty: nothing is proven."""
    work, _ = opened.work(result.line)
    return "" if work is None else why_not_less(work, result)
