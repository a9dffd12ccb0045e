"""Saves of a product inside one transaction: read, added, gone back to."""

import zlib
from collections import OrderedDict
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from threading import Lock
from typing import Any

from sqlalchemy import Connection, Row, func, insert, select

from stationflow.errors import DocumentError, ProductNotFoundError, UnreadableError, named
from stationflow.files.codec import PRODUCT, text_checksum
from stationflow.model import Author, Product
from stationflow.storage.store_tables import saves

SITTING = timedelta(minutes=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Newest:
    """Which state of a product is the newest."""

    version: int  # version number, from 1
    checksum: str  # checksum of the stored text; a save states the one it started from
    # by, at: who saved it, and when (UTC)
    by: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft(Newest):
    """A product as it was saved."""

    product: Product
    # undo_to, redo_to: checksums of the state to go back to, and of the undone one to bring back;
    # empty: none
    undo_to: str = ""
    redo_to: str = ""


LIGHT = [column for column in saves.c if column.name != "document"]
_PRODUCTS: OrderedDict[str, Product] = OrderedDict()
_KEPT = 24  # products kept in memory; they are never changed, so they can be shared
_lock = Lock()


def newest_save(connection: Connection, code: str) -> Row[Any]:
    """Return the newest save of a product, without the product itself."""
    query = select(*LIGHT).where(saves.c.code == code).order_by(saves.c.save_id.desc()).limit(1)
    row = connection.execute(query).first()
    if row is None:
        raise ProductNotFoundError(code)
    return row


def which_state(save: Any) -> dict[str, Any]:
    """Return the fields of `Newest` of a save."""
    if save.at is None:
        raise UnreadableError(_called(save.code), "its time is damaged")
    return {
        "version": save.version,
        "checksum": save.checksum,
        "by": save.author,
        "at": save.at,
    }


def save_of(connection: Connection, save_id: int) -> Row[Any]:
    """Return one save."""
    return connection.execute(select(*LIGHT).where(saves.c.save_id == save_id)).one()


def undone_save(connection: Connection, newest: Row[Any]) -> int | None:
    """Return the save that a redo would bring back: the newest edit of the state shown.

    It is there only while the newest save is itself an undo or redo.
    """
    if newest.restores is None:
        return None
    query = select(func.max(saves.c.save_id)).where(
        saves.c.came_from == newest.restores, saves.c.restores.is_(None)
    )
    undone: int | None = connection.scalar(query)
    return undone


def newest_draft(connection: Connection, code: str) -> Draft:
    """Return the newest state of a product."""
    newest = newest_save(connection, code)
    shown = save_of(connection, newest.restores) if newest.restores else newest
    undone = undone_save(connection, newest)
    return Draft(
        **which_state(newest),
        product=stored_product(connection, newest),
        undo_to=save_of(connection, shown.came_from).checksum if shown.came_from else "",
        redo_to=save_of(connection, undone).checksum if undone else "",
    )


def next_version(connection: Connection, newest: Row[Any], by: Author) -> int:
    """Return the version of a new save: the same within one author's sitting.

    A clock that went back says nothing of how long ago the last save was.
    """
    started = connection.scalar(
        select(func.min(saves.c.at)).where(
            saves.c.code == newest.code, saves.c.version == newest.version
        )
    )
    is_same = (
        newest.author == by.name
        and None not in (started, newest.at)
        and newest.at <= by.at < started + SITTING
    )
    return int(newest.version) + (0 if is_same else 1)


def restore(connection: Connection, newest: Row[Any], save_id: int, by: Author) -> None:
    """Add a save that shows an earlier one again, to the letter."""
    query = select(saves).where(saves.c.save_id == save_id)
    earlier = dict(connection.execute(query).mappings().one())
    written = {
        "version": next_version(connection, newest, by),
        "author": by.name,
        "at": by.at,
        "came_from": None,
        "restores": save_id,
    }
    del earlier["save_id"]
    connection.execute(insert(saves).values(**(earlier | written)))


def add_save(
    connection: Connection,
    product: Product,
    *,
    version: int,
    by: Author,
    came_from: int | None = None,
) -> int:
    """Add the save of an edit and return its number."""
    text = PRODUCT.to_json(product)
    added = connection.execute(
        insert(saves).values(
            code=product.code,
            version=version,
            checksum=text_checksum(text),
            name=product.name,
            task_count=len(product.tasks),
            document=zlib.compress(text.encode("ascii")),
            author=by.name,
            at=by.at,
            came_from=came_from,
        )
    )
    assert added.inserted_primary_key is not None
    return int(added.inserted_primary_key[0])


def stored_product(connection: Connection, save: Row[Any]) -> Product:
    """Return the product of a save: from memory, if it was read before."""
    with _lock:
        if save.checksum in _PRODUCTS:
            _PRODUCTS.move_to_end(save.checksum)
            return _PRODUCTS[save.checksum]
    query = select(saves.c.document).where(saves.c.save_id == save.save_id)
    document = connection.execute(query).scalar_one()
    with readable(_called(save.code)):
        product = PRODUCT.from_json(zlib.decompress(document))
    with _lock:
        _PRODUCTS[save.checksum] = product
        while len(_PRODUCTS) > _KEPT:
            _PRODUCTS.popitem(last=False)
    return product


@contextmanager
def readable(what: str) -> Iterator[None]:
    """Say of what a document cannot be read."""
    try:
        yield
    except DocumentError as problem:
        raise UnreadableError(what, problem.problem) from problem
    except (zlib.error, TypeError) as problem:
        raise UnreadableError(what, f"it is damaged ({problem})") from problem


def unreadable(
    rows: Iterable[Row[Any]], stored: Callable[[Row[Any]], Any]
) -> list[UnreadableError]:
    """Return what is said of the rows that cannot be read."""
    found = []
    for row in rows:
        try:
            stored(row)
        except UnreadableError as problem:
            found.append(problem)
    return found


def _called(code: str) -> str:
    return f"Product {named(code)}"
