"""The store: products with all their versions, pictures and plans."""

from stationflow.storage.address import store_address
from stationflow.storage.plan_notes import PlanNote
from stationflow.storage.remembered_columns import RememberedColumns
from stationflow.storage.saves import Draft, Newest
from stationflow.storage.store import ProductRow, Store, open_store

__all__ = [
    "Draft",
    "Newest",
    "PlanNote",
    "ProductRow",
    "RememberedColumns",
    "Store",
    "open_store",
    "store_address",
]
