"""Changes of a product in words: which record, which field, which value."""

from collections.abc import Sequence
from dataclasses import fields, is_dataclass
from typing import Any

from stationflow.editing.record_identity import KEYS
from stationflow.editing.two_editors import GONE, Change, Path
from stationflow.model.schema.cells import join_list, plain_number
from stationflow.units import TimeUnit, in_unit

RECORDS = {
    "tasks": "Task",
    "parts": "Part",
    "lines": "Line",
    "models": "Model",
    "shifts": "Shift",
    "breaks": "Break",
    "equipment": "Equipment",
    "pictures": "Picture",
    "lags": "Time between tasks",
    "model_times": "Model",
    "stations": "Station",
}
"""What one record of a list is called."""

FIELDS = {
    "name": "name",
    "predecessors": "after",
    "time_sd": "standard deviation of the time",
    "checksum": "content",
    "share": "share",
    "join": "at task",
    "feeds": "feeds line",
    "days": "working days",
    "author": "planned by",
    "time_unit": "unit of times",
    "steps": "important steps",
    "text": "text",
    "copies": "copies",
    "mtbf_min": "running time between failures (min)",
    "mttr_min": "time to repair (min)",
}
"""What a field is called where its own name says it badly."""

GROUPS = frozenset({"limits", "quality", "calendar", "demand", "reach"})
LONGEST = 60
MOST_SHOWN = 3


def place_words(path: Path) -> str:
    """Return a place in a product in words: "Task 30, time"."""
    words: list[str] = []
    record = ""
    for step in path:
        if not isinstance(step, str):
            key = ", ".join(str(k) for k in step.key if str(k))
            words.append(f"{record} {key or 'without a name'}")
            record = ""
        else:
            if record:  # a whole list
                words.append(record)
            record = RECORDS.get(step, "")
            if not record and step not in GROUPS:
                words.append(_field_words(step))
    if record:
        words.append(f"{record}s")
    said = ", ".join(words) or "The product"
    return said[:1].upper() + said[1:]


def value_words(value: Any, path: Path, unit: TimeUnit) -> str:
    """Return one value of a product in words, times in `unit`."""
    name = next((step for step in reversed(path) if isinstance(step, str)), "")
    if value is GONE:
        return "not there"
    if value is None or value in ("", ()):
        return "empty"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        if name.endswith("_ms") and isinstance(value, int):
            return f"{plain_number(in_unit(value, unit))} {unit.label}"
        return plain_number(value)
    if isinstance(value, tuple):
        return _list_words(value, name)
    if is_dataclass(value):
        return _record_words(value, unit)
    return _short(str(value))


def change_words(change: Change, unit: TimeUnit) -> str:
    """Return one change in words: "Task 30, time: 25 s → 28 s"."""
    place = place_words(change.path)
    if change.before is GONE:
        return f"{place}: added"
    if change.after is GONE:
        return f"{place}: taken out"
    if isinstance(change.before, tuple) and sorted(map(repr, change.before)) == sorted(
        map(repr, change.after)
    ):
        return f"{place}: order"
    before = value_words(change.before, change.path, unit)
    return f"{place}: {before} → {value_words(change.after, change.path, unit)}"


def changes_words(changes: Sequence[Change], unit: TimeUnit) -> str:
    """Return changes in words, the first few of many."""
    said = [change_words(change, unit) for change in changes[:MOST_SHOWN]]
    if len(changes) > MOST_SHOWN:
        said.append(f"and {len(changes) - MOST_SHOWN} more")
    return "; ".join(said)


def _field_words(name: str) -> str:
    """Return what a field is called."""
    if name in FIELDS:
        return FIELDS[name]
    for ending in ("_ms", "_mm", "_kg", "_g", "_w", "_h", "_min", "_m"):
        name = name.removesuffix(ending)
    return FIELDS.get(name, name.replace("_", " "))


def _list_words(values: tuple[Any, ...], name: str) -> str:
    """Return a list in words."""
    if not all(is_dataclass(value) for value in values):
        return _short(join_list(tuple(str(value) for value in values)))
    firsts = [str(getattr(value, fields(value)[0].name)) for value in values]
    return _short(f"{len(values)} {_field_words(name)}: {'; '.join(firsts)}")


def _record_words(record: Any, unit: TimeUnit) -> str:
    """Return one record in words: the fields that say something."""
    words = []
    for f in fields(record):
        value = getattr(record, f.name)
        is_plain = isinstance(value, (str, int, float)) and not isinstance(value, bool)
        if value and is_plain and f.name not in KEYS.get(type(record), ()):
            words.append(value_words(value, (f.name,), unit))
    return _short(", ".join(words[:4]) or "there")


def _short(text: str) -> str:
    """Return a text of bearable length."""
    text = " ".join(text.split())
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 4]} ..."
