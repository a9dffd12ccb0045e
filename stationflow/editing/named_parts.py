"""Fill the parts list with the parts that tasks name."""

from dataclasses import replace

from stationflow.model import Part, Product, Task
from stationflow.model.references import Thing, listed, mentions


def unlisted_parts(product: Product) -> tuple[str, ...]:
    """Return the part numbers that tasks name and the parts list does not hold."""
    known = {*listed(product, Thing.PART), ""}
    named = (
        mention.name.strip()
        for mention in mentions(product, Thing.PART)
        if isinstance(mention.records[0][0], Task)
    )
    return tuple(dict.fromkeys(number for number in named if number not in known))


def with_named_parts(product: Product) -> Product:
    """Return the product with a row in the parts list for each part that only tasks name.

    Their quantities stay open: nobody has entered them.
    """
    new = tuple(Part(number=number) for number in unlisted_parts(product))
    return replace(product, parts=(*product.parts, *new))
