"""A product as a way out of what is impossible would have it."""

from stationflow.editing.two_editors import with_value
from stationflow.errors import StoreError
from stationflow.model import Product
from stationflow.model.changes.cell_places import path_in
from stationflow.model.way_out import WayOut


def product_with(product: Product, way: WayOut) -> Product:
    """Return the product with what a way out enters.

    StoreError if a record that it is about is not there any more.
    """
    try:
        for entry in way.entries:
            product = with_value(product, path_in(product, entry.place), entry.value)
    except LookupError as problem:
        raise StoreError(
            "What this way out changes is not there any more.", "Balance the line again."
        ) from problem
    return product
