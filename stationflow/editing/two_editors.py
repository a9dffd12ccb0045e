"""Two edits of one product brought together, field by field and record by record.

The rule is the three-way merge of version control: what only one side changed since
the common base is taken, what both changed alike is taken once, and what both changed
differently is a conflict, in which the stored value stays until a person decides.
Records are told apart by their keys (a task by its number), so that two edits of one
row in different columns do not meet. Common practice, no source.
"""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

from stationflow.editing.renaming import fresh_number, renumbered
from stationflow.model import Product
from stationflow.model.changes.differences import GONE, Path, Records, told_apart
from stationflow.model.changes.record_identity import KEYS, At, is_records, matched, places


@dataclass(frozen=True, slots=True)
class Conflict:
    """One value that two editors changed differently."""

    path: Path  # where it is in the stored product
    theirs: Any  # the value that is stored
    mine: Any  # the value of the edit that came later


@dataclass(frozen=True, slots=True)
class Merged:
    """The outcome of bringing two edits together."""

    product: Product  # the product with the changes of both; at conflicts as the other side has it
    conflicts: tuple[Conflict, ...] = ()  # what a person has to decide
    # task numbers that were given afresh because both sides used them for new tasks
    new_numbers: tuple[tuple[str, str], ...] = ()


def merged(base: Product, mine: Product, theirs: Product) -> Merged:
    """Bring two edits of one product together.

    Both started from `base`. `theirs` is stored already and stays where both changed the same
    value; `mine` comes later.
    """
    if mine in (base, theirs):
        return Merged(theirs)
    if theirs == base:
        return Merged(mine)
    mine, new_numbers = _with_own_numbers(base, mine, theirs)
    found: list[Conflict] = []
    product: Product = _merged_fields(base, mine, theirs, (), found)
    renamed = {**_renamed_tasks(base, theirs), **_renamed_tasks(base, mine)}
    return Merged(renumbered(product, renamed), tuple(found), tuple(new_numbers.items()))


def with_value(product: Product, path: Path, value: Any) -> Product:
    """Return the product with one value put in; `GONE` takes a record out.

    Raises `LookupError` if the record that should receive the value is not there any more.
    """
    changed: Product = _put(product, path, value)
    return changed


def with_numbers(product: Product, new_numbers: Mapping[str, str]) -> Product:
    """Return the product with other numbers for some of its tasks, carried everywhere."""
    if not new_numbers:
        return product
    tasks = tuple(
        replace(task, number=new_numbers[task.number]) if task.number in new_numbers else task
        for task in product.tasks
    )
    return renumbered(replace(product, tasks=tasks), new_numbers)


def _with_own_numbers(
    base: Product, mine: Product, theirs: Product
) -> tuple[Product, dict[str, str]]:
    """Give my new tasks other numbers where both sides added a task of one number."""
    known = {task.number for task in base.tasks}
    added = {task.number: task for task in theirs.tasks if task.number not in known}
    taken = {task.number for task in (*mine.tasks, *theirs.tasks)}
    here, there = _renamed_tasks(base, mine), _renamed_tasks(base, theirs)
    alike = {new for old, new in here.items() if there.get(old) == new}
    new_numbers: dict[str, str] = {}
    for task in mine.tasks:
        if added.get(task.number, task) != task and task.number not in alike:
            new_numbers[task.number] = fresh_number(taken)
            taken.add(new_numbers[task.number])
    return with_numbers(mine, new_numbers), new_numbers


def _renamed_tasks(base: Product, side: Product) -> dict[str, str]:
    """Return the new number by old number of the tasks one side renumbered."""
    return {
        base.tasks[was].number: task.number
        for task, was in zip(side.tasks, matched(base.tasks, side.tasks), strict=True)
        if was is not None and base.tasks[was].number != task.number
    }


def _merged_value(base: Any, mine: Any, theirs: Any, path: Path, found: list[Conflict]) -> Any:
    """Return one value with the changes of both sides."""
    if mine in (theirs, base):
        return theirs
    if theirs == base:
        return mine
    if is_dataclass(mine) and type(mine) is type(theirs) is type(base):
        return _merged_fields(base, mine, theirs, path, found)
    if is_records(base, mine, theirs):
        if all(type(record) in KEYS for record in (*base, *mine, *theirs)):
            return _merged_records(base, mine, theirs, path, found)
        within: list[Conflict] = []
        value = _merged_records(base, mine, theirs, path, within)
        if not within:
            return value
        mine = _merged_records(base, theirs, mine, path, [])
        theirs = value
    found.append(Conflict(path, theirs, mine))
    return theirs


def _merged_fields(base: Any, mine: Any, theirs: Any, path: Path, found: list[Conflict]) -> Any:
    values = {
        f.name: _merged_value(
            getattr(base, f.name, GONE),
            getattr(mine, f.name),
            getattr(theirs, f.name),
            (*path, f.name),
            found,
        )
        for f in fields(mine)
    }
    return replace(theirs, **values)


def _merged_records(
    base: Records, mine: Records, theirs: Records, path: Path, found: list[Conflict]
) -> Records:
    by_base, before = told_apart(base, base)
    by_mine, _ = told_apart(base, mine)
    by_theirs, stored = told_apart(base, theirs)
    kept: dict[Hashable, Any] = {}
    for identity in (*by_theirs, *by_mine, *by_base):
        if identity in kept:
            continue
        was = by_base.get(identity, GONE)
        one, other = by_mine.get(identity, GONE), by_theirs.get(identity, GONE)
        at = stored.get(identity) or before.get(identity) or At(())
        at = replace(at, key=_merged_key(at.key, was, one, other))
        if was is GONE and GONE in (one, other):
            kept[identity] = one if other is GONE else other
        elif was is GONE and one != other:
            kept[identity] = _merged_fields(GONE, one, other, (*path, at), found)
        else:
            kept[identity] = _merged_value(was, one, other, (*path, at), found)
    order = _order(list(by_base), list(by_mine), list(by_theirs))
    return tuple(kept[identity] for identity in order if kept[identity] is not GONE)


def _merged_key(stored: tuple[Any, ...], base: Any, mine: Any, theirs: Any) -> tuple[Any, ...]:
    """Return the key that a record has after the merge."""
    if GONE in (base, mine, theirs) or type(theirs) not in KEYS:
        return stored
    return tuple(
        _merged_value(getattr(base, k), getattr(mine, k), getattr(theirs, k), (), [])
        for k in KEYS[type(theirs)]
    )


def _order(base: list[Any], mine: list[Any], theirs: list[Any]) -> list[Any]:
    """Return the order of a merged list: that of the side that moved records, else theirs.

    A record only the other side has follows the one it followed there.
    """
    there = set(mine) & set(theirs)
    common = [i for i in base if i in there]
    there = set(common)
    has_moved = [i for i in mine if i in there] != common
    leading, other = (mine, theirs) if has_moved else (theirs, mine)
    order = list(leading)
    placed = set(order)
    for place, identity in enumerate(other):
        if identity not in placed:
            # all before it are placed: it follows the one it followed there
            at = order.index(other[place - 1]) + 1 if place else 0
            while at < len(order) and order[at] not in there:
                at += 1  # behind what the leading side added at the same place
            order.insert(at, identity)
            placed.add(identity)
    return order


def _put(thing: Any, path: Path, value: Any) -> Any:
    if not path:
        return value
    step, rest = path[0], path[1:]
    if isinstance(step, str):
        return replace(thing, **{step: _put(getattr(thing, step), rest, value)})
    records = list(thing)
    place = next((i for i, at in enumerate(places(records)) if at == step), None)
    if place is None:
        if rest:
            raise LookupError(f"no record {step.key} any more")
        if value is not GONE:
            records.insert(min(step.place, len(records)), value)
    elif not rest and value is GONE:
        del records[place]
    else:
        records[place] = _put(records[place], rest, value)
    return tuple(records)
