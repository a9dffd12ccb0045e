"""Checks of what is entered about the whole line; what needs a plan is checked with the plan."""

from collections.abc import Iterator

from stationflow.model import Fault, FaultCount, Finding, Machine, Product
from stationflow.model.references import Thing, unknown_names

NAMED = (Thing.LINE, Thing.TASK, Thing.FAULT)


def check_flow(product: Product) -> tuple[Finding, ...]:
    """Return what is wrong with machines, faults and their tally."""
    return tuple(_unknown(product))


def _unknown(product: Product) -> Iterator[Finding]:
    for mention, finding in unknown_names(product, NAMED):
        if isinstance(mention.records[0][0], Machine | Fault | FaultCount):
            yield finding
