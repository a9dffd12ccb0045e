"""The pace of a product's lines."""

from stationflow.balancing.work import line_work
from stationflow.model import Explained, Finding, Product, by_severity
from stationflow.network.joins import check_lines
from stationflow.pace.capacity import Way, explain_good_units, explain_workers, ways_to_reach
from stationflow.pace.takt import LinePace, check_pace, line_pace
from stationflow.storage import Store

__all__ = [
    "LinePace",
    "Way",
    "capacity_numbers",
    "cycle_time_of_plan",
    "findings",
    "paces",
    "ways",
]


def paces(product: Product) -> tuple[LinePace, ...]:
    """Return the pace of every line, in listed order."""
    return tuple(line_pace(product, line.name) for line in product.lines)


def ways(product: Product, cycle_time_s: float | None) -> tuple[Way, ...]:
    """Return the ways to reach the demand at a cycle time of the main line, in seconds.

    Without one, at the operating takt that availability and working time set.
    """
    return ways_to_reach(product, cycle_time_s)


def cycle_time_of_plan(store: Store, product: Product) -> float | None:
    """Return the cycle time the main line's plan in force can hold, in seconds.

    That is the load of its slowest station plus repositioning; None without a plan.
    """
    main = product.main_line
    plan = store.plan_in_force(product.code, main.name) if main else None
    if main is None or plan is None or not plan.result.has_plan:
        return None
    return plan.result.cycle_time + main.repositioning_ms / 1000


def capacity_numbers(product: Product, cycle_time_s: float | None) -> tuple[Explained, ...]:
    """Return what the main line can make and how many people its work needs, opened.

    Parameters
    ----------
    product
        The product.
    cycle_time_s
        Cycle time of the main line in seconds; None: its operating takt.
    """
    main = product.main_line
    if main is None:
        return ()
    pace = line_pace(product, main.name)
    if pace.operating_takt_s is None or pace.station_time_s is None:
        return ()
    cycle = cycle_time_s or pace.operating_takt_s
    work, _ = line_work(product, main.name)
    content = sum(work.times) / work.ticks if work else 0.0
    workers = explain_workers(
        content, pace.operating_takt_s, repositioning_s=main.repositioning_ms / 1000
    )
    made = explain_good_units(product.calendar, product.demand, cycle, main.copies)
    return (made, workers) if content else (made,)


def findings(product: Product) -> tuple[Finding, ...]:
    """Return what should be known about calendar, demand and lines."""
    return by_severity((*check_pace(product), *check_lines(product)))
