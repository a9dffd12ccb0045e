"""The last stations-against-cycle curve of each line; an earlier one is replaced."""

import zlib

from sqlalchemy import Connection, and_, delete, insert, select

from stationflow.files.codec import curve_from_json, curve_to_json
from stationflow.model import StoredCurve
from stationflow.storage.store_tables import curves


def keep_curve(connection: Connection, curve: StoredCurve) -> None:
    """Keep a curve as the last one of its line."""
    of_line = and_(curves.c.code == curve.product, curves.c.line == curve.line)
    connection.execute(delete(curves).where(of_line))
    connection.execute(
        insert(curves).values(
            code=curve.product,
            line=curve.line,
            document=zlib.compress(curve_to_json(curve).encode("ascii")),
        )
    )


def last_curve(connection: Connection, code: str, line: str) -> StoredCurve | None:
    """Return the last curve of a line; None: there is none."""
    of_line = and_(curves.c.code == code, curves.c.line == line)
    document = connection.scalar(select(curves.c.document).where(of_line))
    return None if document is None else curve_from_json(zlib.decompress(document))
