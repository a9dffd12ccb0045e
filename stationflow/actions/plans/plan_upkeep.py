"""Look after stored plans: put in force, archive, name, remark, make again."""

from dataclasses import dataclass, replace

from stationflow.actions.plans.plan_keeping import save_plan, was_there
from stationflow.balancing.balance import balance_product
from stationflow.balancing.methods import METHODS
from stationflow.errors import PlanNotFoundError
from stationflow.model import Author, BalanceSettings, Plan
from stationflow.storage import Draft, Store

LONGEST_NAME = 200
LONGEST_REMARK = 4000


def describe_plan(
    store: Store, code: str, plan_id: int, *, name: str, remark: str, by: Author
) -> None:
    """Give a plan a name and a remark; an empty name leaves the one it has.

    PlanNotFoundError if the product has no such plan.
    """
    kept = " ".join(name.split())[:LONGEST_NAME]
    store.note_plan(code, plan_id, by=by, name=kept, remark=remark.strip()[:LONGEST_REMARK])


def put_in_force(store: Store, plan: Plan, *, by: Author) -> Plan:
    """Put a stored plan in force; the one of its line that was so no longer is."""
    return store.put_in_force(plan.product, plan.plan_id, by=by)


def archive_plan(store: Store, plan: Plan, *, archived: bool, by: Author) -> Plan:
    """Take a stored plan out of the lists, or bring it back; StoreError if it is in force."""
    return store.note_plan(plan.product, plan.plan_id, by=by, archived=archived)


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeAgain:
    """What came of making a plan again."""

    plan: Plan  # the plan that came out: the same one, or a new one
    is_same: bool  # whether every task came to the same station as before
    words: str  # what happened, in a sentence


def can_be_made_again(plan: Plan) -> bool:
    """Return whether a method made the plan; one that was given has nothing to repeat."""
    return plan.asked.method in METHODS


def make_again(store: Store, draft: Draft, plan: Plan, *, by: Author) -> MadeAgain:
    """Balance again with the settings of a plan, on the product as it is now.

    Where the product did not change since, a rule (and COMSOAL with its seed) gives the
    same plan, and nothing is stored; what differs is stored as a new plan, not in force.
    """
    if not any(p.plan_id == plan.plan_id for p in store.plans(plan.product, plan.line)):
        raise PlanNotFoundError(plan.product, plan.plan_id)
    result = balance_product(draft.product, plan.line, plan.asked)
    if not result.has_plan:
        made = Plan(product=plan.product, result=result)
        return MadeAgain(plan=made, is_same=False, words="No plan came out; the findings say why.")
    if [s.tasks for s in result.stations] == [s.tasks for s in plan.result.stations]:
        words = f"The same stations came out: {plan.label} can be made again."
        return MadeAgain(plan=plan, is_same=True, words=words)
    new = save_plan(store, draft, result, by=by, if_first=False)
    are = "the same as" if was_there(new, by) else "kept as"
    words = f"Other stations came out than in {plan.label}; they are {are} {new.label}."
    return MadeAgain(plan=new, is_same=False, words=words)


def settings_of_methods(
    names: list[str], asked: BalanceSettings, *, seconds: float
) -> list[BalanceSettings]:
    """Return the settings that ask several methods for the same, each with its own options.

    Limit and number of stations of `asked` hold for all; `seconds` is the time limit of the
    methods that need one.
    """
    bare = BalanceSettings(
        limit=asked.limit, stations=asked.stations, stations_from=asked.stations_from
    )
    return [
        replace(bare, method=name, seconds=None if METHODS[name].seconds is None else seconds)
        for name in names
    ]
