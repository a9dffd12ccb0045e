"""The connection to the database file, for reading and for writing."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import DBAPIError

from stationflow.errors import RightMissingError, StoreError
from stationflow.model import Author, Right

BUSY_MS = 10_000  # how long a save waits for another program's save


class Database:
    """A database that is read by anybody and written by those who may."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._writer = engine.execution_options(writing=True)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection for reading."""
        with kindly(), self._engine.connect() as connection:
            yield connection

    @contextmanager
    def writing(self, by: Author, right: Right = Right.PLAN) -> Iterator[Connection]:
        """Give a connection inside one transaction: all of it is written, or nothing."""
        if not by.may(right):
            raise RightMissingError(by.name, right)
        with kindly(), self._writer.begin() as connection:
            yield connection

    def close(self) -> None:
        """Close all connections."""
        self._engine.dispose()


@contextmanager
def kindly() -> Iterator[None]:
    """Say in a sentence what the database refused."""
    try:
        yield
    except DBAPIError as problem:
        raise StoreError(
            f"The store did not answer: {problem.orig}.",
            "Nothing was changed. Check that the disk is not full and the file is a store, "
            "then try again.",
        ) from problem


def open_engine(address: str) -> Engine:
    """Return an engine for an SQLite address, set for two programs at once.

    StoreError if the address is not one of an SQLite file, or its folder cannot be made.
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
