"""Check a product: every finding of every part, in the order of the job."""

from stationflow.balancing.precedence import check_tasks
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
