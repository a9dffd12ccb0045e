"""The store: all that is kept in one database. Nothing of it is overwritten.

Every save adds a row. Saves of one author within a minute carry the same version number,
so that a version is a sitting of work and not a keystroke; a plan names the exact save by
its checksum.
"""

from stationflow.storage.database import kindly, open_engine
from stationflow.storage.remembered_columns import ColumnMemory
from stationflow.storage.store_tables import migrate
from stationflow.storage.stored_curves import StoredCurves
from stationflow.storage.stored_plans import StoredPlans
from stationflow.storage.stored_products import StoredProducts


class Store(StoredProducts, StoredPlans, StoredCurves, ColumnMemory):
    """The store behind one address. Make one with `open_store`."""


def open_store(address: str) -> Store:
    """Open the store at an address, making or bringing up to date its tables.

    StoreError if the database cannot be opened or is not a store.
    """
    engine = open_engine(address)
    with kindly(), engine.execution_options(writing=True).begin() as connection:
        migrate(connection)
    return Store(engine)
