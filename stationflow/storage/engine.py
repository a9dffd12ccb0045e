"""The connection to the database file."""

from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, make_url

from stationflow.errors import StoreError

BUSY_MS = 10_000  # how long a save waits for another program's save


def open_engine(address: str) -> Engine:
    """Return an engine for an SQLite address, set for two programs at once.

    Raises
    ------
    StoreError
        If the address is not one of an SQLite file, or its folder cannot be made.
    """
    try:
        url = make_url(address)
    except Exception as problem:
        raise StoreError(
            f"STATIONFLOW_DATABASE is {address!r}, which is not a database address.",
            "Write sqlite:////full/path/stationflow.db, or unset the variable.",
        ) from problem
    if url.get_backend_name() != "sqlite":
        raise StoreError(
            f"STATIONFLOW_DATABASE names a {url.get_backend_name()} database.",
            "Write sqlite:////full/path/stationflow.db, or unset the variable.",
        )
    if url.database and url.database != ":memory:":
        try:
            Path(url.database).parent.mkdir(parents=True, exist_ok=True)
        except OSError as problem:
            raise StoreError(
                f"The folder of the store {url.database} cannot be made: {problem.strerror}.",
                "Choose another folder in STATIONFLOW_DATABASE.",
            ) from problem
    engine = create_engine(url)
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _prepare(connection: Any, _record: Any) -> None:
    """Let readers and one writer work at once, and leave transactions to `_begin`."""
    connection.isolation_level = None
    cursor = connection.cursor()
    cursor.execute(f"PRAGMA busy_timeout = {BUSY_MS}")
    cursor.execute("PRAGMA journal_mode = WAL")
    cursor.execute("PRAGMA synchronous = FULL")  # a save that was told is on the disk
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.close()


def _begin(connection: Connection) -> None:
    """Take the write lock at the start, so that what was checked still holds when written."""
    writing = connection.get_execution_options().get("writing", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")
