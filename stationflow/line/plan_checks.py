"""Checks of the plans of all lines together: one pace, joins served, every line planned."""

from collections.abc import Iterator, Mapping
from fractions import Fraction

from stationflow.model import (
    Finding,
    Product,
    ProductPlan,
    note,
    warning,
)
from stationflow.network.line_tree import line_tree
from stationflow.pace.capacity import with_repositioning
from stationflow.pace.figures import figure
from stationflow.pace.takt import pace_facts


def check_plans(product: Product, plans: ProductPlan) -> tuple[Finding, ...]:
    """Return what is wrong with the plans of all lines together.

    All lines keep the pace that the demand sets, after quantities, yields and copies; what is
    consumed at a join has its task at a station of the plan.
    """
    return (
        *_missing(product, plans),
        *_of_other_tasks(product, plans),
        *_one_pace(product, plans),
        *_joins(product, plans),
    )


def _missing(product: Product, plans: ProductPlan) -> Iterator[Finding]:
    for line in product.made_lines:
        plan = plans.of(line.name)
        if plan is None or not plan.result.has_plan:
            message = "It has no plan; nothing that needs its stations can be computed."
            yield warning("no-plan", f"Line {line.name}", message)


def _of_other_tasks(product: Product, plans: ProductPlan) -> Iterator[Finding]:
    """Name plans whose tasks are not those of their line now."""
    for line in product.made_lines:
        plan = plans.of(line.name)
        if plan is None:
            continue
        planned = {task for station in plan.result.stations for task in station.tasks}
        own = {task.number for task in product.tasks_of(line.name)}
        if planned and planned != own:
            new, gone = sorted(own - planned), sorted(planned - own)
            said = [f"tasks {', '.join(new[:6])} are in no station"] if new else []
            said += [f"tasks {', '.join(gone[:6])} are not on the line any more"] if gone else []
            message = f"It does not fit the line: {'; '.join(said)}."
            yield warning("plan-out-of-date", f"Plan of line {line.name}", message)


def _one_pace(product: Product, plans: ProductPlan) -> Iterator[Finding]:
    """Name lines that cannot keep the pace, and plans that were made for different ones."""
    told = {line.name: pace_facts(product, line.name)[0] for line in product.made_lines}
    paces = {name: facts for name, facts in told.items() if facts is not None}
    asked: dict[str, Fraction] = {}
    main = product.main_line
    for name, facts in paces.items():
        plan = plans.of(name)
        if plan is None or not plan.result.has_plan:
            continue
        cycle = with_repositioning(facts.line, plan.result.cycle_time, plan.result)
        if cycle > facts.operating_takt:
            message = (
                f"Its slowest station needs {figure(cycle, 3)} s for a unit, repositioning "
                f"included, and one has to start every {figure(facts.operating_takt, 3)} s."
            )
            yield warning("line-too-slow", f"Line {name}", message)
        limit = plan.result.limit
        if limit is not None and main is not None and main.name in paces:
            # What the plan was made for, as a start on the main line.
            share = paces[main.name].operating_takt / facts.operating_takt
            asked[name] = with_repositioning(facts.line, limit, plan.result) * share
    if main is not None and main.name in asked:
        yield from _other_paces(asked, main.name)


def _other_paces(asked: Mapping[str, Fraction], main: str) -> Iterator[Finding]:
    """Name plans that were made for another pace than that of the main line."""
    for name, pace in asked.items():
        if name != main and abs(pace - asked[main]) > asked[main] / 1000:
            message = (
                f"Its plan was made for a start on line {main} every {figure(pace, 3)} s, that of "
                f"line {main} for one every {figure(asked[main], 3)} s."
            )
            yield warning("paces-differ", f"Line {name}", message)


def _joins(product: Product, plans: ProductPlan) -> Iterator[Finding]:
    """Name joins at no station, at the first station, and several at one."""
    tree = line_tree(product)
    for name in tree.lines:
        plan = plans.of(name)
        if plan is None or not plan.result.has_plan:
            continue
        stations = plan.result.stations
        first = stations[0].number
        feeders: dict[int, list[str]] = {}
        for join in tree.feeders(name):
            at = next((each.number for each in stations if join.join in each.tasks), None)
            if at is None:
                message = (
                    f"Its unit is consumed by task {join.join}, and no station of the plan of line "
                    f"{name} has that task."
                )
                yield warning("join-at-no-station", f"Line {join.line}", message)
                continue
            feeders.setdefault(at, []).append(join.line)
            if at == first:
                message = (
                    f"Its unit joins at station {at} of line {name}, the first: it has to be there "
                    f"before line {name} can start."
                )
                yield note("join-at-first-station", f"Line {join.line}", message)
        for at, names in feeders.items():
            if len(set(names)) > 1:
                message = (
                    f"The units of lines {', '.join(dict.fromkeys(names))} join there: each needs "
                    "room beside it."
                )
                yield note("joins-share-station", f"Line {name}, station {at}", message)
