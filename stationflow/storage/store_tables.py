"""The tables of the store, and the steps that brought them there.

A migration is a function that receives a connection inside a transaction; its
name is noted in the same transaction, so that it runs once or not at all. Add
new ones at the end of `MIGRATIONS`; never change one that has been released.
"""

from collections.abc import Callable

from sqlalchemy import (
    Boolean,
    Column,
    Connection,
    DateTime,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    insert,
    inspect,
    select,
)

metadata = MetaData()

migrations = Table("migrations", metadata, Column("name", String(100), primary_key=True))

products = Table(
    "products",
    metadata,
    Column("code", String(100), primary_key=True),
    Column("archived", Boolean, nullable=False),
)

saves = Table(
    "saves",
    metadata,
    Column("save_id", Integer, primary_key=True, autoincrement=True),
    Column("code", String(100), ForeignKey("products.code"), nullable=False),
    Column("version", Integer, nullable=False),
    Column("checksum", String(64), nullable=False),
    Column("name", String(500), nullable=False),
    Column("task_count", Integer, nullable=False),
    Column("document", LargeBinary, nullable=False),  # JSON, compressed by zlib
    Column("author", String(200), nullable=False),
    Column("at", DateTime, nullable=False),  # UTC
    Column("came_from", Integer),  # the save this one was edited from
    Column("restores", Integer),  # the save whose document an undo or redo brought back
    Index("saves_by_product", "code", "save_id"),
)

pictures = Table(
    "pictures",
    metadata,
    Column("checksum", String(64), primary_key=True),
    Column("content", LargeBinary, nullable=False),
)

plans = Table(
    "plans",
    metadata,
    Column("plan_id", Integer, primary_key=True, autoincrement=True),
    Column("code", String(100), ForeignKey("products.code"), nullable=False),
    Column("line", String(200), nullable=False),
    Column("document", Text, nullable=False),
    Column("in_force", Boolean, nullable=False),
    Index("plans_by_line", "code", "line"),
)

plan_notes = Table(
    "plan_notes",
    metadata,
    Column("plan_id", Integer, ForeignKey("plans.plan_id"), primary_key=True),
    Column("remark", Text, nullable=False),
    Column("archived", Boolean, nullable=False),
)

column_mappings = Table(
    "column_mappings",
    metadata,
    Column("signature", String(64), primary_key=True),  # checksum of the headings
    Column("document", Text, nullable=False),
    Column("file_name", String(300), nullable=False),
    Column("author", String(200), nullable=False),
    Column("at", DateTime, nullable=False),  # UTC
)

curves = Table(
    "curves",
    metadata,
    Column("code", String(100), ForeignKey("products.code"), primary_key=True),
    Column("line", String(200), primary_key=True),
    Column("document", LargeBinary, nullable=False),  # JSON, compressed by zlib
)


def first_tables(connection: Connection) -> None:
    """Make the tables of the first release."""
    metadata.create_all(connection)


def notes_beside_plans(connection: Connection) -> None:
    """Make the table of what the engineer says about plans."""
    plan_notes.create(connection, checkfirst=True)


def remembered_columns(connection: Connection) -> None:
    """Add the table of remembered column mappings; a new store has it already."""
    column_mappings.create(connection, checkfirst=True)


def curves_of_lines(connection: Connection) -> None:
    """Add the table of the last curve of each line; a new store has it already."""
    curves.create(connection, checkfirst=True)


MIGRATIONS: tuple[Callable[[Connection], None], ...] = (
    first_tables,
    notes_beside_plans,
    remembered_columns,
    curves_of_lines,
)


def migrate(connection: Connection) -> None:
    """Run the migrations that have not run yet."""
    done = set()
    if inspect(connection).has_table("migrations"):
        done = set(connection.scalars(select(migrations.c.name)))
    for migration in MIGRATIONS:
        name = migration.__name__
        if name not in done:
            migration(connection)
            connection.execute(insert(migrations).values(name=name))
