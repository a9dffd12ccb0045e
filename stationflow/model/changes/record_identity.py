"""Which record of a changed list is which record of the list before.

Records are told apart by their keys (a task by its number), those without a key by
their places and by what they hold.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, fields, is_dataclass
from difflib import SequenceMatcher
from typing import Any

from stationflow.model.schema.tables import TABLE_OF

# The fields that tell the records of a list apart; other records are known by their place.
KEYS = {record: table.keys for record, table in TABLE_OF.items() if table.keys}


@dataclass(frozen=True, slots=True)
class At:
    """Which record of a list is meant."""

    key: tuple[Any, ...]  # its key: ("30",)
    turn: int = 0  # 0 for the first record of that key, 1 for the second ...
    # where it stood in the list; a record brought back is put there
    place: int = field(default=0, compare=False)


def matched(before: Sequence[Any], after: Sequence[Any]) -> list[int | None]:
    """Return, for each record of a changed list, its place in the list before; None: it is new."""
    return [who[1] if who[0] == "base" else None for who in identities(before, after)]


def identities(base: Sequence[Any], side: Sequence[Any]) -> list[Any]:
    """Return who each record of a changed list is: ("base", place), or ("new", key, turn)."""
    if side is base or side == base:
        return [("base", i) for i in range(len(base))]
    if all(type(record) in KEYS for record in (*base, *side)):
        return _by_key(base, side)
    return _by_place(base, side)


def _by_key(base: Sequence[Any], side: Sequence[Any]) -> list[Any]:
    """Tell records apart by their keys; a record that only lost its key was given a new one."""
    known = {at: i for i, at in enumerate(places(base))}
    now = places(side)
    there = set(now)
    left = [i for at, i in known.items() if at not in there]
    new = [i for i, at in enumerate(now) if at not in known]
    renamed: dict[int, int] = {}
    alike: dict[Any, list[int]] = {}  # of what they hold, the last one first
    for j in reversed(left):
        alike.setdefault(_held(base[j]), []).append(j)
    for i in new:
        if same := alike.get(_held(side[i])):
            renamed[i] = same.pop()
    free = set(left).difference(renamed.values()) if len(base) == len(side) else set[int]()
    renamed |= {i: i for i in new if i not in renamed and i in free}
    was = renamed | {i: known[at] for i, at in enumerate(now) if at in known}
    return [("base", was[i]) if i in was else ("new", at.key, at.turn) for i, at in enumerate(now)]


def _held(record: Any) -> tuple[Any, ...]:
    """Return what a record holds, apart from its keys."""
    keys = KEYS[type(record)]
    return (type(record), *(getattr(record, f.name) for f in fields(record) if f.name not in keys))


def _by_place(base: Sequence[Any], side: Sequence[Any]) -> list[Any]:
    """Tell records without a key apart by their places and by what they hold."""
    if len(base) == len(side):
        return [("base", i) for i in range(len(base))]
    found: list[Any] = []
    times: dict[Any, int] = {}
    for _, a, b, c, d in SequenceMatcher(None, base, side, autojunk=False).get_opcodes():
        for offset in range(d - c):
            if a + offset < b:
                found.append(("base", a + offset))
            else:
                record = side[c + offset]
                times[record] = times.get(record, 0) + 1
                found.append(("new", record, times[record]))
    return found


def places(records: Sequence[Any]) -> list[At]:
    """Return the key of each record, with how often it was there before."""
    times: dict[Any, int] = {}
    found = []
    for place, record in enumerate(records):
        names = KEYS.get(type(record))
        key = tuple(getattr(record, name) for name in names) if names else (place,)
        found.append(At(key, times.get(key, 0), place))
        times[key] = times.get(key, 0) + 1
    return found


def is_records(*values: Any) -> bool:
    """Return whether values are lists of records."""
    return all(
        isinstance(value, tuple) and all(is_dataclass(record) for record in value)
        for value in values
    ) and any(values)
