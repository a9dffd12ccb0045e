"""Compare plans: stored ones, from files, or made now by several methods."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from stationflow.actions.opening.given_plans import read_given_plan
from stationflow.actions.opening.sources import Source
from stationflow.actions.plans.plan_upkeep import ListedPlan
from stationflow.actions.plans.source_balancing import balance_source, lines_to_balance
from stationflow.balancing.compare.comparison import (
    Figure,
    LabelledPlan,
    TimeWords,
)
from stationflow.balancing.compare.plans_compared import Comparison, compare
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    Goal,
    Plan,
    Product,
    has_errors,
)
from stationflow.units import TimeUnit, show_seconds


def compare_stored(plans: Sequence[ListedPlan], base: int, product: Product) -> Comparison:
    """Put stored plans of a line side by side, with version and state of each.

    Parameters
    ----------
    plans
        Plans of one line.
    base
        Position of the plan the others are measured against.
    product
        The product as it is now.
    """
    labelled = [LabelledPlan(label=f"Plan {each.plan.plan_id}", plan=each.plan) for each in plans]
    found = compare(
        labelled, base, time_words(product.time_unit), [each.state.made_from for each in plans]
    )
    rows = (
        Figure(name="name", texts=tuple(each.plan.name for each in plans)),
        Figure(name="state", texts=tuple(_state(each) for each in plans)),
        Figure(
            name="product version", texts=tuple(str(each.plan.product_version) for each in plans)
        ),
        Figure(
            name="up to date",
            texts=tuple("no, out of date" if e.state.is_out_of_date else "yes" for e in plans),
        ),
        Figure(
            name="holds as the product is now",
            texts=tuple("no" if has_errors(e.state.verdict) else "yes" for e in plans),
        ),
    )
    return replace(found, figures=(*rows[:2], *found.figures, *rows[2:]))


def compare_methods(
    source: Source, line: str | None, settings: Sequence[BalanceSettings]
) -> Comparison:
    """Balance one line by several methods and put what came out side by side."""
    name = lines_to_balance(source, line)[0]
    results = [balance_source(source, name, each) for each in settings]
    plans = [
        LabelledPlan(
            label=each.method, plan=Plan(product=source.name, settings=each, result=result)
        )
        for each, result in zip(settings, results, strict=True)
    ]
    return compare(plans, 0, _source_words(source))


def compare_plans(source: Source, files: Sequence[Path]) -> Comparison:
    """Put the plans of several files side by side, measured on the source's times.

    A plan that does not hold is shown without stations, and its findings say why.
    """
    compared = [LabelledPlan(label=file.stem, plan=_given(source, file)) for file in files]
    return compare(compared, 0, _source_words(source))


def _given(source: Source, file: Path) -> Plan:
    """Return the plan of a file with what is proven about it."""
    plan, findings = read_given_plan(source, None, file)
    if plan is not None and not has_errors(findings):
        return plan
    result = BalanceResult(
        line=plan.line if plan else "",
        goal=Goal.FEASIBLE,
        ending=None,
        method="given",
        findings=tuple(findings),
    )
    return Plan(product=source.name, settings=BalanceSettings(), result=result)


def time_words(unit: TimeUnit) -> TimeWords:
    """Return what writes times of a product, kept in seconds, in its unit."""
    return lambda time_s: show_seconds(time_s, unit)


def _source_words(source: Source) -> TimeWords:
    """Return what writes times of a source: an instance has no unit."""
    if source.product is not None:
        return time_words(source.product.time_unit)
    return lambda time: f"{time:.10g}"


def _state(listed: ListedPlan) -> str:
    """Return whether a plan is in force."""
    if listed.plan.in_force:
        return "in force"
    return "archived" if listed.archived else "kept"
