"""Where the store is."""

import os
from pathlib import Path

VARIABLE = "STATIONFLOW_DATABASE"


def store_address() -> str:
    """Return the address of the store.

    The environment variable ``STATIONFLOW_DATABASE`` names it; unset, it is an
    SQLite file in the user's data folder.
    """
    if address := os.environ.get(VARIABLE):
        return address
    from platformdirs import user_data_path

    return f"sqlite:///{Path(user_data_path('stationflow', appauthor=False)) / 'stationflow.db'}"
