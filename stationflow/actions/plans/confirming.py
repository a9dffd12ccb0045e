"""Ask a second, independent solver whether an answer is right."""

from stationflow.actions.opening.opened import Opened
from stationflow.balancing.progress import Progress
from stationflow.balancing.second.second_opinion import SECONDS, confirm
from stationflow.balancing.work import line_work
from stationflow.model import Author, BalanceResult, Confirmation, Plan
from stationflow.storage import Store


def confirmed(
    opened: Opened, result: BalanceResult, progress: Progress | None = None
) -> Confirmation | None:
    """Return what a second solver says of an answer; None: data errors, nothing was tried.

    Time limit and cores that were asked for hold for the second solver too.
    """
    if result.ending is None:
        return None
    work, _ = opened.work(result.line)
    assert work is not None  # it was balanced
    return confirm(
        work,
        result,
        seconds=result.asked.seconds or SECONDS,
        cores=result.asked.cores or 1,
        progress=progress,
    )


def can_be_confirmed(plan: Plan) -> bool:
    """Return whether a second solver can be asked about a plan: a method made it."""
    return plan.result.ending is not None


def confirm_plan(store: Store, plan: Plan, *, seconds: float, by: Author) -> Confirmation:
    """Ask a second solver about a stored plan and keep what it says with the plan.

    It is asked on the product as it was when the plan was made.

    `seconds` is its time limit. StoreError if the plan, or the version it was made from, is not
    in the store.
    """
    made_from = store.made_from(plan.product, plan.product_checksum)
    work, _ = line_work(made_from, plan.line)
    assert work is not None  # it was balanced
    said = confirm(work, plan.result, seconds=seconds)
    store.note_plan(plan.product, plan.plan_id, by=by, confirmation=said)
    return said
