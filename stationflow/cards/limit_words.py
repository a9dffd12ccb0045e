"""What an operator must know of the limits of the tasks at a station, as the card says it."""

from collections.abc import Iterator, Sequence
from functools import partial

from stationflow.cards.times import PrintedUnit
from stationflow.cards.words import say
from stationflow.model import Line, Product, Task, TimeLag


def limit_words(
    product: Product, line: Line, tasks: Sequence[Task], language: str, unit: PrintedUnit
) -> Iterator[str]:
    """Yield the sentences, task by task; nothing of what only the planner has to know."""
    words = partial(say, language)
    ways = {task.limits.attitude for task in tasks} - {""}
    for task in tasks:
        limits, number = task.limits, task.number
        if None not in (limits.lift_kg, line.lift_kg) and limits.lift_kg > line.lift_kg:  # type: ignore[operator]
            mass = f"{limits.lift_kg:g}"
            yield words(
                "Task {task}: {mass} kg. Lift with two persons or with the lifting aid.",
                task=number,
                mass=mass,
            )
        if limits.guarded:
            yield words("Task {task}: work with the guard closed only.", task=number)
        if limits.static_safe:
            yield words("Task {task}: wear the tested wrist strap.", task=number)
        if limits.skill:
            yield words("Task {task}: only with {skill}.", task=number, skill=limits.skill)
        for other in limits.independent_of:
            yield words(
                "Task {task}: whoever did task {other} does not do this.", task=number, other=other
            )
        if limits.attitude and len(ways) > 1:
            yield words(
                "Task {task}: turn the unit: {attitude}.", task=number, attitude=limits.attitude
            )
    numbers = {task.number for task in tasks}
    for lag in product.lags:
        if lag.after in numbers:
            yield from _waiting(lag, language, unit)


def _waiting(lag: TimeLag, language: str, unit: PrintedUnit) -> Iterator[str]:
    for time_ms, phrase in (
        (lag.shortest_ms, "Task {task}: begin {time} after the end of task {other} or later."),
        (lag.longest_ms, "Task {task}: begin within {time} after the end of task {other}."),
    ):
        if time_ms is not None:
            time = unit.show(time_ms / 1000, language)
            yield say(language, phrase, task=lag.after, time=time, other=lag.before)
