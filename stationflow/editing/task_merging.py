"""Merge tasks into one that is done without a break.

Rules (common practice, no source): the merged task stands where the first was listed and
keeps its number; it waits for all that its parts waited for, and all that waited for a
part wait for it. Times, quantities and steps add up. What cannot be true of one task at
once is refused with a sentence; nothing the engineer entered is lost silently.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import partial
from operator import attrgetter
from typing import Any

from stationflow.editing.task_mentions import TaskChange, TaskChangeError, is_named, words_of
from stationflow.model import (
    Lift,
    ModelTime,
    PartUse,
    Product,
    Side,
    StationTime,
    Step,
    Task,
    TaskLimits,
    TimeLag,
)
from stationflow.model.references import Thing, renamed
from stationflow.model.schema.tables import TABLE
from stationflow.units import exact, rooted, show_time


def merge_tasks(product: Product, places: Collection[int]) -> TaskChange:
    """Return the product with some tasks of one line merged into one.

    Raises `TaskChangeError` if there is one task only, the tasks are of several lines, only some
    are timed, limits contradict each other, a time between two of them is kept, or a path from one
    to another leads over a task that is not merged: that would close a circle. The sentence names
    what it is.
    """
    order = sorted(places)
    tasks = [product.tasks[at] for at in order]
    if refusal := next(_refusals(product, order), None):
        raise TaskChangeError(*refusal)
    models = list(dict.fromkeys(t.model for task in tasks for t in task.model_times))
    merged = Task(
        number=tasks[0].number,
        name="; ".join(task.name for task in tasks if task.name),
        line=tasks[0].line,
        time_ms=_sum([task.time_ms for task in tasks]),
        predecessors=_union(task.predecessors for task in tasks),
        model_times=tuple(
            ModelTime(model=model, time_ms=_sum([t.time_ms_for(model) for t in tasks]) or 0)
            for model in models
        ),
        station_times=_station_times(tasks),
        machine=tasks[0].machine,
        time_sd_ms=_deviation(tasks),
        time_source="; ".join(dict.fromkeys(t.time_source for t in tasks if t.time_source)),
        remark="; ".join(dict.fromkeys(t.remark for t in tasks if t.remark)),
        picture=_one_of(tasks, "picture", attrgetter("picture"), "") or "",
        steps=_steps(tasks),
        parts=_parts(tasks),
        tools=_union(task.tools for task in tasks),
        checks=_union(task.checks for task in tasks),
        cautions=_union(task.cautions for task in tasks),
        limits=_limits(tasks),
        quality=_one_of(tasks, "test and repair data", attrgetter("quality"), None),
        lift=_one_of(tasks, "a lift", attrgetter("lift"), None),
        other_lines=tuple(
            line for line in tasks[0].other_lines if all(line in t.other_lines for t in tasks)
        ),
    )
    return _in_place(product, order, merged)


def _in_place(product: Product, order: Sequence[int], merged: Task) -> TaskChange:
    """Return the product with the merged task in the place of the first, mentions carried."""
    numbers = [product.tasks[at].number for at in order]
    named = {product.tasks[at].number for at in order if is_named(product, at)}
    followed = renamed(product, Thing.TASK, lambda _: dict.fromkeys(named, (merged.number,)))
    merged = replace(merged, predecessors=tuple(n for n in merged.predecessors if n not in numbers))
    gone = set(order[1:])
    tasks = tuple(
        merged if at == order[0] else task
        for at, task in enumerate(followed.tasks)
        if at not in gone
    )
    words = (
        f"Tasks {words_of(numbers)} become task {merged.number} "
        f"({show_time(merged.time_ms, product.time_unit)}), with all their steps, parts, tools, "
        "checks and cautions."
    )
    after = replace(followed, tasks=tasks, lags=_lags_once(followed.lags, merged.number))
    return TaskChange(after, order[0], words)


def _refusals(product: Product, order: Sequence[int]) -> Iterator[tuple[str, str]]:
    """Yield why tasks cannot be one, each with what to do."""
    tasks = [product.tasks[at] for at in order]
    numbers = [task.number for task in tasks]
    if len(tasks) < 2:
        hint = "Choose one or more further tasks of the line."
        yield "One task alone cannot be merged.", hint
    lines = list(dict.fromkeys(task.line for task in tasks))
    if len(lines) > 1:
        said = f"Tasks {words_of(numbers)} are on the lines {words_of(lines)}."
        yield said, "Merge tasks of one line; give them the same line first."
    untimed = [task.number for task in tasks if task.time_ms is None]
    if 0 < len(untimed) < len(tasks):
        which, are = ("Task", "is") if len(untimed) == 1 else ("Tasks", "are")
        said = f"{which} {words_of(untimed)} {are} not timed, the others are; their sum would look "
        yield f"{said}complete.", "Enter the time first."
    machine = [task.number for task in tasks if task.machine]
    if 0 < len(machine) < len(tasks):
        said = f"The time of task {words_of(machine)} is a machine's, the others are done by hand."
        yield said, "Keep machine time and hand time in tasks of their own."
    without = [task.number for task in tasks if task.time_sd_ms is None]
    if 0 < len(without) < len(tasks):
        said = f"The standard deviation of the time is known for some, not for {words_of(without)}."
        yield said, "Enter it for all of them (0 if the time does not vary), or for none."
    if path := path_outside(product, order):
        between = words_of(path[1:-1])
        yield (
            f"Tasks {words_of(numbers)} cannot be one task: {' before '.join(path)}, and "
            f"{between} would have to come before and after it.",
            f"Merge {between} too, or take one of these arrows away.",
        )
    for lag in product.lags:
        if lag.before in numbers and lag.after in numbers:
            yield (
                f"A time between tasks {lag.before} and {lag.after} is entered; within one task "
                "no time can pass.",
                "Take that time away first, or leave one of the two out.",
            )
    for name, words in (("apart", "apart from"), ("independent_of", "by another operator than")):
        for task in tasks:
            if clash := {*numbers}.intersection(getattr(task.limits, name)) - {task.number}:
                said = f"Task {task.number} must be done {words} task {words_of(sorted(clash))}."
                yield said, "Take that limit away first, or leave one of the two out."


INSIDE = "\n"  # a node that no task number can be


def path_outside(product: Product, places: Collection[int]) -> tuple[str, ...]:
    """Return the shortest path from one of some tasks over others back to one of them, or none."""
    import networkx as nx

    inside = {product.tasks[at].number for at in places if is_named(product, at)}
    graph: Any = nx.DiGraph()  # in which all tasks inside are one node
    for at, task in enumerate(product.tasks):
        if is_named(product, at) or at in places:
            for number in task.predecessors:
                ends = [INSIDE if n in inside else n for n in (number, task.number)]
                if ends != [INSIDE, INSIDE] and not graph.has_edge(*ends):
                    graph.add_edge(*ends, of=(number, task.number))
    if INSIDE not in graph:
        return ()
    ways = nx.single_source_shortest_path(graph, INSIDE)
    rounds: list[list[str]] = [ways[n] for n in graph.predecessors(INSIDE) if n in ways]
    if not rounds:
        return ()
    _, *outside = min(rounds, key=len)
    first, _ = graph.edges[INSIDE, outside[0]]["of"]
    _, last = graph.edges[outside[-1], INSIDE]["of"]
    return (first, *outside, last)


def _lags_once(lags: tuple[TimeLag, ...], number: str) -> tuple[TimeLag, ...]:
    """Return the times between tasks, those of the merged task with one other task in one.

    The shortest time is the longest of them, and the longest the shortest, so that all
    of them are kept.
    """
    kept: dict[tuple[str, str], TimeLag] = {}
    for i, lag in enumerate(lags):
        key = (lag.before, lag.after)
        if number not in key:
            key = (f"{i}", "\n")  # left alone, whatever it says
        if key in kept:
            lag = replace(
                lag,
                shortest_ms=_chosen(max, (kept[key].shortest_ms, lag.shortest_ms)),
                longest_ms=_chosen(min, (kept[key].longest_ms, lag.longest_ms)),
                least_stations=_chosen(max, (kept[key].least_stations, lag.least_stations)),
                most_stations=_chosen(min, (kept[key].most_stations, lag.most_stations)),
            )
        kept[key] = lag
    return tuple(kept.values())


def _chosen(choose: Callable[..., float], numbers: Iterable[float | None]) -> Any:
    """Return the chosen one of the numbers that are given; None: none is."""
    given = [number for number in numbers if number is not None]
    return choose(given) if given else None


def _sum(times_ms: Sequence[int | None]) -> int | None:
    """Return the sum of times; None: one is not timed."""
    return None if None in times_ms else sum(time or 0 for time in times_ms)


def _station_times(tasks: Sequence[Task]) -> tuple[StationTime, ...]:
    """Return the sum of times at each station where one of the tasks takes another."""
    own = [{at.station: at.time_ms for at in task.station_times} for task in tasks]
    return tuple(
        StationTime(
            station=station,
            time_ms=sum(
                there.get(station, t.time_ms or 0) for there, t in zip(own, tasks, strict=True)
            ),
        )
        for station in dict.fromkeys(station for there in own for station in there)
    )


def _deviation(tasks: Sequence[Task]) -> int | None:
    """Return the standard deviation of the sum of independent times: the root of the squares."""
    if any(task.time_sd_ms is None for task in tasks):
        return None
    return rooted(sum((task.time_sd_ms or 0) ** 2 for task in tasks))


def _union(lists: Iterable[tuple[Any, ...]]) -> tuple[Any, ...]:
    """Return what stands in several lists, each once, in order."""
    return tuple(dict.fromkeys(item for items in lists for item in items))


def _steps(tasks: Sequence[Task]) -> tuple[Step, ...]:
    """Return the steps of all tasks; a task without steps among others becomes one itself."""
    steps: list[Step] = []
    has_steps = any(task.steps for task in tasks)
    is_timed = all(step.time_ms is not None for task in tasks for step in task.steps)
    for task in tasks:
        steps += task.steps
        if has_steps and not task.steps and (task.name or is_timed):
            steps.append(Step(text=task.name, time_ms=task.time_ms if is_timed else None))
    return tuple(steps)


def _parts(tasks: Sequence[Task]) -> tuple[PartUse, ...]:
    """Return the parts of all tasks, quantities of one part summed."""
    quantities: dict[str, Decimal] = {}
    for use in (use for task in tasks for use in task.parts):
        quantities[use.part] = quantities.get(use.part, Decimal(0)) + exact(use.quantity)
    return tuple(PartUse(part=part, quantity=float(q)) for part, q in quantities.items())


def _one_of(tasks: Sequence[Task], what: str, value: Callable[[Task], Any], empty: Any) -> Any:
    """Return the one value that tasks state; raise when they state different ones."""
    stated = {task.number: value(task) for task in tasks if value(task) != empty}
    if len(set(stated.values())) > 1:
        first, one = next(iter(stated.items()))
        second, other = next(item for item in stated.items() if item[1] != one)
        raise TaskChangeError(
            f"Task {first} has {what} {_said(one)}, task {second} has {_said(other)}; one task "
            "cannot have both.",
            "Make them alike, or clear one of them first.",
        )
    return next(iter(stated.values()), empty)


def _said(value: Any) -> str:
    """Return a value as a sentence names it."""
    if isinstance(value, Lift):
        return f"from {value.from_height_mm} to {value.to_height_mm} mm above the floor"
    return f"“{value}”" if isinstance(value, str) else str(getattr(value, "kind", value))


def _limits(tasks: Sequence[Task]) -> TaskLimits:
    """Return the limits that all tasks need together.

    Lists are joined, the larger load and the sum of the widths hold, protection is needed
    if one needs it, and what one may not, the merged task may not.
    """
    merged: dict[str, Any] = {"side": _side(tasks)}
    for column in TABLE["limits"].columns[1:]:
        name = column.field
        if name in TOGETHER:
            merged[name] = TOGETHER[name]([getattr(task.limits, name) for task in tasks])
        elif name not in merged:
            empty = TABLE["limits"].usual(column)
            limit = attrgetter(f"limits.{name}")
            merged[name] = _one_of(tasks, column.in_words, limit, empty)
    return TaskLimits(**merged)


def _allowed(answers: Sequence[bool | None]) -> bool | None:
    """Return whether all may: no if one may not; not stated if one does not say."""
    if False in answers:
        return False
    return None if None in answers else True


def _side(tasks: Sequence[Task]) -> Side | None:
    """Return the side of the line: a firm one before either."""
    stated = {task.limits.side for task in tasks} - {None}
    if stated <= {Side.EITHER}:
        return next(iter(stated), None)

    def firm(task: Task) -> Side | None:
        return task.limits.side if task.limits.side != Side.EITHER else None

    side: Side = _one_of(tasks, "side", firm, None)
    return side


# Limits that have a rule when tasks are merged; of any other all tasks must state the same.
TOGETHER: dict[str, Callable[[Sequence[Any]], Any]] = {
    "apart": _union,
    "independent_of": _union,
    "equipment": _union,
    "earliest_station": partial(_chosen, max),
    "latest_station": partial(_chosen, min),
    "static_safe": any,
    "guarded": any,
    "lift_kg": partial(_chosen, max),
    "lifts": partial(_chosen, sum),
    "space_mm": partial(_chosen, sum),
    "while_moving": _allowed,
    "crossing": _allowed,
}
