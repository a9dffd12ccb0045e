"""Single values of a product by the keys of their records; those not read, and when cured."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from stationflow.model import Product
from stationflow.model.cell_place import CellPlace
from stationflow.model.changes.differences import Path
from stationflow.model.changes.record_identity import At, matched, places
from stationflow.model.schema.tables import TABLE, TABLE_OF
from stationflow.model.unread import Unread


@dataclass(frozen=True, slots=True)
class Step:
    """A list on the way to a record, and the key of the record in it."""

    name: str
    key: tuple[str, ...]


def cell_path(cell: CellPlace) -> Path:
    """Return where a value stands in a product, as changes say it."""
    way: list[str | At] = []
    for step in _steps(cell):
        way += [step.name, At(step.key)] if step.key else [step.name]
    return (*way, cell.field)


def path_in(product: Product, cell: CellPlace) -> Path:
    """Return where a value stands in a product, to be changed there.

    LookupError if there is no such record.
    """
    way: list[str | At] = []
    found: Any = product
    for step in _steps(cell):
        found = getattr(found, step.name)
        way.append(step.name)
        if step.key:
            keys = [record_key(record) for record in found]
            if step.key not in keys:
                raise LookupError(step.key)
            place = keys.index(step.key)
            way.append(places(found)[place])
            found = found[place]
    return (*way, cell.field)


def carried_over(before: Product, after: Product) -> Product:
    """Return an edited product without what the edit cured; the rest follows renamed records.

    A value is cured when it was entered, said to be right, or its record was taken out.
    """
    if not before.unread:
        return after
    kept = (_carried(each, before, after) for each in before.unread if each in after.unread)
    return replace(after, unread=tuple(each for each in kept if each is not None))


def kept_as_it_stands(product: Product, unread: Unread) -> Product:
    """Return the product with a value of it said to be right as it stands there now."""
    return replace(product, unread=tuple(each for each in product.unread if each != unread))


def _steps(cell: CellPlace) -> Iterator[Step]:
    table = TABLE[cell.table]
    names = table.path.split(".") if table.path else []
    for place, name in enumerate(names):
        is_last = place == len(names) - 1
        is_owner = bool(table.parent) and place == len(names) - 2
        yield Step(name, cell.key if is_last else (cell.owner,) if is_owner else ())


def _carried(unread: Unread, before: Product, after: Product) -> Unread | None:
    """Return what was not read, by today's keys of its record; None: it is cured."""
    cell = unread.cell
    if cell is None:
        return unread
    was: Any = before
    now: Any = after
    keys: list[tuple[str, ...]] = []
    for step in _steps(cell):
        was, now = getattr(was, step.name), getattr(now, step.name)
        if not step.key:
            continue
        place = next((i for i, record in enumerate(was) if record_key(record) == step.key), None)
        match = matched(was, now)
        if place is None or place not in match:
            return None
        was, now = was[place], now[match.index(place)]
        keys.append(record_key(now))
    if getattr(was, cell.field) != getattr(now, cell.field):
        return None
    key = keys.pop() if cell.key else ()
    owner = keys[-1][0] if cell.owner and keys else cell.owner
    tasks, lines = _renamed(before.tasks, after.tasks), _renamed(before.lines, after.lines)
    return replace(
        unread,
        of_task=tasks.get(unread.of_task, unread.of_task),
        of_line=lines.get(unread.of_line, unread.of_line),
        cell=replace(cell, owner=owner, key=key),
    )


def record_key(record: Any) -> tuple[str, ...]:
    """Return the key that tells a record of a list apart, as text."""
    return tuple(str(getattr(record, name)) for name in TABLE_OF[type(record)].keys)


def _renamed(was: Sequence[Any], now: Sequence[Any]) -> dict[str, str]:
    """Return the names of today of the records of a list."""
    if was == now:
        return {}
    match = matched(was, now)
    return {
        record_key(was[old])[0]: record_key(now[new])[0]
        for new, old in enumerate(match)
        if old is not None
    }
