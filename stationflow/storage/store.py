"""The store: all that is kept in one database. Nothing of it is overwritten.

Every save adds a row. Saves of one author within a minute carry the same version number,
so that a version is a sitting of work and not a keystroke; a plan names the exact save by
its checksum.
"""

from stationflow.errors import StoreError, UnreadableError
from stationflow.storage.database import kindly, open_engine, read_engine, store_path
from stationflow.storage.remembered_columns import ColumnMemory
from stationflow.storage.store_file import look_into, make_private
from stationflow.storage.store_tables import MIGRATIONS, metadata, migrate
from stationflow.storage.stored_curves import StoredCurves
from stationflow.storage.stored_hand_work import StoredHandWork
from stationflow.storage.stored_plans import StoredPlans
from stationflow.storage.stored_products import StoredProducts


class Store(StoredProducts, StoredPlans, StoredHandWork, StoredCurves, ColumnMemory):
    """The store behind one address. Make one with `open_store`."""

    def damage(self, code: str) -> tuple[UnreadableError, ...]:
        """Return what is kept of a product and cannot be read; the rest opens without it."""
        return (
            *self.unreadable_plans(code),
            *self.unreadable_hand_work(code),
            *self.unreadable_curves(code),
        )


def open_store(address: str) -> Store:
    """Open the store at an address, making or bringing up to date its tables.

    A file that may only be read is opened so, and every save is refused.

    StoreError if the database cannot be opened or is not a store: it is left as it is.
    """
    path = store_path(address)
    notice = ""
    if path is not None:
        found = look_into(path, tables=metadata.tables, steps=MIGRATIONS)
        if path.exists() and not found.may_be_written:
            if found.steps < MIGRATIONS.keys():
                raise StoreError(
                    f"The store {path} must be brought up to date, and it can only be read.",
                    "Nothing was changed. Copy it to a folder that may be written, and name that "
                    "copy in STATIONFLOW_DATABASE.",
                )
            return Store(read_engine(path), is_read_only=True)
        if found.is_empty:
            notice = f"The file {path} was empty, without any product; a new store is made in it."
        make_private(path)
    engine = open_engine(address)
    with kindly(), engine.execution_options(writing=True).begin() as connection:
        migrate(connection)
    return Store(engine, notice=notice)
