"""Balance all lines of a product at once, and keep what came out: moved tasks and plans in one."""

from dataclasses import replace

from stationflow.actions.opening.opened import Opened
from stationflow.actions.plans.plan_keeping import plan_name
from stationflow.balancing.plan_inputs import plan_inputs_checksum
from stationflow.balancing.progress import Progress
from stationflow.balancing.time_words import count
from stationflow.errors import StoreError
from stationflow.line.joint.joint_balance import JointBalance, joint_balance
from stationflow.model import Author, BalanceSettings, Plan, by_severity
from stationflow.storage import Draft, Store


def balance_jointly(
    opened: Opened, settings: BalanceSettings, progress: Progress | None = None
) -> JointBalance:
    """Balance all lines of an opened product at once, at their own pace; see `joint_balance`."""
    found = joint_balance(opened.product, settings, progress)
    return replace(found, findings=by_severity((*opened.findings, *found.findings)))


def keep_joint(
    store: Store, draft: Draft, found: JointBalance, *, by: Author
) -> tuple[Draft, list[Plan]]:
    """Store the moved tasks and the plans of all lines, put in force, as one step.

    Undo takes the tasks back to their lines, and puts the plans in force that were so before.

    StoreError if there are no plans, or the product has changed since they were made.
    """
    if not found.has_plans:
        raise StoreError("There are no plans to store.", "Balance the lines first.")
    if found.made_from != draft.product:
        raise StoreError(
            "The product has changed since these plans were made.", "Balance the lines again."
        )
    plans = [
        Plan(
            product=draft.product.code,
            result=result,
            name=f"{plan_name(result, draft.product.time_unit)}, all lines at once",
            inputs=plan_inputs_checksum(found.product, result.line),
            in_force=True,
        )
        for result in found.results
    ]
    return store.save_with_plans(found.product, plans, base=draft.checksum, by=by)


def joint_words(found: JointBalance) -> str:
    """Return what came of it, in sentences."""
    if found.total_stations is None:
        return "Not every line has a plan."
    told = [f"All lines together need {count(found.total_stations, 'station')}."]
    before = found.separate_stations
    if before is not None and before > found.total_stations:
        told.append(f"Balanced one by one they need {before}.")
    if found.gap:
        told.append(f"It is not proven whether {found.lower_bound} would do.")
    else:
        told.append("No choice of lines for the tasks that may move needs fewer.")
    told += [
        f"Task {move.task} moves from line {move.old} to line {move.new}." for move in found.moved
    ]
    return " ".join(told)
