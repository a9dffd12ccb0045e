"""The pace of a product's lines."""

from stationflow.actions.opening.opened import Opened
from stationflow.model import Finding, Line, Plan, Product, by_severity
from stationflow.network.joins import check_lines
from stationflow.pace.takt import LinePace, check_pace, line_pace


def paces(product: Product) -> tuple[LinePace, ...]:
    """Return the pace of every line, in listed order."""
    return tuple(line_pace(product, line.name) for line in product.lines)


def findings(product: Product) -> tuple[Finding, ...]:
    """Return what should be known about calendar, demand and lines."""
    return by_severity((*check_pace(product), *check_lines(product)))


def cycle_in_force_s(opened: Opened) -> float | None:
    """Return the cycle time the main line's plan in force can hold, in seconds, or None."""
    main = opened.product.main_line
    return cycle_of_plan_s(opened.plan_in_force(main.name), main) if main else None


def cycle_of_plan_s(plan: Plan | None, line: Line) -> float | None:
    """Return the load of a plan's slowest station plus repositioning, in seconds, or None."""
    if plan is None or not plan.result.has_plan:
        return None
    longest = plan.result.cycle_time
    return (longest + line.repositioning_ms / 1000) or None
