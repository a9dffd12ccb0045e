"""The connection to the database file, for reading and for writing."""

from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from threading import local
from typing import Any

from sqlalchemy import URL, Connection, Engine, NullPool, create_engine, event, make_url
from sqlalchemy.exc import DBAPIError

from stationflow.errors import RightMissingError, StoreError
from stationflow.model import Author, Right
from stationflow.storage.store_file import BUSY_S, reading_connection, refused


class Database:
    """A database that is read by anybody and written by those who may.

    `notice`: what the engineer should know of how it was opened. `is_read_only`: every save is
    refused, because its file may only be read.
    """

    def __init__(self, engine: Engine, *, notice: str = "", is_read_only: bool = False) -> None:
        self.notice = notice
        self.is_read_only = is_read_only
        self._engine = engine
        self._writer = engine.execution_options(writing=True)
        self._begun = local()  # the connection of the transaction that this thread is in

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection for reading; within a transaction it reads what that has written."""
        if begun := getattr(self._begun, "connection", None):
            yield begun
            return
        with kindly(), self._engine.connect() as connection:
            yield connection

    @contextmanager
    def writing(self, by: Author, right: Right = Right.PLAN) -> Iterator[Connection]:
        """Give a connection inside one transaction: all of it is written, or nothing.

        What this thread writes within it by other writers of the store is part of it.
        """
        if not by.may(right):
            raise RightMissingError(by.name, right)
        if begun := getattr(self._begun, "connection", None):
            yield begun
            return
        with kindly(), self._writer.begin() as connection:
            self._begun.connection = connection
            try:
                yield connection
            finally:
                self._begun.connection = None

    def close(self) -> None:
        """Close all connections."""
        self._engine.dispose()


@contextmanager
def kindly() -> Iterator[None]:
    """Say in a sentence what the database refused."""
    try:
        yield
    except DBAPIError as problem:
        raise refused(problem.orig) from problem


def store_path(address: str) -> Path | None:
    """Return the file that an address names; None: the store is in memory.

    StoreError if the address is not one of an SQLite file.
    """
    database = _url(address).database
    return Path(database) if database and database != ":memory:" else None


def _url(address: str) -> URL:
    hint = "Write sqlite:////full/path/stationflow.db, or unset the variable."
    try:
        url = make_url(address)
    except Exception as problem:
        said = f"STATIONFLOW_DATABASE is {address!r}, which is not a database address."
        raise StoreError(said, hint) from problem
    if url.get_backend_name() != "sqlite":
        named = url.get_backend_name()
        raise StoreError(f"STATIONFLOW_DATABASE names a {named} database.", hint)
    return url


def open_engine(address: str) -> Engine:
    """Return an engine for an SQLite address, set for two programs at once."""
    engine = create_engine(_url(address))
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def read_engine(path: Path) -> Engine:
    """Return an engine for a file that is only read, looked at anew each time."""
    engine = create_engine(
        "sqlite://", creator=partial(reading_connection, path), poolclass=NullPool
    )
    event.listen(engine, "connect", _leave_transactions)
    event.listen(engine, "begin", _begin)
    return engine


def _leave_transactions(connection: Any, _record: Any) -> None:
    """Leave transactions to `_begin`."""
    connection.isolation_level = None


def _prepare(connection: Any, _record: Any) -> None:
    """Let readers and one writer work at once."""
    _leave_transactions(connection, _record)
    cursor = connection.cursor()
    cursor.execute(f"PRAGMA busy_timeout = {BUSY_S * 1000:.0f}")
    cursor.execute("PRAGMA journal_mode = WAL")
    cursor.execute("PRAGMA synchronous = FULL")  # a save that was told is on the disk
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.close()


def _begin(connection: Connection) -> None:
    """Take the write lock at the start, so that what was checked still holds when written."""
    writing = connection.get_execution_options().get("writing", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")
