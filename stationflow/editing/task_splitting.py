"""Split a task into parts that are done one after the other.

Rules (common practice, no source; that times and work content stay is an invariant of
the model): the first part keeps the number and takes the arrows in, the last has the
arrows out, and between them each part waits for the one before. All times are divided
in whole milliseconds, so that their sums are the old times exactly.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from stationflow.editing.task_changes import free_numbers_after
from stationflow.editing.task_mentions import TaskChange, TaskChangeError, is_named, words_of
from stationflow.model import ModelTime, Product, StationTime, Step, Task, TaskLimits
from stationflow.model.changes.change_words import exact_time
from stationflow.model.references import AtSplit, Thing, renamed
from stationflow.units import rooted, show_time

MOST_PARTS = 20

Steps = tuple[Step, ...]


def split_by_times(product: Product, place: int, times_ms: Sequence[int]) -> TaskChange:
    """Return the product with a task split into two or more parts of given times.

    A timed step goes to the part in which its time lies; one that a border cuts stands in
    both parts with its time divided. Untimed steps are divided in listed order, each to
    the part in which its share of the time begins.

    Raises `TaskChangeError` if the task is not timed, a part has no time, or the times do not add
    up to the task's time.
    """
    task = product.tasks[place]
    if task.time_ms is None:
        raise TaskChangeError(
            f"Task {task.number} has no time that could be divided.",
            "Enter its time first, or split it by its steps.",
        )
    if min(times_ms, default=0) <= 0 or sum(times_ms) != task.time_ms:
        given = " + ".join(show_time(time, product.time_unit) for time in times_ms)
        raise TaskChangeError(
            f"Task {task.number}: the parts {given} do not add up to its time, "
            f"{show_time(task.time_ms, product.time_unit)}, or one of them has none.",
            "Give every part a time above 0 so that together they are the task's time.",
        )
    _refuse_count(task, len(times_ms))
    return _split(product, place, times_ms, _steps_by_time(task.steps, times_ms))


def split_by_steps(product: Product, place: int, counts: Sequence[int]) -> TaskChange:
    """Return the product with a task split between its steps.

    The parts get the times of their steps where these add up to the task's time; else
    the task's time in proportion to the times of the steps or, where they are not timed,
    to their count.

    `counts` says how many steps each part has, in listed order; two or more parts.

    Raises `TaskChangeError` if a part has no step, or the counts do not add up to the steps of the
    task.
    """
    task = product.tasks[place]
    _refuse_count(task, len(counts))
    if min(counts) < 1 or sum(counts) != len(task.steps):
        raise TaskChangeError(
            f"Task {task.number} has {len(task.steps)} steps; they cannot be divided into parts "
            f"of {words_of([str(count) for count in counts])}.",
            "Give every part at least one step, and all steps to some part.",
        )
    groups, at = [], 0
    for count in counts:
        groups.append(task.steps[at : at + count])
        at += count
    weights = [sum(step.time_ms or 0 for step in group) for group in groups]
    if any(step.time_ms is None for step in task.steps) or not sum(weights):
        weights = list(counts)
    return _split(product, place, weights, groups)


def _refuse_count(task: Task, count: int) -> None:
    if not 2 <= count <= MOST_PARTS:
        raise TaskChangeError(
            f"Task {task.number} cannot be split into {count} part{'' if count == 1 else 's'}.",
            f"Choose 2 to {MOST_PARTS} parts.",
        )


def divided(total: int, weights: Sequence[int]) -> list[int]:
    """Return a whole number divided in proportion to weights; the sum is exact.

    Parts are rounded down; the units that are missing go to the largest remainders, ties
    to the earlier part (Hamilton's method of the largest remainder).

    >>> divided(10, [1, 1, 1])
    [4, 3, 3]
    """
    whole = sum(weights)
    parts = [total * weight // whole for weight in weights]
    missing = total - sum(parts)
    by_remainder = sorted(range(len(weights)), key=lambda i: (-(total * weights[i] % whole), i))
    for i in by_remainder[:missing]:
        parts[i] += 1
    return parts


def _steps_by_time(steps: Steps, parts_ms: Sequence[int]) -> list[Steps]:
    """Return the steps of each part, a timed one divided where a border cuts it."""
    groups: list[list[Step]] = [[] for _ in parts_ms]
    ends = [sum(parts_ms[: i + 1]) for i in range(len(parts_ms))]
    total = ends[-1]
    is_timed = bool(steps) and all(step.time_ms is not None for step in steps)
    timed_ms = sum(step.time_ms or 0 for step in steps)
    is_exact = is_timed and timed_ms == total
    at = 0
    for i, step in enumerate(steps):
        if not is_exact:  # a step begins at its share of the time, by count
            begin = i * total // len(steps)
            groups[next(part for part, end in enumerate(ends) if begin < end)].append(step)
            continue
        begin, at = at, at + (step.time_ms or 0)
        for part, end in enumerate(ends):
            start = end - parts_ms[part]
            inside = min(at, end) - max(begin, start)
            if inside > 0:
                groups[part].append(replace(step, time_ms=inside))
            elif begin == at and start <= begin < end + (part == len(ends) - 1):
                groups[part].append(step)
    return [tuple(group) for group in groups]


def _split(
    product: Product, place: int, weights: Sequence[int], groups: Sequence[Steps]
) -> TaskChange:
    """Return the product with a task split into parts of given weights and steps."""
    task = product.tasks[place]
    numbers = [task.number, *free_numbers_after(product, place, len(weights) - 1)]
    parts = _parts(task, numbers, weights, groups)
    followed = product
    if is_named(product, place):
        first, last = (numbers[0],), (numbers[-1],)
        meant = {AtSplit.FIRST: first, AtSplit.LAST: last, AtSplit.ALL: tuple(numbers)}
        followed = renamed(product, Thing.TASK, lambda r: {task.number: meant[r.at_split]})
    parts[0] = replace(parts[0], predecessors=followed.tasks[place].predecessors)
    tasks = (*followed.tasks[:place], *parts, *followed.tasks[place + 1 :])
    # times with all their digits, so that the parts are seen to add up
    shown = [f"{part.number} ({exact_time(part.time_ms, product.time_unit)})" for part in parts]
    words = (
        f"Task {task.number} becomes {words_of(shown)}, one after the other. Parts stay with "
        f"{numbers[0]}, checks with {numbers[-1]}, tools and cautions with all."
    )
    return TaskChange(replace(followed, tasks=tasks), place, words)


def _parts(
    task: Task, numbers: Sequence[str], weights: Sequence[int], groups: Sequence[Steps]
) -> list[Task]:
    """Return the parts of a task, without arrows in.

    What must be at hand when work begins (parts, the width they need, the lifts) goes with the
    first part; what proves the work (checks, the test or repair data) with the last; tools,
    cautions, limits, picture and source of the time with all. The variance is divided
    like the time: the standard deviation of a part is the whole one times the root of its
    share, as for independent parts.
    """
    last, whole = len(numbers) - 1, sum(weights)
    times: Sequence[int | None] = [None for _ in weights]
    if task.time_ms is not None:
        times = divided(task.time_ms, weights)
    station_times = [(t.station, divided(t.time_ms, weights)) for t in task.station_times]
    model_times = [(t.model, divided(t.time_ms, weights)) for t in task.model_times]
    return [
        replace(
            task,
            number=number,
            name=f"{task.name} ({i + 1} of {len(numbers)})".strip(),
            time_ms=times[i],
            time_sd_ms=None
            if task.time_sd_ms is None
            else rooted(Fraction(task.time_sd_ms**2 * weights[i], whole)),
            model_times=tuple(
                ModelTime(model=model, time_ms=parts[i]) for model, parts in model_times
            ),
            predecessors=(numbers[i - 1],) if i else (),
            steps=tuple(groups[i]),
            parts=task.parts if i == 0 else (),
            checks=task.checks if i == last else (),
            quality=task.quality if i == last else None,
            lift=task.lift if i == 0 else None,
            station_times=tuple(
                StationTime(station=at, time_ms=parts[i]) for at, parts in station_times
            ),
            limits=task.limits if i == 0 else _without_space_and_lifts(task.limits),
        )
        for i, number in enumerate(numbers)
    ]


def _without_space_and_lifts(limits: TaskLimits) -> TaskLimits:
    lifts = 0 if limits.lift_kg is not None else limits.lifts
    return replace(limits, space_mm=None, lifts=lifts)


def parts_with_rest(time_ms: int | None, times_ms: Sequence[int]) -> list[int]:
    """Return the times of parts, with a last part for what is left of the whole.

    >>> parts_with_rest(30_000, [12_000])
    [12000, 18000]
    """
    rest = (time_ms or 0) - sum(times_ms)
    return [*times_ms, rest] if rest > 0 else list(times_ms)


def counts_of_parts(starts: Sequence[int], steps: int) -> list[int]:
    """Return how many steps each part has.

    `starts` are the places of the steps, from 0, with which a new part begins.

    >>> counts_of_parts([3, 1], 4)
    [1, 2, 1]
    """
    borders = [0, *sorted(set(starts) - {0}), steps]
    return [after - before for before, after in pairwise(borders)]
