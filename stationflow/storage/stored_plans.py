"""Plans with what is noted beside them; one of each line is in force."""

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import replace
from functools import lru_cache
from typing import Any

from sqlalchemy import Connection, Row, Select, and_, func, insert, select, update

from stationflow.errors import PlanNotFoundError, StoreError, UnreadableError, named
from stationflow.files.codec import CONFIRMATION, PLAN
from stationflow.model import Author, Confirmation, Plan
from stationflow.storage.database import Database
from stationflow.storage.line_names import MARK, called_now
from stationflow.storage.saves import newest_save, readable, unreadable
from stationflow.storage.store_tables import plan_notes, plans, saves_with_plans


class StoredPlans(Database):
    """The plans of all products."""

    def add_plan(self, plan: Plan, *, by: Author, if_first: bool = False) -> Plan:
        """Store a plan and return it with its number; of two that are the same, the first stays.

        It is put in force if it says so, or with `if_first` when its line has none in force. One
        that is there already is taken out of the archive.
        """
        with self.writing(by) as connection:
            newest_save(connection, plan.product)
            # its line may have got another name since the save that it was made from
            line = called_now(connection, plan.product, plan.product_checksum)(plan.line)
            plan = replace(plan, result=replace(plan.result, line=line))
            return keep_plan(connection, plan, by, if_first=if_first)

    def plans(self, code: str, line: str | None = None) -> list[Plan]:
        """Return the plans of a product, or of one of its lines, newest first.

        Those that cannot be read are left out (see `unreadable_plans`), and those of a line that
        is no more and whose name another line has.
        """
        is_line = ~plans.c.line.contains(MARK) if line is None else plans.c.line == line
        query = _plans(plans.c.code == code, is_line)
        with self.reading() as connection:
            return _readable(connection.execute(query))

    def unreadable_plans(self, code: str) -> list[UnreadableError]:
        """Return what is said of the plans of a product that cannot be read."""
        with self.reading() as connection:
            return unreadable(connection.execute(_plans(plans.c.code == code)), _stored)

    def plan_in_force(self, code: str, line: str) -> Plan | None:
        """Return the plan in force of a line, or None."""
        query = _plans(plans.c.code == code, plans.c.line == line, plans.c.in_force)
        with self.reading() as connection:
            return next(iter(_readable(connection.execute(query))), None)

    def put_in_force(self, code: str, plan_id: int, *, by: Author) -> Plan:
        """Put a plan in force, out of the archive too; the one before it no longer is.

        PlanNotFoundError if the product has no such plan.
        """
        with self.writing(by) as connection:
            plan = _plan(connection, code, plan_id)
            _put_in_force(connection, plan)
            _note(connection, plan_id, by, archived=False)
            return _plan(connection, code, plan_id)

    def note_plan(
        self,
        code: str,
        plan_id: int,
        *,
        by: Author,
        name: str = "",
        remark: str | None = None,
        archived: bool | None = None,
        confirmation: Confirmation | None = None,
    ) -> Plan:
        """Keep beside a plan what is said of it; what is not given stays.

        PlanNotFoundError if the product has no such plan. StoreError if a plan in force is to be
        put away.
        """
        given = {
            "name": name or None,
            "remark": remark,
            "archived": archived,
            "confirmation": confirmation and CONFIRMATION.to_json(confirmation),
        }
        with self.writing(by) as connection:
            plan = _plan(connection, code, plan_id)
            if plan.in_force and archived:
                raise StoreError(
                    f"Plan {plan.number} is in force, and a plan in force cannot be archived.",
                    "Put another plan of the line in force first.",
                )
            _note(connection, plan_id, by, **{k: v for k, v in given.items() if v is not None})
            return _plan(connection, code, plan_id)


def keep_plan(connection: Connection, plan: Plan, by: Author, *, if_first: bool = False) -> Plan:
    """Store a plan, or bring back the same one that is there; see `StoredPlans.add_plan`."""
    of_line = _plans(plans.c.code == plan.product, plans.c.line == plan.line)
    stored = _readable(connection.execute(of_line))
    if if_first:  # one in force that cannot be read stays so
        plan = replace(plan, in_force=_in_force(connection, plan.product, plan.line) is None)
    same = next((each for each in reversed(stored) if each.is_same(plan)), None)
    if same is None:
        return insert_plan(connection, replace(plan, by=by.name, at=by.at))
    if plan.in_force:
        _put_in_force(connection, same)
    if same.archived:
        _note(connection, same.plan_id, by, archived=False)
    return _plan(connection, plan.product, same.plan_id)


def keep_with_save(
    connection: Connection, save_id: int, given: Iterable[Plan], by: Author, *, if_first: bool
) -> list[Plan]:
    """Store plans together with a save, which changes back what is in force when undone."""
    kept = []
    for plan in given:
        before = _in_force(connection, plan.product, plan.line)
        stored = keep_plan(connection, plan, by, if_first=if_first and plan.in_force)
        kept.append(stored)
        if stored.in_force and stored.plan_id != before:
            row = {"save_id": save_id, "line": plan.line, "before": before, "after": stored.plan_id}
            connection.execute(insert(saves_with_plans).values(row))
    return kept


def change_back(connection: Connection, code: str, save_id: int, *, undone: bool) -> None:
    """Put in force what was so before a save, or after it; another plan chosen meanwhile stays."""
    of_save = select(saves_with_plans).where(saves_with_plans.c.save_id == save_id)
    for row in connection.execute(of_save).all():
        old, new = (row.after, row.before) if undone else (row.before, row.after)
        if _in_force(connection, code, row.line) != old:
            continue
        of_line = and_(plans.c.code == code, plans.c.line == row.line)
        connection.execute(update(plans).where(of_line).values(in_force=False))
        if new is not None:
            connection.execute(update(plans).where(plans.c.plan_id == new).values(in_force=True))


def _in_force(connection: Connection, code: str, line: str) -> int | None:
    """Return which plan of a line is in force."""
    query = select(plans.c.plan_id).where(
        plans.c.code == code, plans.c.line == line, plans.c.in_force
    )
    found: int | None = connection.scalar(query)
    return found


def insert_plan(connection: Connection, plan: Plan) -> Plan:
    """Add a plan and return it with its number; in force if it says so."""
    bare = replace(
        plan,
        plan_id=0,
        number=0,
        name="",
        remark="",
        archived=False,
        confirmation=None,
        in_force=False,
    )
    of_line = and_(plans.c.code == plan.product, plans.c.line == plan.line)
    last = connection.scalar(select(func.max(plans.c.number)).where(of_line)) or 0
    row = {
        "code": plan.product,
        "line": plan.line,
        "number": last + 1,
        "document": PLAN.to_json(bare),
        "in_force": False,
    }
    key = connection.execute(insert(plans).values(row)).inserted_primary_key
    assert key is not None
    added = replace(plan, plan_id=int(key[0]), number=last + 1)
    connection.execute(
        insert(plan_notes).values(
            plan_id=added.plan_id,
            name=plan.name,
            remark=plan.remark,
            archived=plan.archived,
            confirmation=plan.confirmation and CONFIRMATION.to_json(plan.confirmation),
            author=plan.by,
            at=plan.at,
        )
    )
    if plan.in_force:
        _put_in_force(connection, added)
    return added


def _put_in_force(connection: Connection, plan: Plan) -> None:
    """Put a plan in force; no other plan of its line is."""
    of_line = and_(plans.c.code == plan.product, plans.c.line == plan.line)
    connection.execute(update(plans).where(of_line).values(in_force=False))
    this = plans.c.plan_id == plan.plan_id
    connection.execute(update(plans).where(this).values(in_force=True))


def _note(connection: Connection, plan_id: int, by: Author, **changes: Any) -> None:
    """Change what is noted beside a plan."""
    changes |= {"author": by.name, "at": by.at}
    of_plan = plan_notes.c.plan_id == plan_id
    connection.execute(update(plan_notes).where(of_plan).values(**changes))


def _plans(*conditions: Any) -> Select[Any]:
    """Return the query for plans with their notes, newest first."""
    noted = (c for c in plan_notes.c if c.name not in ("plan_id", "author", "at"))
    query = select(plans, *noted).join(plan_notes, plan_notes.c.plan_id == plans.c.plan_id)
    return query.where(*conditions).order_by(plans.c.plan_id.desc())


def _plan(connection: Connection, code: str, plan_id: int) -> Plan:
    """Return one plan of a product."""
    query = _plans(plans.c.code == code, plans.c.plan_id == plan_id)
    row = connection.execute(query).first()
    if row is None:
        raise PlanNotFoundError(code, plan_id)
    return _stored(row)


def _readable(rows: Iterable[Row[Any]]) -> list[Plan]:
    """Return the plans of the rows that can be read."""
    found = []
    for row in rows:
        with suppress(UnreadableError):
            found.append(_stored(row))
    return found


def _stored(row: Row[Any]) -> Plan:
    """Return the plan of a row with its notes."""
    said = row.confirmation
    with readable(_called(row)):
        return replace(
            _unpacked(row.document, row.line),
            plan_id=row.plan_id,
            number=row.number,
            in_force=row.in_force,
            name=row.name,
            remark=row.remark,
            archived=row.archived,
            confirmation=None if said is None else CONFIRMATION.from_json(said),
        )


def _called(row: Row[Any]) -> str:
    return f"Plan {row.number} of line {named(row.line)} of product {named(row.code)}"


@lru_cache(maxsize=256)
def _unpacked(document: str, line: str) -> Plan:
    """Return the plan of a document for its line as it is called now.

    A plan never changes otherwise, so it is unpacked once.
    """
    plan = PLAN.from_json(document)
    return replace(plan, result=replace(plan.result, line=line))
