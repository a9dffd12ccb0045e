"""The editable tables of what belongs to one task, and of the product's pace."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from stationflow.model import Break, Product, Shift
from stationflow.model.schema.columns import Table
from stationflow.model.schema.tables import TABLE
from stationflow.ui.grids.grid_columns import Column, grid_columns


@dataclass(frozen=True, slots=True)
class DetailTable:
    """One editable table."""

    title: str
    columns: Sequence[Column]
    new: Callable[[], Any]  # makes an empty record
    help: str = ""


def detail_table(table: Table, product: Product, part: str = "") -> DetailTable:
    """Return a table of the schema, or one part of its columns, as an editable one."""
    columns = grid_columns(table, product, part)
    return DetailTable(table.heading, columns, table.blank, "" if part else table.help)


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
