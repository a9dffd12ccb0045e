"""Saves of a product inside one transaction: read, added, gone back to."""

import zlib
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from threading import Lock
from typing import Any

from sqlalchemy import Connection, Row, func, insert, select

from stationflow.errors import ProductNotFoundError
from stationflow.files.codec import product_from_json, product_to_json, text_checksum
from stationflow.model import Product
from stationflow.storage.store_tables import pictures, saves

SITTING = timedelta(minutes=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A product as it was saved.

    Attributes
    ----------
    version
        Version number, from 1.
    checksum
        Checksum of the product; a save states the one it started from.
    by, at
        Who saved it, and when (UTC).
    undo_to, redo_to
        Checksums of the state to go back to, and of the undone one to bring back; empty: none.
    """

    product: Product
    version: int
    checksum: str
    by: str
    at: datetime
    undo_to: str = ""
    redo_to: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Newest:
    """Which state of a product is the newest, without the product."""

    version: int
    checksum: str
    by: str
    at: datetime


LIGHT = [  # without the product itself
    column for column in saves.c if column.name != "document"
]
_PRODUCTS: OrderedDict[str, Product] = OrderedDict()
_KEPT = 24  # products kept in memory; they are never changed, so they can be shared
_lock = Lock()


def newest_save(connection: Connection, code: str) -> Row[Any]:
    """Return the newest save of a product."""
    query = select(*LIGHT).where(saves.c.code == code).order_by(saves.c.save_id.desc()).limit(1)
    row = connection.execute(query).first()
    if row is None:
        raise ProductNotFoundError(code)
    return row


def save_of(connection: Connection, save_id: int) -> Row[Any]:
    """Return one save."""
    return connection.execute(select(*LIGHT).where(saves.c.save_id == save_id)).one()


def saved_as(connection: Connection, code: str, checksum: str) -> Row[Any] | None:
    """Return the save of a product that has this checksum; None: there is none."""
    query = select(*LIGHT).where(saves.c.code == code, saves.c.checksum == checksum)
    return connection.execute(query.limit(1)).first()


def newest_of(connection: Connection, code: str) -> Newest:
    """Return which state of a product is the newest."""
    row = newest_save(connection, code)
    return Newest(version=row.version, checksum=row.checksum, by=row.author, at=as_utc(row.at))


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
        product=stored_product(connection, newest),
        version=newest.version,
        checksum=newest.checksum,
        by=newest.author,
        at=as_utc(newest.at),
        undo_to=save_of(connection, shown.came_from).checksum if shown.came_from else "",
        redo_to=save_of(connection, undone).checksum if undone else "",
    )


def next_version(connection: Connection, newest: Row[Any], by: str, at: datetime) -> int:
    """Return the version of a new save: the same within one author's sitting."""
    started = connection.scalar(
        select(func.min(saves.c.at)).where(
            saves.c.code == newest.code, saves.c.version == newest.version
        )
    )
    is_same = newest.author == by and _naive(at) - started < SITTING
    return int(newest.version) + (0 if is_same else 1)


def restore(connection: Connection, newest: Row[Any], save_id: int, by: str, at: datetime) -> Draft:
    """Add a save that shows an earlier one again."""
    product = stored_product(connection, save_of(connection, save_id))
    version = next_version(connection, newest, by, at)
    add_save(connection, product, version=version, by=by, at=at, restores=save_id)
    return newest_draft(connection, newest.code)


def add_save(
    connection: Connection,
    product: Product,
    text: str = "",
    *,
    version: int,
    by: str,
    at: datetime,
    came_from: int | None = None,
    restores: int | None = None,
) -> None:
    """Add one save; `text` is the product's canonical JSON, when it is known already."""
    text = text or product_to_json(product)
    connection.execute(
        insert(saves).values(
            code=product.code,
            version=version,
            checksum=text_checksum(text),
            name=product.name,
            task_count=len(product.tasks),
            document=zlib.compress(text.encode()),
            author=by,
            at=_naive(at),
            came_from=came_from,
            restores=restores,
        )
    )


def add_pictures(connection: Connection, contents: Mapping[str, bytes]) -> None:
    """Add the pictures that are not there yet."""
    there = set(
        connection.scalars(
            select(pictures.c.checksum).where(pictures.c.checksum.in_(list(contents)))
        )
    )
    new = [{"checksum": c, "content": b} for c, b in contents.items() if c not in there]
    if new:
        connection.execute(insert(pictures), new)


def stored_product(connection: Connection, save: Row[Any]) -> Product:
    """Return the product of a save: from memory, if it was read before."""
    with _lock:
        if save.checksum in _PRODUCTS:
            _PRODUCTS.move_to_end(save.checksum)
            return _PRODUCTS[save.checksum]
    query = select(saves.c.document).where(saves.c.save_id == save.save_id)
    document = connection.execute(query).scalar_one()
    product = product_from_json(zlib.decompress(document).decode())
    with _lock:
        _PRODUCTS[save.checksum] = product
        while len(_PRODUCTS) > _KEPT:
            _PRODUCTS.popitem(last=False)
    return product


def as_utc(at: datetime) -> datetime:
    """Return a stored time as aware UTC."""
    return at.replace(tzinfo=UTC)


def _naive(at: datetime) -> datetime:
    """Return a time as it is stored: UTC without a zone."""
    return at.astimezone(UTC).replace(tzinfo=None)
