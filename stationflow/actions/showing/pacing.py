"""The pace of a product's lines, and edits of lines and models that keep tasks with them."""

from collections.abc import Sequence
from dataclasses import replace

from stationflow.actions.showing.checking import by_severity
from stationflow.balancing.work import line_work
from stationflow.editing.renaming import new_names
from stationflow.model import Explained, Finding, Line, Model, Product
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
    "with_lines",
    "with_models",
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
    return plan.result.cycle_time + main.repositioning_s


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
    workers = explain_workers(content, pace.operating_takt_s, repositioning_s=main.repositioning_s)
    made = explain_good_units(product.calendar, product.demand, cycle, main.copies)
    return (made, workers) if content else (made,)


def findings(product: Product) -> tuple[Finding, ...]:
    """Return what should be known about calendar, demand and lines."""
    return by_severity((*check_pace(product), *check_lines(product)))


def with_lines(product: Product, lines: Sequence[Line], came_from: Sequence[int | None]) -> Product:
    """Return the product with edited lines; tasks and feeds follow a line's new name."""
    before = [line.name for line in product.lines]
    names = new_names(before, [line.name for line in lines], came_from)
    return replace(
        product,
        lines=tuple(replace(line, feeds=names.get(line.feeds, line.feeds)) for line in lines),
        tasks=tuple(
            replace(task, line=names[task.line]) if task.line in names else task
            for task in product.tasks
        ),
    )


def with_models(
    product: Product, models: Sequence[Model], came_from: Sequence[int | None]
) -> Product:
    """Return the product with edited models; the tasks' times follow a model's new name."""
    before = [model.name for model in product.models]
    names = new_names(before, [model.name for model in models], came_from)
    tasks = product.tasks
    if names:
        tasks = tuple(
            replace(
                task,
                model_times=tuple(
                    replace(t, model=names.get(t.model, t.model)) for t in task.model_times
                ),
            )
            for task in tasks
        )
    return replace(product, models=tuple(models), tasks=tasks)
