"""Changes of a product in words: which record, which field, which value."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import fields, is_dataclass
from typing import Any

from stationflow.model.changes.differences import GONE, Change, Path
from stationflow.model.schema.cells import capital, join_list, plain_number
from stationflow.model.schema.columns import Column, Kind
from stationflow.model.schema.tables import TABLE_AT, TABLE_OF
from stationflow.units import TimeUnit, in_unit

LONGEST = 60
MOST_SHOWN = 3


def place_words(path: Path) -> str:
    """Return a place in a product in words: "Task 30, time"."""
    words: list[str] = []
    for i, step in enumerate(path):
        table = TABLE_AT.get(_way(path[: i + 1]))
        if not isinstance(step, str):
            key = ", ".join(str(k) for k in step.key if str(k))
            said = table.said.capitalize() if table and table.keys else ""
            words.append(f"{said} {key or 'without a name'}")
        elif table is None:
            words.append(field_words(path[: i + 1]))
        elif not table.is_single and i == len(path) - 1:  # a whole list
            words.append(f"{table.said}s" if table.keys else table.said)
    return capital(", ".join(words) or "The product")


def value_words(value: Any, path: Path, unit: TimeUnit) -> str:
    """Return one value of a product in words, times in `unit`."""
    if value is GONE:
        return "not there"
    if isinstance(value, tuple) and value and is_dataclass(value[0]):
        firsts = [str(getattr(record, fields(record)[0].name)) for record in value]
        return _short(f"{len(value)} {field_words(path)}: {'; '.join(firsts)}")
    if is_dataclass(value):
        return _record_words(value, unit)
    return _plain_words(value, _column(path), unit)


def change_words(change: Change, unit: TimeUnit, *, again: bool = False) -> str:
    """Return one change in words: "Task 30, time: 25 s → 28 s"; `again`: it was so before."""
    place = place_words(change.path)
    if change.before is GONE:
        return f"{place}: {'there again' if again else 'added'}"
    if change.after is GONE:
        return f"{place}: {'gone again' if again else 'taken out'}"
    if isinstance(change.before, tuple) and Counter(change.before) == Counter(change.after):
        return f"{place}: {'in the order of before' if again else 'order'}"
    after = value_words(change.after, change.path, unit)
    if again:
        return f"{place}: {after} again"
    return became(place, value_words(change.before, change.path, unit), after)


def became(what: str, before: str, after: str) -> str:
    """Return in words that something has another value: "Task 30, time: 25 s → 28 s"."""
    return f"{what}: {before} → {after}"


def changes_words(changes: Sequence[Change], unit: TimeUnit) -> str:
    """Return changes in words, the first few of many."""
    return _first_few([change_words(change, unit) for change in changes])


def again_words(changes: Sequence[Change], unit: TimeUnit) -> str:
    """Return what undo or redo brought back in words: "Task 30, time: 25 s again"."""
    said = [change_words(change, unit, again=True) for change in changes]
    return _first_few(said) or "Nothing that shows"


def _first_few(said: Sequence[str]) -> str:
    """Return the first of many words, and how many there are more."""
    more = [f"and {len(said) - MOST_SHOWN} more"] if len(said) > MOST_SHOWN else []
    return "; ".join([*said[:MOST_SHOWN], *more])


def _way(path: Path) -> str:
    """Return the way through the fields of a path: "tasks.limits"."""
    return ".".join(step for step in path if isinstance(step, str))


def _column(path: Path) -> Column | None:
    """Return the column of the schema for the value at the end of a path."""
    way, _, name = _way(path).rpartition(".")
    table = TABLE_AT.get(way)
    return next((c for c in table.columns if c.field == name), None) if table else None


def field_words(path: Path) -> str:
    """Return what the field at the end of a path is called."""
    if table := TABLE_AT.get(_way(path)):
        return table.said
    column = _column(path)
    return column.in_words if column else "content"  # of a picture, known by its checksum


def _plain_words(value: Any, column: Column | None, unit: TimeUnit) -> str:
    """Return a value that is no record in words."""
    if value is None or value in ("", ()):
        return "empty"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        if column and column.kind == Kind.TIME:
            return exact_time(int(value), unit)
        return plain_number(value)
    return _short(join_list(value) if isinstance(value, tuple) else str(value))


def exact_time(time_ms: int | None, unit: TimeUnit) -> str:
    """Return a time as text with all its digits."""
    if time_ms is None:
        return "not timed"
    return f"{plain_number(in_unit(time_ms, unit))} {unit.label}"


def _record_words(record: Any, unit: TimeUnit) -> str:
    """Return one record in words: the fields that say something."""
    table = TABLE_OF[type(record)]
    said = (c for c in table.columns if c.field not in table.keys and c.name != table.parent)
    values = ((getattr(record, c.field), c) for c in said)
    words = [
        _plain_words(value, column, unit)
        for value, column in values
        if value and isinstance(value, (str, int, float)) and not isinstance(value, bool)
    ]
    return _short(", ".join(words[:4]) or "there")


def _short(text: str) -> str:
    text = " ".join(text.split())
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 4]} ..."
