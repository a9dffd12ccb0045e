"""One process at a time compiles the same, so that the next finds it on disk.

What was compiled from the code as it is now is noted: who only loads it waits for nobody.
"""

from __future__ import annotations

import hashlib
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import cache
from pathlib import Path
from typing import IO


@contextmanager
def alone(what: str, when_waiting: Callable[[], None]) -> Iterator[None]:
    """Be the one process that compiles this; `when_waiting` is called if another has to end first.

    Where no lock can be had, two may compile the same, which costs time and no more.
    """
    held = _locked(what, when_waiting)
    try:
        yield
    finally:
        if held is not None:
            held.close()  # which gives the lock back, as the end of a process does


def is_made(what: str) -> bool:
    """Return whether this was compiled from the code as it is; it is loaded from disk then."""
    try:
        return _note_file(what).read_text("ascii") == _code()
    except (OSError, ValueError):
        return False


def note_made(what: str) -> None:
    """Note that this is compiled."""
    with suppress(OSError):
        _note_file(what).write_text(_code(), "ascii")


def _note_file(what: str) -> Path:
    return _lock_file(what).with_suffix(".made")


@cache
def _code() -> str:
    """Return a checksum of what is compiled and by what: another one when any of it changes."""
    import numba

    package = Path(__file__).parents[2]
    stats = sorted((str(p), p.stat().st_mtime_ns, p.stat().st_size) for p in package.rglob("*.py"))
    return hashlib.sha256(f"{sys.version} {numba.__version__} {stats}".encode()).hexdigest()


def _locked(what: str, when_waiting: Callable[[], None]) -> IO[str] | None:
    """Return the open lock file, locked; None: no lock can be had."""
    try:
        import fcntl

        held = _lock_file(what).open("w")
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            when_waiting()
            fcntl.flock(held, fcntl.LOCK_EX)
    except (ImportError, OSError):
        return None
    return held


def _lock_file(what: str) -> Path:
    """Return the lock file of the place this install keeps what it compiled in."""
    from numba import config
    from platformdirs import user_cache_path

    place = f"{Path(__file__).parent} {config.CACHE_DIR}"
    name = f"{what}-{hashlib.sha256(place.encode()).hexdigest()[:16]}.lock"
    return Path(user_cache_path("stationflow", appauthor=False, ensure_exists=True)) / name
