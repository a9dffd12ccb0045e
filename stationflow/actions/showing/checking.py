"""Check a product: every finding of every part, in the order of the job."""

from stationflow.actions.opening.opened import Opened
from stationflow.balancing.task_check import check_tasks
from stationflow.cards.selfcheck import check_cards
from stationflow.model import Finding, Product, by_severity
from stationflow.network.joins import check_lines
from stationflow.pace.takt import check_pace
from stationflow.supply.parts_list import check_parts


def check_product(product: Product) -> tuple[Finding, ...]:
    """Return all that should be known about a product, errors first."""
    findings = (
        *check_tasks(product),
        *check_lines(product),
        *check_pace(product),
        *check_parts(product),
        *check_cards(product),
    )
    return by_severity(findings)


def check_opened(opened: Opened) -> tuple[Finding, ...]:
    """Return every finding of what is opened: of reading it, and of the product."""
    of_product = () if opened.instance else check_product(opened.product)
    return by_severity((*opened.findings, *of_product))
