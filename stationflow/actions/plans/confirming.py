"""Ask a second, independent solver whether an answer is right."""

from dataclasses import replace

from stationflow.actions.opening.opened import Opened
from stationflow.balancing.progress import Progress
from stationflow.balancing.second.second_opinion import SECONDS, confirm
from stationflow.balancing.work import line_work
from stationflow.model import Author, BalanceResult, BalanceSettings, Confirmation, Plan
from stationflow.storage import Store


def confirmed(
    opened: Opened,
    settings: BalanceSettings,
    result: BalanceResult,
    progress: Progress | None = None,
) -> BalanceResult:
    """Return a result with what a second solver says of it; data errors stay as they are.

    Parameters
    ----------
    opened
        What was balanced.
    settings
        What was asked; time limit and cores hold for the second solver too.
    result
        The answer.
    progress
        Asked whether to stop.
    """
    if result.ending is None:
        return result
    work, _ = opened.work(result.line)
    assert work is not None  # it was balanced
    said = confirm(
        work,
        settings,
        result,
        seconds=SECONDS if settings.seconds is None else settings.seconds,
        cores=settings.cores or 1,
        progress=progress,
    )
    return replace(result, confirmation=said)


def can_be_confirmed(plan: Plan) -> bool:
    """Return whether a second solver can be asked about a plan: a method made it."""
    return plan.result.ending is not None


def confirm_plan(store: Store, plan: Plan, *, seconds: float, by: Author) -> Confirmation:
    """Ask a second solver about a stored plan and keep what it says with the plan.

    It is asked on the product as it was when the plan was made.

    Parameters
    ----------
    store
        Where the plan is.
    plan
        The plan.
    seconds
        Time limit of the second solver.

    Raises
    ------
    StoreError
        If the plan, or the version it was made from, is not in the store.
    """
    made_from = store.saved_product(plan.product, plan.product_checksum)
    work, _ = line_work(made_from, plan.line)
    assert work is not None  # it was balanced
    said = confirm(work, plan.settings, plan.result, seconds=seconds)
    store.note_plan(plan.product, plan.plan_id, by=by, confirmation=said)
    return said
