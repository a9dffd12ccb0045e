"""What a stranger's tasks or parts make of a product: what is new, changed, gone."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any, TypeVar

from stationflow.files.foreign.import_report import PartImport, TaskImport
from stationflow.model import Line, Model, Part, Product, Task
from stationflow.units import show_time


class MergeMode(StrEnum):
    """How tasks or parts of a sheet come into a product."""

    UPDATE = "update"  # new ones are added, those of the same number updated
    ADD = "add"  # new ones are added, those of the same number stay as they are
    REPLACE = "replace"  # what the sheet does not have goes: tasks of its lines, or all parts


class ChangeState(StrEnum):
    """What becomes of one task or part."""

    NEW = "new"
    CHANGED = "changed"
    SAME = "same"
    SKIPPED = "not touched"
    REMOVED = "removed"


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordChange:
    """What becomes of one task or part.

    Attributes
    ----------
    number
        Number of the task or part.
    row
        Row of the sheet; 0: it is not in the sheet.
    state
        What becomes of it.
    differences
        Each field that changes, in words: "time 12.0 s -> 14.5 s".
    """

    number: str
    row: int = 0
    state: ChangeState
    differences: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Merge:
    """A product with what a sheet brought.

    Attributes
    ----------
    product
        The product as it would be saved.
    changes
        What becomes of each task or part: those of the sheet first, then the others.
    notes
        What else was added or is left pointing nowhere, in sentences.
    """

    product: Product
    changes: tuple[RecordChange, ...]
    notes: tuple[str, ...] = ()

    def count(self, state: ChangeState) -> int:
        """Return how many tasks or parts have a state."""
        return sum(change.state == state for change in self.changes)


def merge_tasks(product: Product, imported: TaskImport, mode: MergeMode) -> Merge:
    """Return the product with the tasks of a sheet.

    A task that is there already keeps what the sheet says nothing about: an empty cell
    changes nothing, except that an empty predecessors cell means none.

    Parameters
    ----------
    mode
        `MergeMode.REPLACE` takes away the tasks of those lines that the sheet has tasks of.
    """
    old = {task.number: task for task in product.tasks}
    rows = [(row.row, row.task, row.given) for row in imported.rows]
    new, changes = _taken(old, rows, mode)
    lines = {task.line for task in new.values()}
    gone = [
        task.number
        for task in product.tasks
        if mode == MergeMode.REPLACE and task.number not in new and task.line in lines
    ]
    changes += _others(product.tasks, {change.number for change in changes}, set(gone))
    kept = [new.pop(n, task) for n, task in old.items() if n not in set(gone)]
    if mode == MergeMode.REPLACE:
        kept = _in_sheet_order(kept, list(new.values()), imported)
        new.clear()
    merged = replace(product, tasks=(*kept, *new.values()))
    merged, notes = _with_lines_and_models(merged, imported)
    return Merge(product=merged, changes=tuple(changes), notes=(*notes, *_loose_ends(merged, gone)))


def merge_parts(product: Product, imported: PartImport, mode: MergeMode) -> Merge:
    """Return the product with the parts of a sheet; see `merge_tasks`."""
    old = {part.number: part for part in product.parts}
    rows = [(row.row, row.part, row.given) for row in imported.rows]
    new, changes = _taken(old, rows, mode)
    gone = {n for n in old if mode == MergeMode.REPLACE and n not in new}
    changes += _others(product.parts, {change.number for change in changes}, gone)
    kept = [new.pop(n, part) for n, part in old.items() if n not in gone]
    merged = replace(product, parts=(*kept, *new.values()))
    used = {use.part for task in product.tasks for use in task.parts}
    notes = tuple(f"Part {n} is used by a task, but no longer in the list." for n in gone & used)
    return Merge(product=merged, changes=tuple(changes), notes=tuple(sorted(notes)))


Record = TypeVar("Record", Task, Part)


def _taken(
    old: Mapping[str, Record], rows: Sequence[tuple[int, Record, frozenset[str]]], mode: MergeMode
) -> tuple[dict[str, Record], list[RecordChange]]:
    """Return what the rows of a sheet make new or different, by number, and what becomes of each.

    A row is its place in the sheet, its record, and the fields that the sheet gives.
    """
    new: dict[str, Record] = {}
    changes: list[RecordChange] = []
    for row, now, given in rows:
        was = old.get(now.number)
        if was is not None and mode == MergeMode.ADD:
            changes.append(RecordChange(number=now.number, row=row, state=ChangeState.SKIPPED))
            continue
        new[now.number] = now if was is None else _updated(was, now, given)
        changes.append(_change(now.number, row, was, new[now.number]))
    return new, changes


def _updated(was: Any, now: Any, given: frozenset[str]) -> Any:
    """Return a task or part with the fields that the sheet says."""
    return replace(was, **{name: getattr(now, name) for name in given})


def _change(number: str, row: int, was: Any, now: Any) -> RecordChange:
    """Return what becomes of a task or part that the sheet has."""
    if was is None:
        return RecordChange(number=number, row=row, state=ChangeState.NEW)
    names = [n for n in WORDS if hasattr(now, n) and getattr(was, n) != getattr(now, n)]
    if not names:
        return RecordChange(number=number, row=row, state=ChangeState.SAME)
    differences = tuple(
        f"{WORDS[n]} {_shown(n, getattr(was, n))} -> {_shown(n, getattr(now, n))}" for n in names
    )
    return RecordChange(number=number, row=row, state=ChangeState.CHANGED, differences=differences)


WORDS: Mapping[str, str] = {
    "name": "name",
    "line": "line",
    "time_ms": "time",
    "predecessors": "predecessors",
    "model_times": "times for models",
    "machine": "machine",
    "time_sd_ms": "standard deviation",
    "time_source": "time source",
    "steps": "steps",
    "parts": "parts",
    "tools": "tools",
    "checks": "checks",
    "cautions": "cautions",
    "quantity": "quantity",
    "unit": "unit",
    "container": "container",
    "container_quantity": "quantity in a container",
    "weight_g": "weight (g)",
}
"""How the fields that a sheet can change are called."""


def _shown(name: str, value: Any) -> str:
    """Return a value of a field in words."""
    if name in {"time_ms", "time_sd_ms"}:
        return "empty" if value is None else _time(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value in (None, "", ()):
        return "none" if isinstance(value, tuple) else "empty"
    if isinstance(value, tuple):
        text = "; ".join(_record(item) for item in value)
        return text if len(text) <= 120 else f"{text[:117]}..."
    return f"{value:g}" if isinstance(value, float) else repr(value)


def _time(time_ms: int) -> str:
    """Return a time with all its digits if it has more than are shown by custom."""
    return show_time(time_ms) if time_ms % 100 == 0 else f"{time_ms / 1000:g} s"


def _record(item: Any) -> str:
    """Return one item of a list in a few words."""
    if isinstance(item, str):
        return item
    if hasattr(item, "model"):
        return f"{item.model} {_time(item.time_ms)}"
    if hasattr(item, "part"):
        return f"{item.part} x {item.quantity:g}"
    for name in ("tool", "hazard", "text"):
        if hasattr(item, name):
            return str(getattr(item, name))
    return str(item)


def _others(things: tuple[Any, ...], met: set[str], gone: set[str]) -> list[RecordChange]:
    """Return what becomes of the tasks or parts that the sheet does not have."""
    return [
        RecordChange(
            number=thing.number,
            state=ChangeState.REMOVED if thing.number in gone else ChangeState.SKIPPED,
        )
        for thing in things
        if thing.number not in met
    ]


def _in_sheet_order(kept: list[Task], new: list[Task], imported: TaskImport) -> list[Task]:
    """Return the tasks of replaced lines in the order of the sheet; others keep their place."""
    by_number = {task.number: task for task in (*kept, *new)}
    listed = [row.task.number for row in imported.rows]
    others = [task for task in kept if task.number not in set(listed)]
    return [*others, *(by_number[number] for number in listed)]


def _with_lines_and_models(
    product: Product, imported: TaskImport
) -> tuple[Product, tuple[str, ...]]:
    """Return the product with the lines and models that only the sheet knows."""
    notes: list[str] = []
    used = {task.line for task in product.tasks}
    lines = [name for name in imported.lines if product.line(name) is None and name in used]
    own_lines = list(product.lines)
    main = product.main_line
    if main is not None and lines and len(product.lines) == 1 and main.name not in used:
        # A product without a task on its only line takes the sheet's first line as main line.
        own_lines = [replace(main, name=lines[0])]
        notes.append(f"The main line is called {lines[0]!r}, as in the sheet.")
        main, lines = own_lines[0], lines[1:]
    for name in lines:
        own_lines.append(Line(name=name, feeds=main.name if main else ""))
        notes.append(f"Line {name!r} was added as a feeder; name its join on the Tasks page.")
    models = [name for name in imported.models if name not in {m.name for m in product.models}]
    share = 0.0 if product.models else 1 / max(len(models), 1)
    if models:
        said = "a share of 0" if product.models else f"equal shares of {share:.3g}"
        notes.append(f"Models {', '.join(models)} were added with {said}; enter their shares.")
    added = tuple(Model(name=name, share=share) for name in models)
    merged = replace(product, lines=tuple(own_lines), models=(*product.models, *added))
    return merged, tuple(notes)


def _loose_ends(product: Product, gone: list[str]) -> tuple[str, ...]:
    """Return what still names tasks that are removed."""
    away = set(gone)
    if not away:
        return ()
    notes = [
        f"Task {task.number} still names {number}, which is removed, as its predecessor."
        for task in product.tasks
        for number in task.predecessors
        if number in away
    ]
    notes += [
        f"Line {line.label} still joins at task {line.join}, which is removed."
        for line in product.lines
        if line.join in away
    ]
    return tuple(notes)
