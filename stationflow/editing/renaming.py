"""Names that change: what names a task, part, line or model follows it."""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Any

from stationflow.model import Product
from stationflow.model.changes.record_identity import matched
from stationflow.model.references import LISTS, Thing, renamed


def renumbered(product: Product, new_numbers: Mapping[str, str]) -> Product:
    """Return the product with every mention of a task's old number changed to its new one.

    The tasks themselves carry their new numbers already. A number that another
    task still bears is left alone, and nothing is carried to a number that several
    bear: what points to them could never be told apart again.
    """
    there = Counter(task.number for task in product.tasks)
    changed = {
        old: (new,) for old, new in new_numbers.items() if old not in there and there[new] == 1
    }
    return renamed(product, Thing.TASK, lambda _: changed)


def with_list(
    product: Product, thing: Thing, records: Sequence[Any], came_from: Sequence[int | None]
) -> Product:
    """Return the product with an edited list of parts, lines or models; what names one follows.

    `came_from` is, for each record, its place in the list before; None: it is new.
    """
    where, key = LISTS[thing].split(".")
    before = [getattr(record, key) for record in getattr(product, where)]
    new = new_names(before, [getattr(record, key) for record in records], came_from)
    edited: dict[str, Any] = {where: tuple(records)}
    product = replace(product, **edited)
    return renamed(product, thing, lambda _: {old: (name,) for old, name in new.items()})


def new_names(
    before: Sequence[str], after: Sequence[str], came_from: Sequence[int | None]
) -> dict[str, str]:
    """Return the new name by old name, where one was changed and nothing else bears either.

    `came_from` is, for each name, its place before; None: it is new. Names may be exchanged.
    """
    came = [
        (None if was is None else before[was], name)
        for name, was in zip(after, came_from, strict=True)
    ]
    others = {name for was, name in came if was in (None, name)}
    return {
        was: name
        for was, name in came
        if was not in (None, name) and was not in others and after.count(name) == 1
    }


def with_line_names(product: Product, names: Mapping[str, str]) -> Product:
    """Return the product with its lines called by other names, by the names so far."""
    lines = [replace(line, name=names.get(line.name, line.name)) for line in product.lines]
    return with_list(product, Thing.LINE, lines, range(len(lines)))


def renamed_lines(before: Product, after: Product) -> dict[str, str]:
    """Return the new name by old name of the lines that an edit renamed.

    A line is known by its tasks: they are all found under a name that is new, or was exchanged,
    and their old name is gone. A line that is taken out leaves its tasks behind.
    """
    if before.lines == after.lines:
        return {}
    old, new = ({line.name for line in side.lines} for side in (before, after))
    ways = {
        (before.tasks[was].line, task.line)
        for task, was in zip(after.tasks, matched(before.tasks, after.tasks), strict=True)
        if was is not None and task.line in new
    }
    ways = {(was, name) for was, name in ways if was != name or was in old}
    left, reached = Counter(was for was, _ in ways), Counter(name for _, name in ways)
    found = {was: name for was, name in ways if was != name and left[was] == reached[name] == 1}
    while stays := [
        was
        for was, name in found.items()
        if (was in new and was not in found.values()) or (name in old and name not in found)
    ]:
        found = {was: name for was, name in found.items() if was not in stays}
    return found


def fresh_number(taken: Collection[str]) -> str:
    """Return a task number that is free: ten more than the largest whole number taken.

    >>> fresh_number({"10", "20", "25a"})
    '30'
    """
    largest = max((int(number) for number in taken if number.isdecimal()), default=0)
    return str(largest // 10 * 10 + 10)
