"""What a stranger's tasks or parts make of a product: what is new, changed, gone."""

from collections.abc import Collection
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from stationflow.files.foreign.import_report import ImportedRow, SheetImport
from stationflow.model import Line, Model, Part, Product, Task
from stationflow.model.changes.change_words import became, field_words, value_words
from stationflow.units import TimeUnit


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
    """What becomes of one task or part."""

    number: str
    row: int = 0  # 0: it is not in the sheet
    state: ChangeState
    differences: tuple[str, ...] = ()  # each field that changes, in words: "time 12 s → 14.5 s"


@dataclass(frozen=True, slots=True, kw_only=True)
class Merge:
    """A product with what a sheet brought."""

    product: Product  # as it would be saved
    changes: tuple[RecordChange, ...]  # of the sheet first, then the others
    notes: tuple[str, ...] = ()  # what else was added or is left pointing nowhere, in sentences

    def count(self, state: ChangeState) -> int:
        """Return how many tasks or parts have a state."""
        return sum(change.state == state for change in self.changes)


def merge_tasks(product: Product, imported: SheetImport, mode: MergeMode) -> Merge:
    """Return the product with the tasks of a sheet.

    A task that is there already keeps what the sheet says nothing about: an empty cell
    changes nothing, except that an empty predecessors cell means none. When all is replaced,
    the tasks of those lines go that the sheet has tasks of.
    """
    new, changes = _taken("tasks", product.tasks, imported, mode)
    lines = {task.line for task in new.values()}
    gone = {t.number for t in _missing(product.tasks, new, mode) if t.line in lines}
    kept = [new.get(task.number, task) for task in product.tasks if task.number not in gone]
    if mode == MergeMode.REPLACE:  # in the order of the sheet; others keep their place
        kept = [task for task in kept if task.number not in new]
    tasks = {task.number: task for task in (*kept, *new.values())}
    merged = replace(product, tasks=tuple(tasks.values()))
    merged, notes = _with_lines_and_models(merged, imported)
    changes += _others(product.tasks, changes, gone)
    return Merge(product=merged, changes=tuple(changes), notes=(*notes, *_loose_ends(merged, gone)))


def merge_parts(product: Product, imported: SheetImport, mode: MergeMode) -> Merge:
    """Return the product with the parts of a sheet; see `merge_tasks`."""
    new, changes = _taken("parts", product.parts, imported, mode)
    gone = {part.number for part in _missing(product.parts, new, mode)}
    kept = [new.get(part.number, part) for part in product.parts if part.number not in gone]
    parts = {part.number: part for part in (*kept, *new.values())}
    used = {use.part for task in product.tasks for use in task.parts}
    notes = (f"Part {n} is used by a task, but no longer in the list." for n in sorted(gone & used))
    changes += _others(product.parts, changes, gone)
    merged = replace(product, parts=tuple(parts.values()))
    return Merge(product=merged, changes=tuple(changes), notes=tuple(notes))


def _missing(old: tuple[Any, ...], new: Collection[str], mode: MergeMode) -> list[Any]:
    """Return the tasks or parts that go when all is replaced, because the sheet lacks them."""
    return [thing for thing in old if mode == MergeMode.REPLACE and thing.number not in new]


def _taken(
    table: str, old: tuple[Task | Part, ...], imported: SheetImport, mode: MergeMode
) -> tuple[dict[str, Any], list[RecordChange]]:
    """Return what a sheet makes new or different, by number, and what becomes of each row."""
    by_number = {record.number: record for record in old}
    new: dict[str, Any] = {}
    changes: list[RecordChange] = []
    for row in imported.rows:
        number = row.record.number
        was = by_number.get(number)
        differences: tuple[str, ...] = ()
        if was is None:
            new[number], state = row.record, ChangeState.NEW
        elif mode == MergeMode.ADD:
            state = ChangeState.SKIPPED
        else:
            differences = _differences(table, was, row)
            new[number] = replace(was, **{name: getattr(row.record, name) for name in row.given})
            state = ChangeState.CHANGED if differences else ChangeState.SAME
        changes.append(
            RecordChange(number=number, row=row.row, state=state, differences=differences)
        )
    return new, changes


def _differences(table: str, was: Task | Part, row: ImportedRow) -> tuple[str, ...]:
    """Return the fields of a task or part that the sheet changes, in words."""
    said: list[str] = []
    for name in was.__dataclass_fields__:
        before, after = getattr(was, name), getattr(row.record, name)
        if name in row.given and before != after:
            path = (table, name)
            words = (value_words(value, path, TimeUnit.SECOND) for value in (before, after))
            said.append(became(field_words(path), *words))
    return tuple(said)


def _others(
    things: tuple[Task | Part, ...], changes: list[RecordChange], gone: set[str]
) -> list[RecordChange]:
    """Return what becomes of the tasks or parts that the sheet does not have."""
    met = {change.number for change in changes}
    states = {True: ChangeState.REMOVED, False: ChangeState.SKIPPED}
    numbers = [thing.number for thing in things if thing.number not in met]
    return [RecordChange(number=n, state=states[n in gone]) for n in numbers]


def _with_lines_and_models(
    product: Product, imported: SheetImport
) -> tuple[Product, tuple[str, ...]]:
    """Return the product with the lines and models that only the sheet knows."""
    notes: list[str] = []
    used = {task.line for task in product.tasks}
    named = dict.fromkeys(row.record.line for row in imported.rows if isinstance(row.record, Task))
    lines = [name for name in named if product.line(name) is None and name in used]
    own_lines = list(product.lines)
    main = product.main_line
    if main is not None and lines and len(product.lines) == 1 and main.name not in used:
        # A product without a task on its only line takes the sheet's first line as main line.
        own_lines = [replace(main, name=lines[0])]
        notes.append(f"The main line is called {lines[0]!r}, as in the sheet.")
        main, lines = own_lines[0], lines[1:]
    for name in lines:
        own_lines.append(Line(name=name, feeds=main.name if main else ""))
        notes.append(f"Line {name!r} was added as a feeder; enter on the Pace page where it joins.")
    models = [name for name in imported.models if name not in {m.name for m in product.models}]
    share = 0.0 if product.models else 1 / max(len(models), 1)
    if models:
        said = "a share of 0" if product.models else f"equal shares of {share:.3g}"
        names = ", ".join(models)
        notes.append(f"Models {names} were added with {said}; enter their shares on the Pace page.")
    added = tuple(Model(name=name, share=share) for name in models)
    merged = replace(product, lines=tuple(own_lines), models=(*product.models, *added))
    return merged, tuple(notes)


def _loose_ends(product: Product, gone: set[str]) -> list[str]:
    """Return what still names tasks that are removed."""
    return [
        f"Task {task.number} still names {number}, which is removed, as its predecessor."
        for task in product.tasks
        for number in task.predecessors
        if number in gone
    ] + [
        f"Line {line.label} still joins at task {line.join}, which is removed."
        for line in product.lines
        if line.join in gone
    ]
