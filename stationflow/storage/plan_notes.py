"""What the engineer says about stored plans: name, remark, and whether one is put away."""

from dataclasses import dataclass, replace

from sqlalchemy import Connection, and_, delete, insert, select, update

from stationflow.errors import PlanNotFoundError, StoreError
from stationflow.files.codec import plan_from_json, plan_to_json
from stationflow.model import Confirmation
from stationflow.storage.store_tables import plan_notes, plans


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanNote:
    """What is kept beside a plan.

    Attributes
    ----------
    remark
        What the engineer wrote about the plan.
    archived
        Whether the plan is out of the lists. Nothing of it is lost.
    """

    remark: str = ""
    archived: bool = False


def notes_of(connection: Connection, code: str) -> dict[int, PlanNote]:
    """Return the notes of a product's plans, by plan number; plans without one are left out."""
    query = select(plan_notes).join(plans, plans.c.plan_id == plan_notes.c.plan_id)
    return {
        row.plan_id: PlanNote(remark=row.remark, archived=row.archived)
        for row in connection.execute(query.where(plans.c.code == code))
    }


def set_note(connection: Connection, code: str, plan_id: int, note: PlanNote) -> None:
    """Put a note beside a plan; the one before it is replaced.

    Raises
    ------
    PlanNotFoundError
        If the product has no such plan.
    StoreError
        If a plan in force is to be put away.
    """
    _document(connection, code, plan_id)
    in_force = select(plans.c.in_force).where(plans.c.plan_id == plan_id)
    if note.archived and connection.scalar(in_force):
        raise StoreError(
            f"Plan {plan_id} is in force, and a plan in force cannot be archived.",
            "Put another plan of the line in force first.",
        )
    connection.execute(delete(plan_notes).where(plan_notes.c.plan_id == plan_id))
    connection.execute(
        insert(plan_notes).values(plan_id=plan_id, remark=note.remark, archived=note.archived)
    )


def rename(connection: Connection, code: str, plan_id: int, name: str) -> None:
    """Give a plan another name; nothing else of it changes.

    Raises
    ------
    PlanNotFoundError
        If the product has no such plan.
    """
    plan = plan_from_json(_document(connection, code, plan_id))
    connection.execute(
        update(plans)
        .where(plans.c.plan_id == plan_id)
        .values(document=plan_to_json(replace(plan, name=name)))
    )


def confirm(connection: Connection, code: str, plan_id: int, confirmation: Confirmation) -> None:
    """Keep with a plan what a second solver says of it; nothing else of it changes.

    Raises
    ------
    PlanNotFoundError
        If the product has no such plan.
    """
    plan = plan_from_json(_document(connection, code, plan_id))
    said = replace(plan, confirmation=confirmation)
    connection.execute(
        update(plans).where(plans.c.plan_id == plan_id).values(document=plan_to_json(said))
    )


def _document(connection: Connection, code: str, plan_id: int) -> str:
    """Return the stored text of a plan."""
    chosen = and_(plans.c.code == code, plans.c.plan_id == plan_id)
    document = connection.scalar(select(plans.c.document).where(chosen))
    if document is None:
        raise PlanNotFoundError(code, plan_id)
    return str(document)
