"""A product as rows of its tables, and back."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import MISSING, fields, replace
from typing import Any

from stationflow.files.product.table_reading import Found, Row
from stationflow.model import MAIN_LINE, Calendar, Picture, Product, error
from stationflow.model.schema.cells import split_list
from stationflow.model.schema.columns import Kind, Table
from stationflow.model.schema.tables import TABLE, TABLE_OF, TABLES
from stationflow.model.unread import AsWritten

TASK_SEPARATORS = r"[,/\s]+"
NAME_SEPARATORS = r"[,\n]+"

Rows = Mapping[str, Sequence[Row]]
Values = dict[str, object]


def rows_of(product: Product) -> dict[str, list[Values]]:
    """Return the rows of all tables of a product, as values of the model."""
    return {table.name: list(_rows(product, table)) for table in TABLES}


def _rows(product: Product, table: Table) -> Iterator[Values]:
    """Yield the rows of one table; a single record in which nothing is entered has none."""
    columns = [column for column in table.columns if column.name != table.parent]
    for owner, thing in _records(product, table.path.split(".") if table.path else [], product):
        values = {column.field: getattr(thing, column.field) for column in columns}
        if product.unread:
            values |= _as_written(product, table, owner, thing)
        if not table.parent:
            yield values
        elif not table.is_single or any(values[c.field] != table.usual(c) for c in columns):
            yield {table.parent: getattr(owner, TABLE_OF[type(owner)].keys[0]), **values}


def _as_written(product: Product, table: Table, owner: Any, thing: Any) -> Values:
    """Return the texts that stand in a row in the place of values and could not be read."""
    whose = str(getattr(owner, TABLE_OF[type(owner)].keys[0])) if table.parent else ""
    key = tuple(str(getattr(thing, name)) for name in table.keys)
    cells = (each.cell for each in product.unread)
    return {
        cell.field: AsWritten(cell.text)
        for cell in cells
        if cell is not None and (cell.table, cell.owner, cell.key) == (table.name, whose, key)
    }


def _records(value: Any, steps: Sequence[str], owner: Any) -> Iterator[tuple[Any, Any]]:
    """Yield the records at the end of a path, each with the record it belongs to."""
    if isinstance(value, tuple):
        for item in value:
            yield from _records(item, steps, owner)
    elif value is not None and steps:
        yield from _records(getattr(value, steps[0]), steps[1:], value)
    elif value is not None:
        yield owner, value


def product_of(
    rows: Rows, code: str, pictures: Mapping[str, str], where: str, found: Found
) -> Product:
    """Return the product that stands in rows of tables; `code` where they name none.

    `where` is the name of the file with the product's header, for findings.
    """
    header = _single(rows, "product")
    if not header.get("code"):
        message = f"There is no product code; {code!r} is used."
        found.add(error("value-not-read", where, message, "Enter a product code."))
        header["code"] = code
    lines = _with_children(
        TABLE["lines"], rows.get("lines") or [Row(values={}, where="")], rows, found
    )
    main = next((line.name for line in lines if line.is_main), MAIN_LINE)
    on_a_line = ("tasks", "machines")
    rows = {**rows, **{name: with_line(rows.get(name, ()), main) for name in on_a_line}}
    shifts = _with_children(TABLE["shifts"], rows.get("shifts", ()), rows, found)
    others: dict[str, Any] = {
        "calendar": Calendar(**_single(rows, "calendar"), shifts=shifts),
        "lines": lines,
        "tasks": _with_children(TABLE["tasks"], rows["tasks"], rows, found),
        "pictures": _pictures(rows, pictures, found),
    }
    for table in TABLES:
        if table.path not in others and "." not in table.path and table.path:
            if table.is_single:
                others[table.path] = table.record(**_single(rows, table.name))
            else:
                others[table.path] = tuple(
                    record_of(table, row, found) for row in rows.get(table.name, ())
                )
    for table in TABLES:
        if table.is_single and not table.parent:
            for row in rows.get(table.name, ())[1:]:
                message = f"{table.name!r} stands there more than once; the first was kept."
                found.miss(error("row-left-out", row.where, message), table)
    unread = found.unread({line.name for line in lines}, {task.number for task in others["tasks"]})
    return Product(**header, **others, unread=unread)


def with_line(rows: Sequence[Row], main: str) -> list[Row]:
    """Return rows with the main line where they name none."""
    return [
        Row(values={**row.values, "line": row.values.get("line") or main}, where=row.where)
        for row in rows
    ]


def _given(row: Row, without: str = "") -> dict[str, Any]:
    """Return the values of a row; what is empty takes the model's usual value."""
    return {n: v for n, v in row.values.items() if v is not None and n != without}


def _single(rows: Rows, name: str) -> dict[str, Any]:
    return _given(rows[name][0]) if rows.get(name) else {}


def _children(
    rows: Rows, name: str, parents: frozenset[str], found: Found
) -> dict[str, list[tuple[Any, Row]]]:
    """Return the things of one table with their rows, by what they belong to."""
    table = TABLE[name]
    children: dict[str, list[tuple[Any, Row]]] = {}
    for row in rows.get(name, ()):
        parent = str(row.values[table.parent])
        if parent not in parents:
            message = f"There is no {table.parent} {parent!r}{_lookalike(parent, parents)}."
            found.miss(error("row-left-out", row.where, message), table)
            continue
        children.setdefault(parent, []).append((record_of(table, row, found, parents), row))
    return children


def _lookalike(number: str, known: frozenset[str]) -> str:
    """Return a known number that differs by leading zeros or case only."""
    bare = number.casefold().lstrip("0")
    alike = sorted(other for other in known if other.casefold().lstrip("0") == bare)
    return f"; it looks like {alike[0]!r}" if alike else ""


def record_of(table: Table, row: Row, found: Found, tasks: frozenset[str] = frozenset()) -> Any:
    """Return the object of the model that a row stands for; `tasks` are all task numbers."""
    values = _given(row, table.parent)
    for column in table.columns:
        text = values.get(column.field)
        if column.kind == Kind.KEYS and isinstance(text, str):
            is_read = found.has_room(text, row, table, column)
            values[column.field] = split_list(text, TASK_SEPARATORS, tasks) if is_read else ()
        elif column.kind == Kind.NAMES and isinstance(text, str):
            values[column.field] = split_list(text, NAME_SEPARATORS)
    # What a row must have is checked before; a text that has no usual value may be missing.
    missing = [f.name for f in fields(table.record) if f.default is f.default_factory is MISSING]
    return table.record(**{name: "" for name in missing if name not in values}, **values)


def _with_children(table: Table, own: Sequence[Row], rows: Rows, found: Found) -> tuple[Any, ...]:
    """Return records with what belongs to them; of records named alike the first has it."""
    key = table.keys[0]
    names = frozenset(str(row.values[key]) for row in own if key in row.values)
    things = [record_of(table, row, found, names) for row in own]
    names = frozenset(getattr(thing, key) for thing in things)
    kinds = [t for t in TABLES if t.parent and t.path.rpartition(".")[0] == table.path]
    children = {kind.path: _children(rows, kind.name, names, found) for kind in kinds}
    whole = []
    for thing in things:
        belongings: dict[str, Any] = {}
        for kind in kinds:
            mine = children[kind.path].pop(getattr(thing, key), [])
            field = kind.path.rpartition(".")[2]
            if not kind.is_single:
                belongings[field] = tuple(child for child, _ in mine)
            elif mine:
                belongings[field] = mine[0][0]
            for _, row in mine[1:] if kind.is_single else ():
                where = f"{table.said.capitalize()} {getattr(thing, key)}"
                message = f"{where} has a row here already; the first was kept."
                left_out = error("row-left-out", row.where, message)
                found.miss(left_out, kind, values=row.values)
        whole.append(replace(thing, **belongings))
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
