"""How the columns of a stranger's table were read the last time, by its headings."""

from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import Connection, delete, insert, select

from stationflow.storage.saves import as_utc
from stationflow.storage.store_tables import column_mappings

LONGEST_NAME = 300  # characters of a file name that are kept


@dataclass(frozen=True, slots=True, kw_only=True)
class RememberedColumns:
    """A remembered mapping of columns.

    Attributes
    ----------
    document
        The mapping, as JSON.
    file_name
        The file it was last used for.
    by, at
        Who used it, and when (UTC).
    """

    document: str
    file_name: str
    by: str
    at: datetime


def remembered(connection: Connection, signature: str) -> RememberedColumns | None:
    """Return what is remembered of tables with these headings, or None."""
    query = select(column_mappings).where(column_mappings.c.signature == signature)
    row = connection.execute(query).first()
    if row is None:
        return None
    return RememberedColumns(
        document=row.document, file_name=row.file_name, by=row.author, at=as_utc(row.at)
    )


def remember(connection: Connection, signature: str, columns: RememberedColumns) -> None:
    """Remember a mapping; what was remembered of the same headings is replaced."""
    forget(connection, signature)
    connection.execute(
        insert(column_mappings).values(
            signature=signature,
            document=columns.document,
            file_name=columns.file_name[:LONGEST_NAME],
            author=columns.by,
            at=columns.at.astimezone(UTC).replace(tzinfo=None),
        )
    )


def forget(connection: Connection, signature: str) -> None:
    """Forget what is remembered of tables with these headings."""
    connection.execute(delete(column_mappings).where(column_mappings.c.signature == signature))
