"""The pace of a product's lines."""

from stationflow.actions.opening.opened import Opened
from stationflow.actions.opening.plan_states import PlanState, plan_state
from stationflow.model import Finding, Product, by_severity
from stationflow.network.joins import check_lines
from stationflow.pace.capacity import cycle_of_plan_s
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
