"""How the columns of a stranger's table were read the last time, by its headings."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import delete, insert, select

from stationflow.model import Author
from stationflow.storage.database import Database
from stationflow.storage.store_tables import column_mappings

LONGEST_NAME = 300  # characters of a file name that are kept


@dataclass(frozen=True, slots=True, kw_only=True)
class RememberedColumns:
    """A mapping of columns as JSON, the file it was last used for, by whom and when (UTC)."""

    document: str
    file_name: str
    by: str
    at: datetime


class ColumnMemory(Database):
    """The mappings of columns by the checksum of the headings, their signature."""

    def remembered_columns(self, signature: str) -> RememberedColumns | None:
        """Return how tables with these headings were read the last time, or None."""
        query = select(column_mappings).where(column_mappings.c.signature == signature)
        with self.reading() as connection:
            row = connection.execute(query).first()
        if row is None or row.at is None:  # a damaged row is as good as none
            return None
        return RememberedColumns(
            document=row.document, file_name=row.file_name, by=row.author, at=row.at
        )

    def remember_columns(
        self, signature: str, document: str, file_name: str, *, by: Author
    ) -> None:
        """Remember how a table with these headings was read."""
        row = {"signature": signature, "document": document, "file_name": file_name[:LONGEST_NAME]}
        written = row | {"author": by.name, "at": by.at}
        with self.writing(by) as connection:
            connection.execute(insert(column_mappings).prefix_with("OR REPLACE").values(written))

    def forget_columns(self, signature: str, *, by: Author) -> None:
        """Forget how tables with these headings were read."""
        with self.writing(by) as connection:
            connection.execute(
                delete(column_mappings).where(column_mappings.c.signature == signature)
            )
