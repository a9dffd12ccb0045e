"""What was not read and the figures of the whole line rest on: they are left out."""

from collections.abc import Sequence

from stationflow.model import Finding, Product
from stationflow.model.unread import Use

OF_LINE = (Use.FLOW, Use.WORK, Use.PACE)
OF_ALL_LINES = (*OF_LINE, Use.OUTPUT)


def is_left_out(product: Product, line: str) -> bool:
    """Return whether something was not read that the figures of a line rest on."""
    return bool(product.stopped([line], *OF_LINE))


def output_left_out(product: Product) -> tuple[Finding, ...]:
    """Return what was not read and the output of all lines together rests on."""
    return product.stopped([line.name for line in product.lines], *OF_ALL_LINES)


def all_left_out(product: Product) -> tuple[Finding, ...]:
    """Return what was not read and any figure of the whole line rests on."""
    lines = [line.name for line in product.lines]
    return product.stopped(lines, *OF_ALL_LINES, Use.FAULTS, Use.DROPS, Use.COSTS)


def not_read_words(not_read: Sequence[Finding]) -> str:
    """Return what was not read in a sentence."""
    more = f" And {len(not_read) - 1} more." if len(not_read) > 1 else ""
    return f"{not_read[0].where}: {not_read[0].message}{more}"
