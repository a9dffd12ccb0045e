"""The file of a store: whether it is one, who may read it, and opening it to read only."""

import os
import sqlite3
import stat
from collections.abc import Collection
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from stationflow.errors import StoreError

BUSY_S = 10.0  # how long one program waits for another's save
PRIVATE = 0o600
BESIDE = ("", "-wal", "-shm")  # what the names of a store's files end in
ANOTHER = "Name another file in STATIONFLOW_DATABASE, or unset it to use the usual one."


@dataclass(frozen=True, slots=True)
class StoreFile:
    """What was found where a store should be."""

    path: Path
    is_empty: bool = False  # whether a file is there that holds nothing
    steps: frozenset[str] = frozenset()  # the migrations that have run in it

    @property
    def may_be_written(self) -> bool:
        """Whether it, and what SQLite keeps beside it, may be written."""
        return all(os.access(each, os.W_OK) for each in (self.path, self.path.parent))


def look_into(path: Path, *, tables: Collection[str], steps: Collection[str]) -> StoreFile:
    """Look at a file without changing it.

    StoreError if it is no store of these tables, or one that a newer Stationflow has changed.
    """
    try:
        known = path.stat()
    except FileNotFoundError:
        return StoreFile(path)
    except OSError as problem:
        raise StoreError(f"{path} cannot be looked at: {problem.strerror}.", ANOTHER) from problem
    if not stat.S_ISREG(known.st_mode):
        raise StoreError(f"{path} is no file.", ANOTHER)
    if not known.st_size:
        return StoreFile(path, is_empty=True)
    try:
        with closing(reading_connection(path)) as connection:
            found, ran = _tables(connection), _steps(connection)
    except sqlite3.Error as problem:
        raise refused(problem, str(path)) from problem
    if newer := sorted(ran - set(steps)):
        raise StoreError(
            f"The store {path} was changed by a newer Stationflow ({', '.join(newer)}).",
            "Nothing was changed. Open it with that Stationflow, or name another file in "
            "STATIONFLOW_DATABASE.",
        )
    if found and (strangers := sorted(found if not ran else found - set(tables))):
        named = ", ".join(strangers[:5]) + ("..." if len(strangers) > 5 else "")
        raise StoreError(
            f"{path} is no store of Stationflow: it holds other tables ({named}).",
            f"Nothing was changed. {ANOTHER}",
        )
    return StoreFile(path, is_empty=not found, steps=frozenset(ran))


def reading_connection(path: Path) -> sqlite3.Connection:
    """Connect to a file that is only read; no file beside it is made unless it is in use."""
    address = f"file:{quote(str(path.resolve()))}?mode=ro"
    log, shared = (path.with_name(path.name + ending) for ending in BESIDE[1:])
    is_in_use = log.exists() and (shared.exists() or log.stat().st_size > 0)
    return sqlite3.connect(
        address if is_in_use else f"{address}&immutable=1",
        uri=True,
        timeout=BUSY_S,
        check_same_thread=False,
    )


def make_private(path: Path) -> None:
    """Make the file of a store with its folder, for the user alone; keep others out of one there.

    SQLite gives what it keeps beside the file the same rights.
    """
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        with suppress(FileExistsError):
            os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, PRIVATE))
    except OSError as problem:
        raise StoreError(
            f"The store {path} cannot be made: {problem.strerror}.",
            "Choose another folder in STATIONFLOW_DATABASE.",
        ) from problem
    for ending in BESIDE:
        file = path.with_name(path.name + ending)
        with suppress(OSError):  # it is not there, or somebody else's
            if stat.S_IMODE(file.stat().st_mode) & ~PRIVATE:
                file.chmod(PRIVATE)


def refused(problem: BaseException | None, store: str = "") -> StoreError:
    """Return what is said of something that the database refused."""
    called = f"The store {store}".strip()
    match getattr(problem, "sqlite_errorcode", 0) & 0xFF:
        case sqlite3.SQLITE_FULL:
            said, hint = "could not be saved to: the disk is full", "Make room on the disk"
        case sqlite3.SQLITE_BUSY | sqlite3.SQLITE_LOCKED:
            said = f"is in use: another program has been saving for over {BUSY_S:g} s"
            hint = "Wait until it is done, or end it"
        case sqlite3.SQLITE_READONLY:
            said, hint = "can only be read", "Ask for the right to write its file and folder"
        case sqlite3.SQLITE_CANTOPEN | sqlite3.SQLITE_PERM | sqlite3.SQLITE_AUTH:
            said = f"cannot be opened ({problem})"
            hint = "Check who may read its file and folder"
        case sqlite3.SQLITE_IOERR:
            said, hint = f"could not be read or written ({problem})", "Check the disk"
        case sqlite3.SQLITE_NOTADB:
            said, hint = "is no database", "Check STATIONFLOW_DATABASE"
        case sqlite3.SQLITE_CORRUPT:
            said, hint = f"is damaged ({problem})", "Put a copy of it in its place"
        case _:
            said, hint = f"did not answer ({problem})", "Check its file"
    return StoreError(f"{called} {said}.", f"Nothing was changed. {hint}, then try again.")


def _tables(connection: sqlite3.Connection) -> set[str]:
    query = "SELECT name FROM sqlite_master WHERE type IN ('table', 'view')"
    return {name for (name,) in connection.execute(query) if not name.startswith("sqlite_")}


def _steps(connection: sqlite3.Connection) -> set[str]:
    """Return the migrations that are noted; none in a table of another kind."""
    query = "SELECT name FROM pragma_table_info('migrations')"
    if [name for (name,) in connection.execute(query)] != ["name"]:
        return set()
    return {str(name) for (name,) in connection.execute("SELECT name FROM migrations")}
