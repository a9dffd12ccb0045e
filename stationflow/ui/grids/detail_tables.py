"""The editable tables of what belongs to one task, and of the product's pace."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from stationflow.model import Break, Line, Product, Shift
from stationflow.model.schema.columns import Table
from stationflow.model.schema.tables import TABLE, TABLES
from stationflow.ui.grids.grid_columns import Column, grid_columns


@dataclass(frozen=True, slots=True)
class DetailTable:
    """One editable table of a task's or product's own records.

    Attributes
    ----------
    field
        The field of the owner that holds the records.
    title
        What the table is called.
    columns
        Its columns.
    new
        Makes an empty record.
    help
        One sentence on how to fill it.
    """

    field: str
    title: str
    columns: tuple[Column, ...]
    new: Callable[[], Any]
    help: str


def detail_table(table: Table, product: Product) -> DetailTable:
    """Return a table of the schema as an editable one."""
    field = table.path.rpartition(".")[2]
    columns = grid_columns(table, product)
    return DetailTable(field, table.heading, columns, table.blank, table.help)


def task_details(product: Product) -> tuple[DetailTable, ...]:
    """Return the tables of one task of a product."""
    own = (table for table in TABLES if table.parent == "task" and table.heading)
    return tuple(detail_table(table, product) for table in own)


def station_table(product: Product, line: Line) -> DetailTable:
    """Return the table of what is special about single stations of a line."""
    table = TABLE["stations"]
    highest = max((station.number for station in line.stations), default=0)
    return replace(
        detail_table(table, product),
        title=f"Stations of line {line.name}",
        new=lambda: replace(table.blank(), number=highest + 1),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftBreak:
    """A break together with the name of its shift: one row of the table of breaks."""

    shift: str
    name: str = ""
    minutes: float = 0.0


def break_table(product: Product) -> DetailTable:
    """Return the table of the breaks of all shifts."""
    names = [shift.name for shift in product.calendar.shifts]
    table = detail_table(TABLE["breaks"], product)
    shift, *others = table.columns
    return replace(
        table,
        columns=(replace(shift, options=names), *others),
        new=lambda: ShiftBreak(shift=names[0] if names else ""),
    )


def breaks_of(shifts: tuple[Shift, ...]) -> tuple[ShiftBreak, ...]:
    """Return the breaks of all shifts as rows."""
    return tuple(
        ShiftBreak(shift=shift.name, name=b.name, minutes=b.minutes)
        for shift in shifts
        for b in shift.breaks
    )


def with_breaks(shifts: tuple[Shift, ...], rows: tuple[ShiftBreak, ...]) -> tuple[Shift, ...]:
    """Return the shifts with the breaks that rows give them.

    Of shifts that share a name the first gets the breaks, so that none counts twice.
    """
    left = list(rows)
    changed = []
    for shift in shifts:
        own = [row for row in left if row.shift == shift.name]
        left = [row for row in left if row.shift != shift.name]
        breaks = tuple(Break(name=row.name, minutes=row.minutes) for row in own)
        changed.append(replace(shift, breaks=breaks))
    return tuple(changed)
