"""What other records say when a task is renumbered, split, merged or taken out.

Arrows, limits, joins and times between tasks name a task by its number. When a number
changes its meaning, all these mentions are changed at once, so that none is left behind.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from stationflow.errors import StationflowError
from stationflow.model import Product, Task, TimeLag


class TaskChangeError(StationflowError):
    """A change of tasks that cannot be made; nothing was changed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskChange:
    """What a change of tasks would make of a product; not yet stored.

    Attributes
    ----------
    product
        The product after the change.
    chosen
        Place of the task to look at next in `product.tasks`; None: none is left.
    words
        What happens, in whole sentences, for the preview and for the report.
    """

    product: Product
    chosen: int | None
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Mentions:
    """What stands for a number from now on, in each place that can name it.

    Attributes
    ----------
    arrows
        Among the predecessors of other tasks.
    limits
        Among the tasks to be kept apart from, or checked by another operator.
    join
        As the join of a feeder.
    end, start
        As the task whose end, or whose start, a time between tasks counts from; empty:
        that time between tasks goes.
    """

    arrows: tuple[str, ...]
    limits: tuple[str, ...]
    join: str
    end: str
    start: str


def as_one(number: str) -> Mentions:
    """Return the mentions of a task that one number stands for everywhere."""
    return Mentions(arrows=(number,), limits=(number,), join=number, end=number, start=number)


def carried(product: Product, new: Mapping[str, Mentions]) -> Product:
    """Return the product with all mentions of some numbers changed at once.

    The numbers of the tasks themselves stay. A mention that would name its own task, or
    the same task twice, is dropped.

    Parameters
    ----------
    product
        The product.
    new
        What stands for a number from now on, by number.
    """
    if not new:
        return product
    tasks = (_with_mentions(task, new) for task in product.tasks)
    lines = (
        replace(line, join=new[line.join].join) if line.join in new else line
        for line in product.lines
    )
    lags = (_lag_with(lag, new) for lag in product.lags)
    return replace(
        product,
        tasks=tuple(tasks),
        lines=tuple(lines),
        lags=tuple(lag for lag in lags if lag is not None),
    )


def _with_mentions(task: Task, new: Mapping[str, Mentions]) -> Task:
    """Return a task with what it says about others changed."""
    limits = task.limits
    apart = _changed(limits.apart, {n: m.limits for n, m in new.items()})
    independent = _changed(limits.independent_of, {n: m.limits for n, m in new.items()})
    before = _changed(task.predecessors, {n: m.arrows for n, m in new.items()})
    if (apart, independent) != (limits.apart, limits.independent_of):
        limits = replace(limits, apart=apart, independent_of=independent)
    elif before == task.predecessors:
        return task
    return replace(task, predecessors=before, limits=limits)


def _changed(numbers: tuple[str, ...], new: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    """Return numbers with some changed, each once; untouched when none of them changes."""
    if not any(number in new for number in numbers):
        return numbers
    return tuple(dict.fromkeys(n for number in numbers for n in new.get(number, (number,))))


def _lag_with(lag: TimeLag, new: Mapping[str, Mentions]) -> TimeLag | None:
    """Return a time between tasks with its numbers changed; None when it goes."""
    before = new[lag.before].end if lag.before in new else lag.before
    after = new[lag.after].start if lag.after in new else lag.after
    is_gone = not (before and after) and bool(lag.before and lag.after)
    return None if is_gone else replace(lag, before=before, after=after)


def is_named(product: Product, place: int) -> bool:
    """Return whether mentions of its number mean this task: it is the first that bears it."""
    number = product.tasks[place].number
    return (
        bool(number)
        and next(at for at, task in enumerate(product.tasks) if task.number == number) == place
    )


def words_of(numbers: Sequence[str]) -> str:
    """Return task numbers as they are said: "10, 20 and 30"."""
    shown = [number or "(no number)" for number in numbers]
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"


def doubled(numbers: Sequence[str]) -> tuple[str, ...]:
    """Return the numbers that come more than once."""
    return tuple(number for number, count in Counter(numbers).items() if count > 1)
