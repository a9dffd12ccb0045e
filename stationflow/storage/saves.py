"""Saves of a product inside one transaction: read, added, gone back to."""

import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import Connection, Row, func, insert, select

from stationflow.errors import ProductNotFoundError
from stationflow.files.codec import product_checksum, product_from_json, product_to_json
from stationflow.model import Product
from stationflow.storage.tables import pictures, saves

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
    can_undo, can_redo
        Whether there is an earlier state to go back to, or an undone one to bring back.
    """

    product: Product
    version: int
    checksum: str
    by: str
    at: datetime
    can_undo: bool = False
    can_redo: bool = False


def newest_save(connection: Connection, code: str) -> Row[Any]:
    """Return the newest save of a product."""
    query = select(saves).where(saves.c.code == code).order_by(saves.c.save_id.desc()).limit(1)
    row = connection.execute(query).first()
    if row is None:
        raise ProductNotFoundError(code)
    return row


def save_of(connection: Connection, save_id: int) -> Row[Any]:
    """Return one save."""
    return connection.execute(select(saves).where(saves.c.save_id == save_id)).one()


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
    shown = save_of(connection, newest.restores or newest.save_id)
    return Draft(
        product=unpacked(newest.document),
        version=newest.version,
        checksum=newest.checksum,
        by=newest.author,
        at=as_utc(newest.at),
        can_undo=shown.came_from is not None,
        can_redo=undone_save(connection, newest) is not None,
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
    product = unpacked(save_of(connection, save_id).document)
    version = next_version(connection, newest, by, at)
    add_save(connection, product, version=version, by=by, at=at, restores=save_id)
    return newest_draft(connection, newest.code)


def add_save(
    connection: Connection,
    product: Product,
    *,
    version: int,
    by: str,
    at: datetime,
    came_from: int | None = None,
    restores: int | None = None,
) -> None:
    """Add one save."""
    connection.execute(
        insert(saves).values(
            code=product.code,
            version=version,
            checksum=product_checksum(product),
            name=product.name,
            task_count=len(product.tasks),
            document=zlib.compress(product_to_json(product).encode()),
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


def unpacked(document: bytes) -> Product:
    """Return the product of a stored document."""
    return product_from_json(zlib.decompress(document).decode())


def as_utc(at: datetime) -> datetime:
    """Return a stored time as aware UTC."""
    return at.replace(tzinfo=UTC)


def _naive(at: datetime) -> datetime:
    """Return a time as it is stored: UTC without a zone."""
    return at.astimezone(UTC).replace(tzinfo=None)
