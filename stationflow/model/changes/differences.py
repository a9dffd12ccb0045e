"""What differs between two states of a product, value by value."""

from collections.abc import Hashable
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from typing import Any

from stationflow.model import Product
from stationflow.model.changes.record_identity import KEYS, At, identities, is_records, places


class Gone(Enum):
    """Stands for a record that is not there."""

    GONE = "gone"


GONE = Gone.GONE
Path = tuple[str | At, ...]
Records = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Change:
    """One value that differs between two states of a product; `GONE`: no such record."""

    path: Path
    before: Any
    after: Any


def differences(before: Product, after: Product) -> tuple[Change, ...]:
    """Return what differs between two states of a product, value by value."""
    found: list[Change] = []
    _differ(before, after, (), found)
    return tuple(found)


def told_apart(base: Records, side: Records) -> tuple[dict[Hashable, Any], dict[Hashable, At]]:
    """Return the records of a list by who they are, and their keys."""
    who = identities(base, side)
    return dict(zip(who, side, strict=True)), dict(zip(who, places(side), strict=True))


def _differ(before: Any, after: Any, path: Path, found: list[Change]) -> None:
    if before is after or before == after:
        return
    if is_dataclass(before) and type(before) is type(after):
        for f in fields(before):
            if f.name == "unread":  # goes with the values it is about
                continue
            _differ(getattr(before, f.name), getattr(after, f.name), (*path, f.name), found)
        return
    is_keyed = is_records(before, after) and all(type(r) in KEYS for r in (*before, *after))
    if not is_keyed:
        found.append(Change(path, before, after))
        return
    earlier, was = told_apart(before, before)
    later, now = told_apart(before, after)
    for identity in (*earlier, *(i for i in later if i not in earlier)):
        at = was.get(identity) or now[identity]
        _differ(earlier.get(identity, GONE), later.get(identity, GONE), (*path, at), found)
    if not found and [i for i in later if i in earlier] != list(earlier):
        found.append(Change(path, before, after))
