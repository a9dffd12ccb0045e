"""What was done by hand to plans and is not yet kept as plans of their own."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, Row, Select, insert, select

from stationflow.errors import UnreadableError, named
from stationflow.files.codec import HAND_WORK
from stationflow.model import Author, HandWork
from stationflow.storage.database import Database
from stationflow.storage.saves import readable, unreadable
from stationflow.storage.store_tables import hand_work, plans

STORED: Select[Any] = select(hand_work, plans.c.number, plans.c.line, plans.c.code).join(plans)


class StoredHandWork(Database):
    """The steps by hand on all plans. Steps that cannot be read are refused, never dropped."""

    def hand_work(self, code: str, plan_id: int) -> HandWork:
        """Return the steps by hand on a plan.

        UnreadableError if there are some and they cannot be read.
        """
        with self.reading() as connection:
            return _of_plan(connection, code, plan_id)

    def unreadable_hand_work(self, code: str) -> list[UnreadableError]:
        """Return what is said of steps by hand on the plans of a product that cannot be read."""
        with self.reading() as connection:
            return unreadable(connection.execute(STORED.where(plans.c.code == code)), _stored)

    def change_hand_work(
        self, code: str, plan_id: int, change: Callable[[HandWork], HandWork], *, by: Author
    ) -> HandWork:
        """Change the steps by hand on a plan: `change` gets those that are there at that moment.

        UnreadableError if there are some and they cannot be read: they stay as they are.
        """
        with self.writing(by) as connection:
            old = _of_plan(connection, code, plan_id)
            new = change(old)
            if new == old:
                return old
            new = replace(new, by=by.name, at=by.at)
            row = {"plan_id": plan_id, "document": HAND_WORK.to_json(new)}
            connection.execute(insert(hand_work).prefix_with("OR REPLACE").values(row))
            return new


def _of_plan(connection: Connection, code: str, plan_id: int) -> HandWork:
    row = connection.execute(STORED.where(plans.c.plan_id == plan_id)).first()
    return HandWork(product=code, plan_id=plan_id) if row is None else _stored(row)


def _stored(row: Row[Any]) -> HandWork:
    of_line = f"plan {row.number} of line {named(row.line)} of product {named(row.code)}"
    with readable(f"What was done by hand to {of_line}"):
        return HAND_WORK.from_json(row.document)
