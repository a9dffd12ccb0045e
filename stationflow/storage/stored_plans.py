"""Plans inside one transaction: read, added, put in force."""

from dataclasses import replace
from functools import lru_cache
from typing import Any

from sqlalchemy import Connection, Row, and_, insert, update

from stationflow.files.codec import plan_from_json, plan_to_json
from stationflow.model import Plan
from stationflow.storage.store_tables import plans


def add_plan(connection: Connection, plan: Plan) -> Plan:
    """Add a plan and return it with its number; in force if it says so."""
    result = connection.execute(
        insert(plans).values(
            code=plan.product,
            line=plan.line,
            document=plan_to_json(replace(plan, plan_id=0, in_force=False)),
            in_force=False,
        )
    )
    key = result.inserted_primary_key
    assert key is not None
    added = replace(plan, plan_id=int(key[0]))
    if plan.in_force:
        put_in_force(connection, plan.product, plan.line, added.plan_id)
    return added


def put_in_force(connection: Connection, code: str, line: str, plan_id: int) -> None:
    """Put a plan in force; no other plan of its line is."""
    of_line = and_(plans.c.code == code, plans.c.line == line)
    connection.execute(update(plans).where(of_line).values(in_force=plans.c.plan_id == plan_id))


def stored_plan(row: Row[Any]) -> Plan:
    """Return the plan of a row."""
    return replace(_unpacked(row.document), plan_id=row.plan_id, in_force=row.in_force)


@lru_cache(maxsize=256)
def _unpacked(document: str) -> Plan:
    """Return the plan of a document; a plan never changes, so it is unpacked once."""
    return plan_from_json(document)
