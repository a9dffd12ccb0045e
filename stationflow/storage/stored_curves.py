"""The last stations-against-cycle curve of each line; an earlier one is replaced."""

import zlib
from dataclasses import replace

from sqlalchemy import and_, insert, select

from stationflow.files.codec import CURVE
from stationflow.model import Author, StoredCurve
from stationflow.storage.database import Database
from stationflow.storage.store_tables import curves


class StoredCurves(Database):
    """The curves of all lines."""

    def keep_curve(self, curve: StoredCurve, *, by: Author) -> None:
        """Keep a curve as the last one of its line."""
        document = CURVE.to_json(replace(curve, by=by.name, at=by.at))
        row = {
            "code": curve.product,
            "line": curve.line,
            "document": zlib.compress(document.encode("ascii")),
        }
        with self.writing(by) as connection:
            connection.execute(insert(curves).prefix_with("OR REPLACE").values(row))

    def last_curve(self, code: str, line: str) -> StoredCurve | None:
        """Return the last curve of a line; None: there is none."""
        of_line = and_(curves.c.code == code, curves.c.line == line)
        with self.reading() as connection:
            document = connection.scalar(select(curves.c.document).where(of_line))
        return None if document is None else CURVE.from_json(zlib.decompress(document))
