"""The plan of a rule that stands until a long search has its answer."""

from stationflow.actions.plans.plan_keeping import plan_name
from stationflow.actions.plans.plan_upkeep import settings_of_methods
from stationflow.balancing.balance import balance_product
from stationflow.balancing.goals import best_for_goal
from stationflow.balancing.methods import METHODS
from stationflow.model import BalanceSettings, Plan
from stationflow.storage import Draft

RULES = [name for name, method in METHODS.items() if method.uses == {"direction"}]


def best_rule_plan(draft: Draft, line: str, asked: BalanceSettings) -> Plan | None:
    """Return the best plan of the rules for what is asked, not stored; None: they find none."""
    every = settings_of_methods(RULES, asked, seconds=0)
    best = best_for_goal(balance_product(draft.product, line, settings) for settings in every)
    if best is None:
        return None
    return Plan(
        product=draft.product.code,
        result=best,
        name=plan_name(best, draft.product.time_unit),
        product_version=draft.version,
        product_checksum=draft.checksum,
    )
