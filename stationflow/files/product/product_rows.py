"""A product as rows of its tables, and back."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import MISSING, fields, replace
from typing import Any

from stationflow.files.product.table_reading import Found, Row
from stationflow.model import (
    MAIN_LINE,
    Calendar,
    Demand,
    Line,
    Picture,
    Product,
    ReachOptions,
    Shift,
    Task,
    TaskLimits,
    error,
)
from stationflow.model.schema.cells import split_list
from stationflow.model.schema.columns import Kind, Table
from stationflow.model.schema.tables import TABLE, TABLES

TASK_SEPARATORS = r"[,/\s]+"
NAME_SEPARATORS = r"[,\n]+"
TASK_CHILDREN = ("steps", "part_uses", "tools", "checks", "cautions", "model_times")
TASK_SINGLES = ("limits", "quality")

Rows = Mapping[str, Sequence[Row]]
Values = dict[str, object]


def rows_of(product: Product) -> dict[str, list[Values]]:
    """Return the rows of all tables of a product, as values of the model."""
    rows: dict[str, list[Values]] = {table.name: [] for table in TABLES}
    for name, thing in (
        ("product", product),
        ("calendar", product.calendar),
        ("demand", product.demand),
        ("reach", product.reach),
    ):
        _put(rows, name, [thing])
    _put(rows, "shifts", product.calendar.shifts)
    for shift in product.calendar.shifts:
        _put(rows, "breaks", shift.breaks, shift.name)
    _put(rows, "lines", product.lines)
    for line in product.lines:
        _put(rows, "stations", line.stations, line.name)
    for name in ("models", "parts", "equipment", "lags", "pictures", "tasks"):
        _put(rows, name, getattr(product, name))
    for task in product.tasks:
        for name in TASK_CHILDREN:
            _put(rows, name, getattr(task, TABLE[name].belongs), task.number)
        if task.limits != TaskLimits():
            _put(rows, "limits", [task.limits], task.number)
        if task.quality:
            _put(rows, "quality", [task.quality], task.number)
    return rows


def _put(
    rows: dict[str, list[Values]], name: str, things: Sequence[object], parent: str = ""
) -> None:
    """Add things as rows of one table."""
    table = TABLE[name]
    for thing in things:
        values = {c.field: getattr(thing, c.field) for c in table.columns if c.name != table.parent}
        rows[name].append({table.parent: parent, **values} if table.parent else values)


def product_of(
    rows: Rows, code: str, pictures: Mapping[str, str], where: str, found: Found
) -> Product:
    """Return the product that stands in rows of tables.

    Parameters
    ----------
    rows
        The rows read, by table name.
    code
        The product code if the tables name none.
    pictures
        Checksums of the pictures by name.
    where
        Name of the file with the product's header, for findings.
    """
    header = _single(rows, "product")
    if not header.get("code"):
        message = f"There is no product code; {code!r} is used."
        found.add(error("value-not-read", where, message, "Enter a product code."))
        header["code"] = code
    lines = _lines(rows, found) or (Line(),)
    mains = [line.name for line in lines if line.is_main]
    others: dict[str, Any] = {
        "calendar": Calendar(**_single(rows, "calendar"), shifts=_shifts(rows, found)),
        "demand": Demand(**_single(rows, "demand")),
        "reach": ReachOptions(**_single(rows, "reach")),
        "lines": lines,
        "tasks": _tasks(rows, mains[0] if mains else MAIN_LINE, found),
        "pictures": _pictures(rows, pictures, found),
    }
    for name in ("models", "parts", "equipment", "lags"):
        others[name] = tuple(_thing(TABLE[name], row) for row in rows.get(name, ()))
    return Product(**header, **others)


def _given(row: Row, without: str = "") -> dict[str, Any]:
    """Return the values of a row; what is empty takes the model's usual value."""
    return {n: v for n, v in row.values.items() if v is not None and n != without}


def _single(rows: Rows, name: str) -> dict[str, Any]:
    """Return the values of a table of one row."""
    return _given(rows[name][0]) if rows.get(name) else {}


def _children(
    rows: Rows, name: str, parents: frozenset[str], found: Found
) -> dict[str, list[tuple[Any, Row]]]:
    """Return the things of one table with their rows, by what they belong to."""
    table = TABLE[name]
    children: dict[str, list[tuple[Any, Row]]] = defaultdict(list)
    for row in rows.get(name, ()):
        parent = str(row.values[table.parent])
        if parent not in parents:
            message = f"There is no {table.parent} {parent!r}{_lookalike(parent, parents)}."
            found.add(error("row-left-out", row.where, message))
            continue
        children[parent].append((_thing(table, row, parents), row))
    return children


def _lookalike(number: str, known: frozenset[str]) -> str:
    """Return a known number that differs by leading zeros or case only."""
    bare = number.casefold().lstrip("0")
    alike = sorted(other for other in known if other.casefold().lstrip("0") == bare)
    return f"; it looks like {alike[0]!r}" if alike else ""


def _thing(table: Table, row: Row, tasks: frozenset[str] = frozenset()) -> Any:
    """Return the object of the model that a row stands for; `tasks` are all task numbers."""
    values = _given(row, table.parent)
    for column in table.columns:
        text = values.get(column.field)
        if column.kind == Kind.KEYS and isinstance(text, str):
            values[column.field] = split_list(text, TASK_SEPARATORS, tasks)
        elif column.kind == Kind.NAMES and isinstance(text, str):
            values[column.field] = split_list(text, NAME_SEPARATORS)
    # What a row must have is checked before; a text that has no usual value may be missing.
    missing = [f.name for f in fields(table.record) if f.default is f.default_factory is MISSING]
    return table.record(**{name: "" for name in missing if name not in values}, **values)


def _shifts(rows: Rows, found: Found) -> tuple[Shift, ...]:
    """Return the shifts with their breaks."""
    shifts = [Shift(**_given(row)) for row in rows.get("shifts", ())]
    breaks = _children(rows, "breaks", frozenset(shift.name for shift in shifts), found)
    return tuple(
        replace(shift, breaks=tuple(thing for thing, _ in breaks.pop(shift.name, ())))
        for shift in shifts
    )


def _lines(rows: Rows, found: Found) -> tuple[Line, ...]:
    """Return the lines with the settings of their stations."""
    lines = [Line(**_given(row)) for row in rows.get("lines", ())] or [Line()]
    stations = _children(rows, "stations", frozenset(line.name for line in lines), found)
    return tuple(
        replace(line, stations=tuple(thing for thing, _ in stations.pop(line.name, ())))
        for line in lines
    )


def _tasks(rows: Rows, main_line: str, found: Found) -> tuple[Task, ...]:
    """Return the tasks with all that belongs to them; of tasks numbered alike the first has it."""
    task_rows = rows.get("tasks", ())
    numbers = frozenset(str(row.values["number"]) for row in task_rows)
    children = {name: _children(rows, name, numbers, found) for name in TASK_CHILDREN}
    singles = {name: _children(rows, name, numbers, found) for name in TASK_SINGLES}
    whole = []
    for row in task_rows:
        task: Task = _thing(TABLE["tasks"], row, numbers)
        belongings: dict[str, Any] = {
            TABLE[name].belongs: tuple(thing for thing, _ in children[name].pop(task.number, ()))
            for name in TASK_CHILDREN
        }
        for name in TASK_SINGLES:
            for thing, child in singles[name].pop(task.number, ()):
                if name in belongings:
                    message = f"Task {task.number} has a row here already; the first was kept."
                    found.add(error("row-left-out", child.where, message))
                else:
                    belongings[name] = thing
        line = str(row.values.get("line") or main_line)
        whole.append(replace(task, line=line, **belongings))
    return tuple(whole)


def _pictures(rows: Rows, pictures: Mapping[str, str], found: Found) -> tuple[Picture, ...]:
    """Return the pictures in the order of their table; those it does not name follow."""
    listed = dict.fromkeys(str(row.values["name"]) for row in rows.get("pictures", ()))
    for row in rows.get("pictures", ()):
        name = str(row.values["name"])
        if name not in pictures:
            message = f"There is no picture {name!r}."
            found.add(error("picture-missing", row.where, message))
    names = dict.fromkeys([*(n for n in listed if n in pictures), *sorted(pictures)])
    return tuple(Picture(name=name, checksum=pictures[name]) for name in names)
