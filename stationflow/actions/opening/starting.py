"""Open the store, and fill a new one with the demo products."""

from datetime import UTC, datetime
from functools import cache
from pathlib import Path

from stationflow.actions.products.product_upkeep import import_product
from stationflow.errors import ProductExistsError
from stationflow.model import Author
from stationflow.storage import Store, open_store, store_address

FIRST_DEMO = "F-100"
"""Code of the small demo product to begin with, the desk fan."""
DEMO_PRODUCTS = Path(__file__).parents[3] / "demo_products"


@cache
def open_store_at(address: str) -> Store:
    """Return the store at an address, opened once in this program; a new one gets the demos."""
    store = open_store(address)
    start(store, by=Author("Stationflow", datetime.now(UTC)))
    return store


def open_own_store() -> Store:
    """Return the store that ``STATIONFLOW_DATABASE`` names, or the user's own file."""
    return open_store_at(store_address())


def start(store: Store, *, by: Author) -> None:
    """Fill a store that has never held a product with the demo products."""
    if not store.is_read_only and not store.has_products():
        restore_demo_products(store, by=by)


def restore_demo_products(store: Store, *, by: Author) -> list[str]:
    """Copy in the demo products whose codes are not taken; return the codes copied."""
    copied = []
    for folder in sorted(DEMO_PRODUCTS.iterdir()):
        if (folder / "product.toml").is_file():
            try:
                copied.append(import_product(store, folder, by=by).draft.product.code)
            except ProductExistsError:  # two programs started at once, or it is there already
                continue
    return copied
