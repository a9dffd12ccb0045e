"""Check a product: every finding of every part, in the order of the job."""

from stationflow.balancing.precedence import check_tasks
from stationflow.cards.selfcheck import check_cards
from stationflow.model import Finding, Product, Severity
from stationflow.network.joins import check_lines
from stationflow.pace.takt import check_pace
from stationflow.supply.parts_list import check_parts

_ORDER = (Severity.ERROR, Severity.WARNING, Severity.NOTE)


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


def by_severity(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Return findings with errors first and repeated ones once."""
    return tuple(sorted(dict.fromkeys(findings), key=lambda f: _ORDER.index(f.severity)))
