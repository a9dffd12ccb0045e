"""The last stations-against-cycle curve of each line; an earlier one is replaced."""

import zlib
from dataclasses import replace

from sqlalchemy import and_, delete, insert, select

from stationflow.files.codec import CURVE
from stationflow.model import Author, StoredCurve
from stationflow.storage.database import Database
from stationflow.storage.store_tables import curves


class StoredCurves(Database):
    """The curves of all lines."""

    def keep_curve(self, curve: StoredCurve, *, by: Author) -> None:
        """Keep a curve as the last one of its line."""
        of_line = and_(curves.c.code == curve.product, curves.c.line == curve.line)
        document = CURVE.to_json(replace(curve, by=by.name, at=by.at))
        row = {"code": curve.product, "line": curve.line}
        with self.writing(by) as connection:
            connection.execute(delete(curves).where(of_line))
            packed = zlib.compress(document.encode("ascii"))
            connection.execute(insert(curves).values(**row, document=packed))

    def last_curve(self, code: str, line: str) -> StoredCurve | None:
        """Return the last curve of a line; None: there is none."""
        of_line = and_(curves.c.code == code, curves.c.line == line)
        with self.reading() as connection:
            document = connection.scalar(select(curves.c.document).where(of_line))
        return None if document is None else CURVE.from_json(zlib.decompress(document))
