"""What was done by hand to plans and is not yet kept as plans of their own."""

from collections.abc import Callable
from dataclasses import replace

from sqlalchemy import Connection, insert, select

from stationflow.errors import UnreadableError
from stationflow.files.codec import HAND_WORK
from stationflow.model import Author, HandWork
from stationflow.storage.database import Database
from stationflow.storage.saves import readable
from stationflow.storage.store_tables import hand_work


class StoredHandWork(Database):
    """The steps by hand on all plans."""

    def hand_work(self, code: str, plan_id: int) -> HandWork:
        """Return the steps by hand on a plan; none where none can be read."""
        with self.reading() as connection:
            return _stored(connection, code, plan_id)

    def change_hand_work(
        self, code: str, plan_id: int, change: Callable[[HandWork], HandWork], *, by: Author
    ) -> HandWork:
        """Change the steps by hand on a plan: `change` gets those that are there at that moment."""
        with self.writing(by) as connection:
            old = _stored(connection, code, plan_id)
            new = change(old)
            if new == old:
                return old
            new = replace(new, by=by.name, at=by.at)
            row = {"plan_id": plan_id, "document": HAND_WORK.to_json(new)}
            connection.execute(insert(hand_work).prefix_with("OR REPLACE").values(row))
            return new


def _stored(connection: Connection, code: str, plan_id: int) -> HandWork:
    of_plan = select(hand_work.c.document).where(hand_work.c.plan_id == plan_id)
    document = connection.execute(of_plan).scalar()
    nothing = HandWork(product=code, plan_id=plan_id)
    try:
        with readable(f"What was done by hand to plan {plan_id}"):
            return nothing if document is None else HAND_WORK.from_json(document)
    except UnreadableError:
        return nothing
