"""Rebalance a line from a stored plan: what can be chosen from, what it takes, what is kept."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stationflow.actions.plans.plan_keeping import plan_name, save_plan
from stationflow.balancing.by_hand.hand_plan import hand_plan, with_steps
from stationflow.balancing.given_stations import GivenStation
from stationflow.balancing.metrics import smoothness_index
from stationflow.balancing.progress import Progress
from stationflow.balancing.rebalance.cut_over import CutOverStep
from stationflow.balancing.rebalance.front import rebalance_front
from stationflow.balancing.rebalance.people import Round, fewest_people
from stationflow.balancing.rebalance.rebalancing import cut_over_steps
from stationflow.balancing.work import line_work
from stationflow.errors import PlanNotFoundError, StoreError
from stationflow.model import Author, BalanceResult, HandAct, Pins, Plan, Product, RebalanceSettings
from stationflow.pace.takt import line_pace
from stationflow.storage import Draft, Store


def stations_of_plan(plan: Plan) -> tuple[GivenStation, ...]:
    """Return the stations of a plan as an old plan."""
    return tuple(GivenStation(station.number, station.tasks) for station in plan.result.stations)


def rebalanced_plans(
    store: Store,
    draft: Draft,
    line: str,
    asked: RebalanceSettings,
    progress: Progress | None = None,
) -> tuple[Plan, ...]:
    """Return plans to choose from, least upheaval first; none is stored.

    PlanNotFoundError if the line has no such old plan.
    """
    old = next(
        (p for p in store.plans(draft.product.code, line) if p.plan_id == asked.plan_id), None
    )
    if old is None:
        raise PlanNotFoundError(draft.product.code, asked.plan_id)
    asked = replace(asked, pins=pins_of(store, draft.product, old))
    made = rebalance_front(draft.product, line, stations_of_plan(old), asked, progress)
    return tuple(
        Plan(
            product=draft.product.code,
            result=result,
            name=plan_name(result, draft.product.time_unit),
            product_version=draft.version,
            product_checksum=draft.checksum,
        )
        for result in made
    )


def pins_of(store: Store, product: Product, plan: Plan) -> Pins:
    """Return what stays as it is: what a plan was made around, and is pinned on its board."""
    work, _ = line_work(product, plan.line)
    if work is None or not plan.plan_id:
        return plan.result.asked.pins
    done = store.hand_work(plan.product, plan.plan_id)
    steps = done.steps[: done.done]
    is_moved = any(step.act not in (HandAct.PIN, HandAct.LOCK) for step in steps)
    begun = hand_plan(work, plan.result.stations, plan.result.asked.pins)
    return with_steps(begun, () if is_moved else steps).pins  # moved, it is another plan


def limit_at_demand(product: Product, line: str, percent: float) -> float | None:
    """Return the limit of a line at so many percent of today's demand, in seconds, or None."""
    demand = product.demand
    if demand.quantity is None:
        return None
    wanted = replace(demand, quantity=demand.quantity * percent / 100)
    return line_pace(replace(product, demand=wanted), line).station_time_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A plan to choose, with what decides between it and the others."""

    plan: Plan
    smoothness: float
    # the stations of each operator, where one may do several next to each other
    rounds: tuple[Round, ...]

    @property
    def result(self) -> BalanceResult:
        """The plan."""
        return self.plan.result


def choices(plans: Sequence[Plan], pace_s: float | None, walking_s: float) -> tuple[Choice, ...]:
    """Return plans with the people they need.

    `pace_s` is how long work and walking of an operator may last (None: the longest station),
    `walking_s` the way from a station to the next.
    """
    return tuple(
        Choice(
            plan=plan,
            smoothness=smoothness_index(plan.result.loads),
            rounds=fewest_people(plan.result.loads, pace_s or plan.result.cycle_time, walking_s)
            or (),
        )
        for plan in plans
        if plan.result.has_plan
    )


def steps_to(product: Product, old: Plan, made: BalanceResult) -> tuple[CutOverStep, ...]:
    """Return the cut-over from an old plan to one made from it, in order."""
    work, _ = line_work(product, made.line)
    return cut_over_steps(work, stations_of_plan(old), made, product) if work else ()


def keep_rebalanced(store: Store, draft: Draft, plan: Plan, old: Plan, *, by: Author) -> Plan:
    """Store a plan that was chosen; it is not put in force.

    StoreError if the product has changed since it was made.
    """
    if plan.product_checksum != draft.checksum:
        raise StoreError("The product has changed since these plans were made.", "Rebalance again.")
    name = f"{plan.name} from plan {old.number}"
    return save_plan(store, draft, plan.result, by=by, if_first=False, name=name)
