"""The tables of the store, and the steps that brought them there.

A migration is a function that receives a connection inside a transaction; its
name is noted in the same transaction, so that it runs once or not at all. Add
new ones at the end of `MIGRATIONS`; never change one that has been released.
"""

import json
from collections import Counter
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from typing import Any

from sqlalchemy import (
    Boolean,
    Column,
    Connection,
    Dialect,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    func,
    insert,
    inspect,
    select,
    text,
    update,
)
from sqlalchemy.types import UserDefinedType

LENGTH_OF_TIME = len("2026-03-02 08:00:00.000000")


class Moment(UserDefinedType[datetime]):
    """A time: aware UTC here, text in the file. None: what stands in the file is no time."""

    cache_ok = True

    def get_col_spec(self, **_options: Any) -> str:
        """Return what the column is called in the file."""
        return "DATETIME"

    def bind_processor(self, dialect: Dialect) -> Callable[[datetime | None], str | None]:
        """Return how a time is written."""
        return _written_time

    def result_processor(self, dialect: Dialect, coltype: object) -> Callable[[Any], Any]:
        """Return how a time is read."""
        return _read_time


def _written_time(at: datetime | None) -> str | None:
    if at is None:
        return None
    return at.astimezone(UTC).replace(tzinfo=None).isoformat(" ", "microseconds")


def _read_time(text: Any) -> datetime | None:
    if not isinstance(text, str) or len(text) != LENGTH_OF_TIME:
        return None
    try:
        return datetime.fromisoformat(text).replace(tzinfo=UTC)
    except ValueError:
        return None


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
    Column("at", Moment, nullable=False),
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
    Column("number", Integer, nullable=False, server_default="0"),  # among the plans of the line
    Column("document", Text, nullable=False),
    Column("in_force", Boolean, nullable=False),
    Index("plans_by_line", "code", "line"),
)
one_in_force = Index(
    "one_plan_in_force", plans.c.code, plans.c.line, unique=True, sqlite_where=plans.c.in_force
)
one_number = Index("one_number_of_a_line", plans.c.code, plans.c.line, plans.c.number, unique=True)

plan_notes = Table(  # what is said of a plan after it was made; each plan has one
    "plan_notes",
    metadata,
    Column("plan_id", Integer, ForeignKey("plans.plan_id"), primary_key=True),
    Column("name", Text, nullable=False, server_default=""),
    Column("remark", Text, nullable=False),
    Column("archived", Boolean, nullable=False),
    Column("confirmation", Text),  # JSON; null: no second solver was asked
    Column("author", String(200)),  # who wrote it last
    Column("at", Moment),
)

column_mappings = Table(
    "column_mappings",
    metadata,
    Column("signature", String(64), primary_key=True),  # checksum of the headings
    Column("document", Text, nullable=False),
    Column("file_name", String(300), nullable=False),
    Column("author", String(200), nullable=False),
    Column("at", Moment, nullable=False),
)

curves = Table(
    "curves",
    metadata,
    Column("code", String(100), ForeignKey("products.code"), primary_key=True),
    Column("line", String(200), primary_key=True),
    Column("document", LargeBinary, nullable=False),  # JSON, compressed by zlib
)

saves_with_plans = Table(  # saves that put plans in force; undo and redo change those back too
    "saves_with_plans",
    metadata,
    Column("save_id", Integer, ForeignKey("saves.save_id"), primary_key=True),
    Column("line", String(200), primary_key=True),
    Column("before", Integer),  # the plan in force until then; null: none was
    Column("after", Integer, nullable=False),  # the plan that was put in force
)

lines_renamed = Table(  # what saves renamed; undo and redo carry plans and curves back and forth
    "lines_renamed",
    metadata,
    Column("save_id", Integer, ForeignKey("saves.save_id"), primary_key=True),
    Column("before", String(200), primary_key=True),
    Column("after", String(200), nullable=False),
)

hand_work = Table(  # steps by hand on a plan, until they are kept as a plan
    "hand_work",
    metadata,
    Column("plan_id", Integer, ForeignKey("plans.plan_id"), primary_key=True),
    Column("document", Text, nullable=False),
)


NEW_IN_NOTES = {
    "name": "TEXT NOT NULL DEFAULT ''",
    "confirmation": "TEXT",
    "author": "VARCHAR(200)",
    "at": "DATETIME",
}


def all_notes_beside_plans(connection: Connection) -> None:
    """Move the names of plans and what a second solver says out of their documents."""
    there = {column["name"] for column in inspect(connection).get_columns("plan_notes")}
    for name, kind in NEW_IN_NOTES.items():
        if name not in there:  # a new store has them already
            connection.execute(text(f"ALTER TABLE plan_notes ADD COLUMN {name} {kind}"))
    noted = set(connection.scalars(select(plan_notes.c.plan_id)))
    for plan_id, document in connection.execute(select(plans.c.plan_id, plans.c.document)).all():
        fields = json.loads(document)
        name, said = fields.pop("name", ""), fields["result"].pop("confirmation", None)
        if plan_id not in noted:
            row = {"plan_id": plan_id, "remark": "", "archived": False}
            connection.execute(insert(plan_notes).values(row))
        moved = {"name": name, "confirmation": None if said is None else json.dumps(said)}
        of_plan = plan_notes.c.plan_id == plan_id
        connection.execute(update(plan_notes).where(of_plan).values(**moved))
        bare = json.dumps(fields, sort_keys=True, separators=(",", ":"))
        connection.execute(update(plans).where(plans.c.plan_id == plan_id).values(document=bare))


def one_plan_in_force(connection: Connection) -> None:
    """Let the database keep that one plan of a line is in force; of several the newest stays."""
    newest = select(func.max(plans.c.plan_id)).where(plans.c.in_force)
    newest = newest.group_by(plans.c.code, plans.c.line)
    older = plans.c.plan_id.not_in(newest)
    connection.execute(update(plans).where(plans.c.in_force, older).values(in_force=False))
    one_in_force.create(connection, checkfirst=True)


def plan_numbers_of_lines(connection: Connection) -> None:
    """Give the plans of each line their numbers, from 1, in the order they were stored."""
    if "number" not in {column["name"] for column in inspect(connection).get_columns("plans")}:
        added = "ALTER TABLE plans ADD COLUMN number INTEGER NOT NULL DEFAULT 0"
        connection.execute(text(added))
        last = Counter[tuple[str, str]]()
        stored = select(plans.c.plan_id, plans.c.code, plans.c.line).order_by(plans.c.plan_id)
        for plan_id, code, line in connection.execute(stored).all():
            last[code, line] += 1
            this = update(plans).where(plans.c.plan_id == plan_id)
            connection.execute(this.values(number=last[code, line]))
    one_number.create(connection, checkfirst=True)


MIGRATIONS: dict[str, Callable[[Connection], None]] = {
    "first_tables": metadata.create_all,
    # tables that came later; a new store has them already
    "notes_beside_plans": partial(plan_notes.create, checkfirst=True),
    "remembered_columns": partial(column_mappings.create, checkfirst=True),
    "curves_of_lines": partial(curves.create, checkfirst=True),
    "all_notes_beside_plans": all_notes_beside_plans,
    "one_plan_in_force": one_plan_in_force,
    "plan_numbers_of_lines": plan_numbers_of_lines,
    "hand_work_on_plans": partial(hand_work.create, checkfirst=True),
    "saves_with_plans": partial(saves_with_plans.create, checkfirst=True),
    "lines_renamed": partial(lines_renamed.create, checkfirst=True),
}


def migrate(connection: Connection) -> None:
    """Run the migrations that have not run yet."""
    done = set()
    if inspect(connection).has_table("migrations"):
        done = set(connection.scalars(select(migrations.c.name)))
    for name, migration in MIGRATIONS.items():
        if name not in done:
            migration(connection)
            connection.execute(insert(migrations).values(name=name))
