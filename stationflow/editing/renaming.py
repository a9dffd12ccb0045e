"""Names that change: what names a task or a part follows it."""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from stationflow.model import Part, Product


def renumbered(product: Product, new_numbers: Mapping[str, str]) -> Product:
    """Return the product with every mention of a task's old number changed to its new one.

    The tasks themselves carry their new numbers already. A number that another
    task still bears is left alone, and nothing is carried to a number that several
    bear: what points to them could never be told apart again.

    Parameters
    ----------
    product
        The product.
    new_numbers
        New number by old number.
    """
    there = Counter(task.number for task in product.tasks)
    changed = {old: new for old, new in new_numbers.items() if old not in there and there[new] == 1}
    if not changed:
        return product

    def named(numbers: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(changed.get(number, number) for number in numbers)

    return replace(
        product,
        tasks=tuple(
            replace(
                task,
                predecessors=named(task.predecessors),
                limits=replace(
                    task.limits,
                    apart=named(task.limits.apart),
                    independent_of=named(task.limits.independent_of),
                ),
            )
            for task in product.tasks
        ),
        lines=tuple(
            replace(line, join=changed.get(line.join, line.join)) for line in product.lines
        ),
        lags=tuple(
            replace(
                lag,
                before=changed.get(lag.before, lag.before),
                after=changed.get(lag.after, lag.after),
            )
            for lag in product.lags
        ),
    )


def renamed_parts(
    product: Product, parts: Sequence[Part], came_from: Sequence[int | None]
) -> Product:
    """Return the product with an edited parts list; the tasks follow a part's new number.

    Parameters
    ----------
    parts
        The parts list as edited.
    came_from
        For each part its place in the list before; None: it is new.
    """
    before = [part.number for part in product.parts]
    changed = new_names(before, [part.number for part in parts], came_from)
    tasks = product.tasks
    if changed:
        tasks = tuple(
            replace(
                task,
                parts=tuple(
                    replace(use, part=changed.get(use.part, use.part)) for use in task.parts
                ),
            )
            for task in tasks
        )
    return replace(product, parts=tuple(parts), tasks=tasks)


def new_names(
    before: Sequence[str], after: Sequence[str], came_from: Sequence[int | None]
) -> dict[str, str]:
    """Return the new name by old name, where one was changed and nothing else bears either.

    Parameters
    ----------
    before, after
        Names before and after an edit.
    came_from
        For each name after the edit its place before; None: it is new.
    """
    return {
        before[was]: name
        for name, was in zip(after, came_from, strict=True)
        if was is not None
        and before[was] != name
        and before[was] not in after
        and after.count(name) == 1
    }


def fresh_number(taken: Collection[str]) -> str:
    """Return a task number that is free: ten more than the largest whole number taken.

    >>> fresh_number({"10", "20", "25a"})
    '30'
    """
    largest = max((int(number) for number in taken if number.isdecimal()), default=0)
    return str(largest // 10 * 10 + 10)
