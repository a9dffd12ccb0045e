"""Columns of the editable tables: how a field is shown as text and read back.

All cells are text. A number column of the grid would turn a pasted "7,5" into
75 and drop what it cannot read without a word; text arrives as it was typed
and is judged here.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from stationflow.model import Product
from stationflow.model.references import LISTS, THING_AT, listed, mentions
from stationflow.model.schema.cells import join_list, plain_number, read_cell, split_list
from stationflow.model.schema.columns import NUMBERS, Kind, Shown, Table, Width
from stationflow.model.schema.columns import Column as Said
from stationflow.units import TimeUnit, in_unit

LONGEST_SHOWN = 60  # characters of a cell that a sentence about it repeats


@dataclass(frozen=True, slots=True)
class Column:
    """One column of an editable table."""

    label: str
    show: Callable[[Any], str]  # a record to the text of its cell
    put: Callable[[Any, str], Any]  # record and text to the changed record; ValueError: why not
    options: Sequence[str] | None = None  # the only values allowed, when it is a choice
    width: Width | None = None
    is_number: bool = False
    is_pinned: bool = False  # it stays when the table is moved sideways
    help: str | None = None
    usual: str = ""  # what a new row has in it


def grid_columns(table: Table, product: Product, part: str = "") -> tuple[Column, ...]:
    """Return the columns of an editable table, in the order of the schema."""
    return tuple(
        grid_column(table, column, product)
        for column in table.columns
        if column.grid and (column.grid.is_pinned or column.grid.part == part)
    )


def grid_column(table: Table, column: Said, product: Product) -> Column:
    """Return one column of an editable table; an empty cell means what the schema says."""
    assert column.grid is not None
    name, unit = column.field, product.time_unit
    options = ["", *known_names(table, column, product)] if column.grid.is_chosen else None
    if column.titles:
        options = list(column.titles.values())
    return Column(
        label_of(column, column.grid, unit),
        show=lambda record: shown_value(column, getattr(record, name), unit),
        put=lambda record, text: replace(record, **{name: _entered(table, column, text, unit)}),
        options=options,
        width=column.grid.width,
        is_number=column.kind in NUMBERS,
        is_pinned=column.grid.is_pinned,
        help=column.grid.help,
        usual=column.empty or "" if column.kind == Kind.CLOCK else "",
    )


def known_names(table: Table, column: Said, product: Product, *, used: bool = False) -> list[str]:
    """Return the names a field can take: those listed; with `used` all that are used, sorted."""
    thing = THING_AT.get(f"{table.path}.{column.field}")
    if thing is None:
        return []
    names = listed(product, thing) if thing in LISTS else []
    return sorted({*names, *(m.name for m in mentions(product, thing))}) if used else names


def label_of(column: Said, shown: Shown, unit: TimeUnit) -> str:
    """Return the heading of a column on a page, with its unit."""
    label = unit.label if column.kind == Kind.TIME else column.unit
    return f"{shown.label} ({label})" if label else shown.label


def shown_value(column: Said, value: Any, unit: TimeUnit) -> str:
    """Return a value as a cell shows it."""
    if column.kind == Kind.TIME:
        return shown_time(value, unit)
    if column.kind in NUMBERS:
        return shown_number(value)
    if isinstance(value, tuple):
        return join_list(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return column.titles[value] if column.titles else str(value)


def _entered(table: Table, column: Said, text: str, unit: TimeUnit) -> Any:
    """Return what the text of a cell means; ValueError says why it means nothing."""
    if column.titles:
        words = {title: word for word, title in column.titles.items()}
        if text not in words:
            raise ValueError(f"Choose a {column.in_words} of the list.")
        return words[text]
    if column.kind == Kind.NAMES:
        return tuple(dict.fromkeys(split_list(text, r"[,]+")))
    if column.kind == Kind.CLOCK and not text:
        raise ValueError("A clock time is needed, for example 06:30.")
    if column.kind == Kind.DATE and not text:
        raise ValueError("A day is needed, for example 2026-09-14.")
    if column.kind in NUMBERS | {Kind.CLOCK, Kind.DATE, Kind.YES_NO}:
        usual = table.usual(column)
        return read_written(text, column, unit) if text else usual
    return text


def read(text: str, kind: Kind, *, lowest: int = 0, unit: TimeUnit = TimeUnit.SECOND) -> Any:
    """Return what a cell of a kind holds, read as in a file; ValueError says why it cannot be."""
    return read_written(text, Said(name="cell", kind=kind, lowest=lowest), unit)


def read_written(text: str, column: Said, unit: TimeUnit) -> Any:
    """Return what a cell of a column holds, read as in a file; ValueError says why it cannot be."""
    cell = read_cell(column, text, unit)
    if cell.problem:
        shown = text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]} ..."
        raise ValueError(f"“{shown}” was not read: {cell.problem}.")
    return cell.value


def shown_time(time_ms: int | None, unit: TimeUnit) -> str:
    """Return a time as a cell shows it, without its unit."""
    return "" if time_ms is None else shown_number(in_unit(time_ms, unit))


def shown_number(number: float | None) -> str:
    """Return a number as a cell shows it, without needless zeros."""
    return "" if number is None else plain_number(number)
