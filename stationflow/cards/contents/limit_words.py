"""What an operator must know of the limits of the tasks at a station, as the card says it."""

from collections.abc import Iterator, Sequence

from stationflow.cards.contents.times import PrintedUnit
from stationflow.cards.words import say
from stationflow.model import Line, Product, Task, TimeLag
from stationflow.people.lifts_of_line import task_lift


def limit_words(
    product: Product,
    line: Line,
    tasks: Sequence[Task],
    cycle_s: float,
    language: str,
    unit: PrintedUnit,
) -> Iterator[str]:
    """Yield the sentences, one for tasks alike; nothing of what only the planner must know.

    `cycle_s`: the time from unit to unit at a station, in seconds.
    """
    alike: dict[tuple[str, tuple[tuple[str, str], ...]], list[str]] = {}
    for task, phrase, values in _of_tasks(product, line, tasks, cycle_s):
        alike.setdefault((phrase, tuple(values.items())), []).append(task.number)
    for (phrase, items), named in alike.items():
        yield say(language, phrase, task=", ".join(named), **dict(items))
    numbers = {task.number for task in tasks}
    for lag in product.lags:
        if lag.after in numbers:
            yield from _waiting(lag, language, unit)


def _of_tasks(
    product: Product, line: Line, tasks: Sequence[Task], cycle_s: float
) -> Iterator[tuple[Task, str, dict[str, str]]]:
    """Yield the phrase of each limit of a task, with the values put into it."""
    ways = {task.limits.attitude for task in tasks} - {""}
    for task in tasks:
        limits, most = task.limits, line.lift_kg
        mass, lift = limits.lift_kg or 0, task_lift(product, task, cycle_s)
        if (most is not None and mass > most) or (lift and lift.is_too_much):
            phrase = "Task {task}: {mass} kg. Lift with two persons or with the lifting aid."
            yield task, phrase, {"mass": f"{mass:g}"}
        if limits.guarded:
            yield task, "Task {task}: work with the guard closed only.", {}
        if limits.static_safe:
            yield task, "Task {task}: wear the tested wrist strap.", {}
        if limits.skill:
            yield task, "Task {task}: only with {skill}.", {"skill": limits.skill}
        if limits.independent_of:
            others = {"other": ", ".join(limits.independent_of)}
            yield task, "Task {task}: whoever did task {other} does not do this.", others
        if limits.attitude and len(ways) > 1:
            yield task, "Task {task}: turn the unit: {attitude}.", {"attitude": limits.attitude}


def _waiting(lag: TimeLag, language: str, unit: PrintedUnit) -> Iterator[str]:
    for time_ms, phrase in (
        (lag.shortest_ms, "Task {task}: begin {time} after the end of task {other} or later."),
        (lag.longest_ms, "Task {task}: begin within {time} after the end of task {other}."),
    ):
        if time_ms is not None:
            time = unit.show(time_ms / 1000, language)
            yield say(language, phrase, task=lag.after, time=time, other=lag.before)
