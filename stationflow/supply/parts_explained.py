"""How much of each part goes into one product, opened and held against the parts list."""

from decimal import Decimal
from fractions import Fraction

from stationflow.model import Explained, Product
from stationflow.model.explanation import key_word
from stationflow.network.line_tree import line_tree
from stationflow.pace.formula import Value, Written, summed
from stationflow.supply.parts_list import plain_quantity, quantities_used
from stationflow.units import exact


def part_numbers(product: Product) -> tuple[Explained, ...]:
    """Return the quantity of each part in one product, opened, held against the parts list.

    Parts on a line that leads nowhere are left out.
    """
    used = quantities_used(product)
    listed = {part.number: part for part in product.parts}
    numbers = [*listed, *(number for number in used if number not in listed)]
    return tuple(_quantity(product, number, used[number]) for number in numbers if number in used)


def _quantity(product: Product, number: str, used: Decimal) -> Explained:
    part = product.part(number)
    unit = part.unit_label if part else "pcs"
    terms, tree = [], line_tree(product)
    for task in product.tasks:
        units = tree.units_per_product(task.line)
        fitted = sum((exact(u.quantity) for u in task.parts if u.part == number), Decimal(0))
        if fitted:
            times = "" if units == 1 else f" x {plain_quantity(units or Decimal(0))}"
            total = Fraction(fitted) * Fraction(units or 0)
            said = f"{plain_quantity(fitted)}{times}"
            terms.append(Value(total, said, note=f"task {task.number}"))
    worked = summed(terms, Written(places=6, unit=unit), "more tasks") if terms else ""
    check = ""
    if part is not None and part.quantity is not None:
        wanted = exact(part.quantity)
        said = "Agrees" if wanted == used else "Differs"
        check = f"{said}: the parts list says {plain_quantity(wanted)} {unit}."
    return Explained(
        name="quantity in one product",
        value=float(used),
        unit=unit,
        formula="quantity = sum over the tasks of quantity fitted x units of the task's line in "
        "one product",
        worked=worked or f"no task fits it: 0 {unit}",
        source="definition of the parts list",
        other="Units that replace damaged ones are not in it: they do not leave with the product.",
        key=f"part-{key_word(number)}-quantity",
        where=f"part {number}",
        check=check,
    )
