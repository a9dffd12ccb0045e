"""Checks of the parts that tasks fit against the parts list."""

from collections import Counter
from collections.abc import Iterator
from decimal import Decimal

from stationflow.model import Finding, Product, Task, error, warning
from stationflow.model.references import Thing, mentions, unknown_names
from stationflow.network.line_tree import line_tree
from stationflow.units import exact


def check_parts(product: Product) -> tuple[Finding, ...]:
    """Return what is wrong with the parts: unknown, doubled, or used in another quantity.

    A part fitted on a feeder counts as often as the feeder's unit goes into one product. Parts
    whose quantity is not entered are not compared.
    """
    return (
        *_doubled(product),
        *(finding for _, finding in unknown_names(product, [Thing.PART])),
        *_quantities(product),
    )


def quantities_used(product: Product) -> dict[str, Decimal]:
    """Return how much of each part the tasks fit into one product, by part number.

    A part that is also fitted on a line whose chain to the main line is broken is left out: its
    quantity is not known. Decimals, so that 0.1 m three times is 0.3 m.
    """
    tree = line_tree(product)
    per_line = {name: tree.units_per_product(name) for name in {t.line for t in product.tasks}}
    used: dict[str, Decimal] = {}
    unknown: set[str] = set()
    for task in product.tasks:
        units = per_line[task.line]
        for use in task.parts:
            if units is None or not exact(use.quantity).is_finite():
                unknown.add(use.part)
            else:
                used[use.part] = used.get(use.part, Decimal(0)) + exact(use.quantity) * units
    return {part: quantity for part, quantity in used.items() if part not in unknown}


def fitting_tasks(product: Product) -> dict[str, list[str]]:
    """Return the numbers of the tasks that fit each part, in listed order."""
    tasks: dict[str, dict[int, str]] = {}
    for mention in mentions(product, Thing.PART):
        record, place = mention.records[0]
        if isinstance(record, Task):
            tasks.setdefault(mention.name, {})[place] = record.number
    return {part: list(numbers.values()) for part, numbers in tasks.items()}


def _doubled(product: Product) -> Iterator[Finding]:
    for number, count in Counter(part.number for part in product.parts).items():
        if count > 1:
            yield error(
                "duplicate-part",
                f"Part {number}",
                f"{count} rows of the parts list have the number {number!r}.",
            )


def _quantities(product: Product) -> Iterator[Finding]:
    """Name the parts that the tasks fit more or less often than the parts list says."""
    used = quantities_used(product)
    fitted_by = fitting_tasks(product)
    counts = Counter(part.number for part in product.parts)
    for part in product.parts:
        if part.quantity is None or counts[part.number] > 1:
            continue
        tasks = fitted_by.get(part.number, [])
        if tasks and part.number not in used:
            continue  # on a line that leads nowhere, which is a finding of its own
        quantity = used.get(part.number, Decimal(0))
        if quantity != exact(part.quantity):
            some = ", ".join(tasks[:6]) + (" ..." if len(tasks) > 6 else "")
            by = (
                f"the tasks fit {plain_quantity(quantity)} {part.unit_label} ({some})"
                if tasks
                else "no task fits it"
            )
            yield warning(
                "part-quantity-differs",
                f"Part {part.number}",
                f"The parts list says {plain_quantity(exact(part.quantity))} {part.unit_label} "
                f"in one product, {by}.",
            )


def plain_quantity(quantity: Decimal) -> str:
    """Return a quantity without trailing zeros."""
    text = f"{quantity:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
