"""The check of a joint balance, made from the product alone; it shares no code with the search."""

from collections.abc import Iterator, Mapping, Sequence

from stationflow.balancing.verify import LIMIT_CODES, verify
from stationflow.balancing.work import line_work
from stationflow.model import BalanceResult, Finding, Product, Task, error


def check_joint(
    before: Product, after: Product, results: Mapping[str, BalanceResult]
) -> tuple[Finding, ...]:
    """Return everything that is wrong with plans of all lines; empty: they hold.

    `before`: the product as entered, `after`: the one whose lines the plans are for.
    """
    found = list(_moves(before, after))
    found += _order(before, after, results)
    for name, result in results.items():
        work, said = line_work(after, name)
        if work is None:
            found += said
            continue
        stations = [station.tasks for station in result.stations]
        not_kept = any(finding.code == "limits-broken" for finding in result.findings)
        broken = verify(work, stations, limit=result.limit)
        found += (f for f in broken if not (not_kept and f.code in LIMIT_CODES))
    return tuple(found)


def _moves(before: Product, after: Product) -> Iterator[Finding]:
    """Yield the tasks that are on a line that was not entered for them."""
    now = {task.number: task for task in after.tasks}
    if sorted(now) != sorted(task.number for task in before.tasks):
        yield error("task-not-assigned", "Lines", "The tasks are not the same as before.")
        return
    groups: dict[tuple[str, str], set[str]] = {}
    for task in before.tasks:
        line = now[task.number].line
        if line != task.line and line not in task.other_lines:
            message = f"It is on line {line}, which is not entered for it."
            yield error("station-not-allowed", f"Task {task.number}", message)
        if not set(task.predecessors) <= set(now[task.number].predecessors):
            message = "Tasks that it waits for are no longer entered."
            yield error("predecessor-later", f"Task {task.number}", message)
        if task.limits.together:
            groups.setdefault((task.line, task.limits.together), set()).add(line)
    for (_, label), lines in groups.items():
        if len(lines) > 1:
            message = f"The tasks of group {label} are on lines {', '.join(sorted(lines))}."
            yield error("group-split", "Lines", message)


def _order(
    before: Product, after: Product, results: Mapping[str, BalanceResult]
) -> Iterator[Finding]:
    """Yield the tasks that come before what they wait for on another line."""
    now = {task.number: task for task in after.tasks}
    place = {
        (name, number): (station.number, at)
        for name, result in results.items()
        for station in result.stations
        for at, number in enumerate(station.tasks)
    }
    for task in before.tasks:
        for number in task.predecessors:
            if number in now and (why := _why_not(after, now[number], now[task.number], place)):
                yield error("predecessor-later", f"Task {task.number}", why)


def _why_not(
    product: Product, one: Task, after: Task, place: Mapping[tuple[str, str], Sequence[int]]
) -> str:
    """Return why a task on another line may not wait for this one; empty: it may."""
    if one.line == after.line:  # told by `verify`
        return ""
    feeder = product.line(one.line)
    if feeder is None or feeder.feeds != after.line:
        return f"It waits for task {one.number} on line {one.line}, which does not feed its line."
    join, here = place.get((after.line, feeder.join)), place.get((after.line, after.number))
    if join is not None and here is not None and tuple(here) < tuple(join):
        return f"It comes before task {feeder.join}, where the units of line {one.line} arrive."
    return ""
