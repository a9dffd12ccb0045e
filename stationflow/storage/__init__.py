"""The store: products with all their versions, pictures and plans."""

from stationflow.storage.address import store_address
from stationflow.storage.remembered_columns import RememberedColumns
from stationflow.storage.saves import Draft, Newest
from stationflow.storage.store import Store, open_store
from stationflow.storage.stored_products import ProductRow

__all__ = [
    "Draft",
    "Newest",
    "ProductRow",
    "RememberedColumns",
    "Store",
    "open_store",
    "store_address",
]
