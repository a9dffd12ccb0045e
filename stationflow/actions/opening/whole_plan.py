"""The plans of all lines of a product together: those in force, or those of a file."""

from dataclasses import dataclass
from pathlib import Path

from stationflow.actions.opening.chosen_plan import choose_plan, read_given_plan
from stationflow.actions.opening.opened import Opened
from stationflow.files.plan_document import lines_of_document
from stationflow.model import Finding, Product, error
from stationflow.model.product_plan import LinePlan, ProductPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class GatheredPlan:
    """The plan of a product, and what speaks against it."""

    product: Product  # as it is now
    plan: ProductPlan
    findings: tuple[Finding, ...] = ()  # lines without a plan, plans out of date
    old: tuple[str, ...] = ()  # lines whose plan is out of date


def gathered_plan(opened: Opened, file: Path | None = None) -> GatheredPlan:
    """Return the plan of each line that has tasks, as it is judged today.

    `file`: a plan document of one line or of all; the lines it does not name, and without a file
    all lines, have their plan in force.
    """
    product = opened.product
    findings: list[Finding] = []
    plans: list[LinePlan] = []
    old: list[str] = []
    of_file = lines_of_document(file) if file else ()
    if file and not set(of_file) & {line.name for line in product.lines}:
        findings += read_given_plan(opened, None, file)[1]
    for line in product.lines:
        if line.bought_in or not product.tasks_of(line.name):
            continue
        chosen = choose_plan(opened, line.name, file if line.name in of_file else None)
        findings += [_how_to_begin(each, line.label) for each in chosen.findings]
        if chosen.state is not None and chosen.state.is_out_of_date:
            old.append(line.name)
        if chosen.plan is None or (chosen.product is not product and chosen.product != product):
            continue  # its tasks have errors now: what it was made from is not the product
        plan_id = chosen.plan.plan_id or None
        plans.append(LinePlan(line=line.name, result=chosen.plan.result, plan_id=plan_id))
    said = dict.fromkeys((*opened.findings, *findings))
    return GatheredPlan(
        product=product,
        plan=ProductPlan(lines=tuple(plans)),
        findings=tuple(said),
        old=tuple(old),
    )


def _how_to_begin(finding: Finding, label: str) -> Finding:
    """Say for a line without a plan what is to be done about it."""
    if finding.code != "no-plan":
        return finding
    return error("no-plan", finding.where, f"{label} has no plan in force, so it is left out.")
