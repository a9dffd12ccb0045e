"""Two edits of one product brought together, field by field and record by record.

The rule is the three-way merge of version control: what only one side changed since
the common base is taken, what both changed alike is taken once, and what both changed
differently is a conflict, in which the stored value stays until a person decides.
Records are told apart by their keys (a task by its number), so that two edits of one
row in different columns do not meet. Common practice, no source.
"""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from enum import Enum
from typing import Any

from stationflow.editing.record_identity import KEYS, At, identities, is_records, matched, places
from stationflow.editing.renaming import fresh_number, renumbered
from stationflow.model import Product


class Gone(Enum):
    """Stands for a record that is not there."""

    GONE = "gone"


GONE = Gone.GONE


Path = tuple[str | At, ...]


@dataclass(frozen=True, slots=True)
class Change:
    """One value that differs between two states of a product; `GONE`: no such record."""

    path: Path
    before: Any
    after: Any


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

    Parameters
    ----------
    base
        The state both edits started from.
    mine
        The edit that comes later.
    theirs
        The edit that is stored already; it stays where both changed the same value.
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


def differences(before: Product, after: Product) -> tuple[Change, ...]:
    """Return what differs between two states of a product, value by value."""
    found: list[Change] = []
    _differ(before, after, (), found)
    return tuple(found)


def with_value(product: Product, path: Path, value: Any) -> Product:
    """Return the product with one value put in; `GONE` takes a record out.

    Raises
    ------
    LookupError
        If the record that should receive the value is not there any more.
    """
    changed: Product = _put(product, path, value)
    return changed


# -- merging --------------------------------------------------------------------------------


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
    renamed = set(_renamed_tasks(base, mine).values())
    new_numbers: dict[str, str] = {}
    for task in mine.tasks:
        if added.get(task.number, task) != task and task.number not in renamed:
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
    """Return one record with the changes of both sides."""
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
    base: Sequence[Any],
    mine: Sequence[Any],
    theirs: Sequence[Any],
    path: Path,
    found: list[Conflict],
) -> tuple[Any, ...]:
    """Return a list of records with the changes of both sides."""
    by_base = {("base", i): record for i, record in enumerate(base)}
    by_mine = dict(zip(identities(base, mine), mine, strict=True))
    by_theirs = dict(zip(identities(base, theirs), theirs, strict=True))
    stored = dict(zip(by_theirs, places(theirs), strict=True))
    before = dict(zip(by_base, places(base), strict=True))
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
            before = next((i for i in reversed(other[:place]) if i in placed), None)
            at = len(order) if before is None else order.index(before) + 1
            if place == 0:
                at = 0
            while at < len(order) and order[at] not in there:
                at += 1  # behind what the leading side added at the same place
            order.insert(at, identity)
            placed.add(identity)
    return order


# -- differences, and putting values in -----------------------------------------------------


def _differ(before: Any, after: Any, path: Path, found: list[Change]) -> None:
    """Collect what differs between two values."""
    if before is after or before == after:
        return
    if is_dataclass(before) and type(before) is type(after):
        for f in fields(before):
            _differ(getattr(before, f.name), getattr(after, f.name), (*path, f.name), found)
        return
    is_keyed = is_records(before, after) and all(type(r) in KEYS for r in (*before, *after))
    if not is_keyed:
        found.append(Change(path, before, after))
        return
    earlier = dict(zip((("base", i) for i in range(len(before))), before, strict=True))
    was = dict(zip(earlier, places(before), strict=True))
    after_are = identities(before, after)
    later = dict(zip(after_are, after, strict=True))
    now = dict(zip(after_are, places(after), strict=True))
    for identity in (*earlier, *(i for i in later if i not in earlier)):
        at = was.get(identity) or now[identity]
        _differ(earlier.get(identity, GONE), later.get(identity, GONE), (*path, at), found)
    if not found and [i for i in after_are if i in earlier] != list(earlier):
        found.append(Change(path, before, after))


def _put(thing: Any, path: Path, value: Any) -> Any:
    """Return a record or list with one value put in."""
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
