"""The last stations-against-cycle curve of each line; an earlier one is replaced."""

import zlib
from dataclasses import replace
from functools import lru_cache
from typing import Any

from sqlalchemy import Row, and_, insert, select

from stationflow.errors import UnreadableError, named
from stationflow.files.codec import CURVE
from stationflow.model import Author, StoredCurve
from stationflow.storage.database import Database
from stationflow.storage.line_names import called_now
from stationflow.storage.saves import readable, unreadable
from stationflow.storage.store_tables import curves


class StoredCurves(Database):
    """The curves of all lines."""

    def keep_curve(self, curve: StoredCurve, *, by: Author) -> None:
        """Keep a curve as the last one of its line."""
        document = CURVE.to_json(replace(curve, by=by.name, at=by.at))
        row = {"code": curve.product, "document": zlib.compress(document.encode("ascii"))}
        with self.writing(by) as connection:
            # it may have got another name since the save that the curve was made from
            line = called_now(connection, curve.product, curve.product_checksum)(curve.line)
            row |= {"line": line}
            connection.execute(insert(curves).prefix_with("OR REPLACE").values(row))

    def last_curve(self, code: str, line: str) -> StoredCurve | None:
        """Return the last curve of a line; None: there is none that can be read."""
        of_line = and_(curves.c.code == code, curves.c.line == line)
        with self.reading() as connection:
            row = connection.execute(select(curves).where(of_line)).first()
        try:
            return None if row is None else _stored(row)
        except UnreadableError:
            return None

    def unreadable_curves(self, code: str) -> list[UnreadableError]:
        """Return what is said of the curves of a product that cannot be read."""
        with self.reading() as connection:
            rows = connection.execute(select(curves).where(curves.c.code == code)).all()
        return unreadable(rows, _stored)


def _stored(row: Row[Any]) -> StoredCurve:
    with readable(f"The curve of line {named(row.line)} of product {named(row.code)}"):
        return _unpacked(row.document, row.line)


@lru_cache(maxsize=64)
def _unpacked(document: bytes, line: str) -> StoredCurve:
    """Return the curve of a document for its line as it is called now.

    A curve never changes otherwise, so it is unpacked once.
    """
    stored = CURVE.from_json(zlib.decompress(document))
    return replace(stored, curve=replace(stored.curve, line=line))
