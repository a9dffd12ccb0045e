"""Columns of the editable tables: how a field is shown as text and read back.

All cells are text. A number column of the grid would turn a pasted "7,5" into
75 and drop what it cannot read without a word; text arrives as it was typed
and is judged here.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from stationflow.model.schema import columns as files
from stationflow.model.schema.cells import plain_number, read_cell
from stationflow.model.schema.columns import Kind
from stationflow.units import TimeUnit, in_unit

LONGEST_SHOWN = 60  # characters of a cell that a sentence about it repeats


@dataclass(frozen=True, slots=True)
class Column:
    """One column of an editable table.

    Attributes
    ----------
    label
        The heading.
    show
        A record to the text of its cell.
    put
        A record and the cell's text to the changed record; raises ValueError
        with a sentence when the text does not fit.
    options
        The only values allowed, when the column is a choice.
    width
        Width in pixels, or "small", "medium", "large".
    is_number
        Whether the column is right-aligned.
    is_pinned
        Whether the column stays when the table is moved sideways.
    """

    label: str
    show: Callable[[Any], str]
    put: Callable[[Any, str], Any]
    options: Sequence[str] | None = None
    width: int | Literal["small", "medium", "large"] | None = None
    is_number: bool = False
    is_pinned: bool = False
    help: str | None = None


def text_column(name: str, label: str, **more: Any) -> Column:
    """Return a column for a field of text."""
    return Column(
        label,
        show=lambda record: getattr(record, name),
        put=lambda record, text: replace(record, **{name: text}),
        **more,
    )


def choice_column(name: str, label: str, options: Sequence[str], **more: Any) -> Column:
    """Return a column whose field takes one of a few values."""
    return text_column(name, label, options=options, **more)


def number_column(
    name: str,
    label: str,
    *,
    kind: Kind = Kind.NUMBER,
    empty: float | None = None,
    lowest: int = 0,
    **more: Any,
) -> Column:
    """Return a column for a number, whole number or share; an empty cell means `empty`."""

    def put(record: Any, text: str) -> Any:
        return replace(record, **{name: read(text, kind, lowest=lowest) if text else empty})

    return Column(
        label,
        show=lambda record: shown_number(getattr(record, name)),
        put=put,
        is_number=True,
        **more,
    )


def time_column(
    name: str, label: str, unit: TimeUnit, *, empty: int | None = None, width: int = 95
) -> Column:
    """Return a column for a time, shown in `unit` and kept in ms."""

    def put(record: Any, text: str) -> Any:
        return replace(record, **{name: read(text, Kind.TIME, unit=unit) if text else empty})

    return Column(
        f"{label} ({unit.label})",
        show=lambda record: shown_time(getattr(record, name), unit),
        put=put,
        width=width,
        is_number=True,
    )


def clock_column(name: str, label: str) -> Column:
    """Return a column for a clock time, which cannot be empty."""

    def put(record: Any, text: str) -> Any:
        if not text:
            raise ValueError("A clock time is needed, for example 06:30.")
        return replace(record, **{name: read(text, Kind.CLOCK)})

    return Column(label, show=lambda record: getattr(record, name), put=put, width="small")


def read(text: str, kind: Kind, *, lowest: int = 0, unit: TimeUnit = TimeUnit.SECOND) -> Any:
    """Return what a cell holds, read by the same rules as the cells of a file.

    Raises
    ------
    ValueError
        If it does not fit; the sentence says why.
    """
    cell = read_cell(files.Column(name="cell", kind=kind, lowest=lowest), text, unit)
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
