"""Compare plans: stored ones, from files, or made now by several methods."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from stationflow.actions.opening.chosen_plan import read_given_plan
from stationflow.actions.opening.opened import Opened
from stationflow.actions.opening.plan_states import PlanState
from stationflow.actions.plans.opened_balancing import balance_opened
from stationflow.balancing.compare.comparison import SAID, Figure, LabelledPlan, TimeWords
from stationflow.balancing.compare.plans_compared import Comparison, compare
from stationflow.balancing.given_stations import GIVEN
from stationflow.balancing.time_words import count
from stationflow.model import BalanceResult, BalanceSettings, Plan, Product, Proof, has_errors
from stationflow.model.schema.cells import capital
from stationflow.units import TimeUnit, show_seconds


def plan_labels(plans: Sequence[PlanState]) -> dict[int, str]:
    """Return what plans are called side by side, by number: "Exact, 7 stations".

    Those of the same words have their number too.
    """
    said = [(each.plan, _method_and_stations(each.plan.result)) for each in plans]
    held = Counter(words for _, words in said)
    return {
        plan.plan_id: f"{words} (plan {plan.number})" if held[words] > 1 else words
        for plan, words in said
    }


def _method_and_stations(result: BalanceResult) -> str:
    method = SAID["method"](result)
    return f"{capital(method)}, {count(len(result.stations), 'station')}"


def compare_stored(
    plans: Sequence[PlanState],
    base: int,
    product: Product,
    labels: Mapping[int, str] | None = None,
) -> Comparison:
    """Put stored plans of a line side by side, with version and state of each.

    `plans`: plans of one line. `base`: position of the plan the others are measured against.
    `labels`: what the plans are called, by number; None: as `plan_labels` says of these alone.
    """
    named = plan_labels(plans) if labels is None else labels
    labelled = [
        LabelledPlan(label=named[each.plan.plan_id], plan=each.judged, holds=each.holds)
        for each in plans
    ]
    found = compare(
        labelled, base, time_words(product.time_unit), [each.made_from for each in plans]
    )
    said = {
        "name": [each.plan.name for each in plans],
        "state": [_state(each.plan) for each in plans],
        "product version": [str(each.plan.product_version) for each in plans],
        "up to date": ["no, out of date" if each.is_out_of_date else "yes" for each in plans],
        "holds as the product is now": ["yes" if each.holds else "no" for each in plans],
    }
    if any(each.is_out_of_date for each in plans):
        said["made for"] = [e.made_for if e.is_out_of_date else "as it is today" for e in plans]
    rows = [Figure(name=name, texts=tuple(texts)) for name, texts in said.items()]
    return replace(found, figures=(*rows[:2], *found.figures, *rows[2:]))


def compare_methods(
    opened: Opened, line: str | None, settings: Sequence[BalanceSettings]
) -> Comparison:
    """Balance one line by several methods and put what came out side by side."""
    name = opened.line(line)
    results = [balance_opened(opened, name, each) for each in settings]
    plans = [
        LabelledPlan(label=result.method, plan=Plan(product=opened.name, result=result))
        for result in results
    ]
    return compare(plans, 0, _words(opened))


def compare_plans(opened: Opened, line: str | None, files: Sequence[Path]) -> Comparison:
    """Put the plans of several files side by side, measured on the source's times.

    A plan that does not hold is shown without stations, and its findings say why.
    """
    compared = [LabelledPlan(label=file.stem, plan=_given(opened, line, file)) for file in files]
    return compare(compared, 0, _words(opened))


def _given(opened: Opened, line: str | None, file: Path) -> Plan:
    """Return the plan of a file with what is proven about it."""
    plan, findings = read_given_plan(opened, line, file)
    if plan is not None and not has_errors(findings):
        return plan
    result = plan.result if plan else BalanceResult(line="", asked=BalanceSettings(method=GIVEN))
    bare = replace(result, assignment=None, proof=Proof(), findings=tuple(findings))
    return Plan(product=opened.name, result=bare)


def time_words(unit: TimeUnit) -> TimeWords:
    """Return what writes times of a product, kept in seconds, in its unit."""
    return lambda time_s: show_seconds(time_s, unit)


def _words(opened: Opened) -> TimeWords:
    """Return what writes times: an instance has no unit."""
    unit = opened.unit
    return time_words(unit) if isinstance(unit, TimeUnit) else lambda time: f"{time:.10g}"


def _state(plan: Plan) -> str:
    """Return whether a plan is in force."""
    if plan.in_force:
        return "in force"
    return "archived" if plan.archived else "kept"
