"""Whether a plan still speaks of the product as it is now."""

from collections.abc import Iterable
from dataclasses import replace

from stationflow.model import Product, Task
from stationflow.network.line_tree import line_tree
from stationflow.units import show_time


def plan_differences(made_from: Product, now: Product, line: str) -> tuple[str, ...]:
    """Return, in words, what differs between two states of a product for one line's plan.

    Task times, precedence, lines, models and pace count; names, steps, parts and
    pictures do not, because they change no balance.

    Parameters
    ----------
    made_from
        The product the plan was made from.
    now
        The product as it is.
    line
        Name of the line.

    Returns
    -------
    tuple of str
        Empty: the plan is up to date.
    """
    return (
        *_task_differences(made_from, now, line),
        *_line_differences(made_from, now, line),
        *_pace_differences(made_from, now),
    )


def _task_differences(made_from: Product, now: Product, line: str) -> Iterable[str]:
    """Say which tasks of the line differ in what a balance uses."""
    before = {task.number: task for task in made_from.tasks_of(line)}
    after = {task.number: task for task in now.tasks_of(line)}
    for number in before:
        if number not in after:
            yield f"Task {number} is gone."
    for number in after:
        if number not in before:
            yield f"Task {number} is new."
    for number, task in after.items():
        if number in before:
            yield from _changes_of(before[number], task, now)


def _changes_of(before: Task, after: Task, now: Product) -> Iterable[str]:
    """Say what differs in one task."""
    if before.time_ms != after.time_ms:
        was, is_now = (show_time(t.time_ms, now.time_unit) for t in (before, after))
        yield f"Task {after.number}: time was {was}, is {is_now}."
    if set(before.predecessors) != set(after.predecessors):
        yield (
            f"Task {after.number}: predecessors were {', '.join(before.predecessors) or 'none'}, "
            f"are {', '.join(after.predecessors) or 'none'}."
        )
    if before.model_times != after.model_times:
        yield f"Task {after.number}: times by model differ."
    if before.limits != after.limits:
        yield f"Task {after.number}: limits differ."


def _line_differences(made_from: Product, now: Product, line: str) -> Iterable[str]:
    """Say which lines on the way from this line to the main line differ."""
    tree = line_tree(now)
    way = tree.ways.get(line, ())
    for is_now in way:
        was = made_from.line(is_now.name)
        if was is None or replace(was, title="") != replace(is_now, title=""):
            yield f"Line {is_now.name}: its settings differ."
    last = way[-1].feeds if way else line
    if last and last not in tree.lines:
        yield f"Line {last} is gone."


def _pace_differences(made_from: Product, now: Product) -> Iterable[str]:
    """Say what differs in models, calendar and demand."""
    shares = [[(m.name, m.share) for m in p.models] for p in (made_from, now)]
    if shares[0] != shares[1]:
        yield "The mix of models differs."
    if made_from.calendar != now.calendar:
        yield "The calendar differs."
    if made_from.demand != now.demand:
        yield "The demand differs."
    if made_from.lags != now.lags:
        yield "The times between tasks differ."
