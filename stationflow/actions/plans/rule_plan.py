"""The plan of a rule that stands until a long search has its answer."""

from stationflow.actions.plans.plan_keeping import plan_name
from stationflow.actions.plans.plan_upkeep import settings_of_methods
from stationflow.balancing.balance import balance_product
from stationflow.balancing.methods import METHODS
from stationflow.model import BalanceResult, BalanceSettings, Goal, Plan
from stationflow.storage import Draft

RULES = [name for name, method in METHODS.items() if method.uses == {"direction"}]


def best_rule_plan(draft: Draft, line: str, asked: BalanceSettings) -> Plan | None:
    """Return the best plan of the rules for what is asked, not stored; None: they find none."""
    every = settings_of_methods(RULES, asked, seconds=0)
    results = [balance_product(draft.product, line, settings) for settings in every]
    best = min((each for each in results if each.has_plan), key=_worth, default=None)
    if best is None:
        return None
    return Plan(
        product=draft.product.code,
        result=best,
        name=plan_name(best, draft.product.time_unit),
        product_version=draft.version,
        product_checksum=draft.checksum,
    )


def _worth(result: BalanceResult) -> tuple[float, float]:
    """Return what makes a plan better than another for its goal, less being better."""
    stations, cycle = float(len(result.stations)), result.cycle_time
    if result.goal == Goal.BEST_EFFICIENCY:
        return stations * cycle, stations
    return (cycle, stations) if result.goal == Goal.SHORTEST_CYCLE else (stations, cycle)
