"""Check a product: every finding of every part, in the order of the job."""

from collections.abc import Iterator

from stationflow.actions.opening.opened import Opened
from stationflow.actions.opening.plan_states import plan_state
from stationflow.actions.opening.whole_plan import gathered_plan
from stationflow.balancing.task_check import check_tasks
from stationflow.cards.contents.selfcheck import check_cards, check_stored_pictures
from stationflow.line.entered_checks import check_flow
from stationflow.line.whole_line import whole_line
from stationflow.model import Finding, Product, by_severity
from stationflow.network.joins import check_lines
from stationflow.pace.takt import check_pace, line_pace
from stationflow.people.lifts_of_line import check_lifts
from stationflow.supply.parts_list import check_parts


def check_product(product: Product) -> tuple[Finding, ...]:
    """Return all that should be known about a product, errors first."""
    findings = (
        *(each.finding for each in product.unread),
        *check_tasks(product),
        *check_lines(product),
        *check_pace(product),
        *_lifts(product),
        *check_parts(product),
        *check_flow(product),
        *check_cards(product),
    )
    return by_severity(findings)


def _lifts(product: Product) -> Iterator[Finding]:
    """Yield the lifts that are too much at the pace of their line."""
    for line in product.lines:
        yield from check_lifts(product, line.name, line_pace(product, line.name).operating_takt_s)


def check_opened(opened: Opened) -> tuple[Finding, ...]:
    """Return every finding of what is opened: of reading it, the product, and plans in force."""
    if opened.instance:
        return by_severity(opened.findings)
    product = opened.product
    lost = check_stored_pictures(product, opened.pictures(product))
    said = (*opened.findings, *check_product(product), *lost, *_of_plans(opened))
    return by_severity(said)


def _of_plans(opened: Opened) -> Iterator[Finding]:
    """Yield what speaks today against the plans in force, one by one and together."""
    for line in opened.lines:
        if (plan := opened.plan_in_force(line)) is not None:
            yield from plan_state(opened, plan).findings
    plans = gathered_plan(opened).plan
    if plans.lines:
        found = whole_line(opened.product, plans).findings
        yield from (finding for finding in found if finding.code != "no-plan")
