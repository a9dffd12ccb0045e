"""The pace of a product's lines."""

from stationflow.actions.opening.opened import Opened
from stationflow.actions.opening.plan_states import PlanState, plan_state
from stationflow.model import Finding, Line, Plan, Product, by_severity
from stationflow.network.joins import check_lines
from stationflow.pace.takt import LinePace, check_pace, line_pace


def paces(product: Product) -> tuple[LinePace, ...]:
    """Return the pace of every line that is balanced, in listed order."""
    return tuple(line_pace(product, line.name) for line in product.made_lines)


def findings(product: Product) -> tuple[Finding, ...]:
    """Return what should be known about calendar, demand and lines."""
    return by_severity((*check_pace(product), *check_lines(product)))


def state_in_force(opened: Opened) -> PlanState | None:
    """Return the main line's plan in force as it stands today, or None."""
    main = opened.product.main_line
    plan = opened.plan_in_force(main.name) if main else None
    return plan_state(opened, plan) if plan else None


def cycle_in_force_s(opened: Opened) -> float | None:
    """Return the cycle time the main line's plan in force can hold today, in seconds, or None."""
    state, main = state_in_force(opened), opened.product.main_line
    return cycle_of_plan_s(state.judged, main) if state and main else None


def cycle_of_plan_s(plan: Plan | None, line: Line) -> float | None:
    """Return the load of a plan's slowest station plus repositioning, in seconds, or None."""
    if plan is None or not plan.result.has_plan:
        return None
    longest = plan.result.cycle_time
    return (longest + line.repositioning_ms / 1000) or None
