"""Columns of the editable tables: how a field is shown as text and read back.

All cells are text. A number column of the grid would turn a pasted "7,5" into
75 and drop what it cannot read without a word; text arrives as it was typed
and is judged here.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any

from stationflow.files.cells import read_number
from stationflow.units import TimeUnit, exact, in_unit, seconds


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
    """

    label: str
    show: Callable[[Any], str]
    put: Callable[[Any, str], Any]
    options: Sequence[str] | None = None
    width: int | str | None = None
    is_number: bool = False
    help: str | None = field(default=None)


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
    name: str, label: str, *, empty: float | None = None, least: float = 0, most: float | None = None,
    whole: bool = False, **more: Any,
) -> Column:  # fmt: skip
    """Return a column for a number; an empty cell means `empty`."""

    def put(record: Any, text: str) -> Any:
        if not text:
            return replace(record, **{name: empty})
        number = number_in(text, least=least, most=most)
        if whole and number != number.to_integral_value():
            raise ValueError(f"{text!r} is not a whole number.")
        return replace(record, **{name: int(number) if whole else float(number)})

    return Column(
        label,
        show=lambda record: shown_number(getattr(record, name)),
        put=put,
        is_number=True,
        **more,
    )


def time_column(name: str, label: str, unit: TimeUnit, *, empty: float | None = None) -> Column:
    """Return a column for a time, shown in `unit` and kept in seconds."""

    def put(record: Any, text: str) -> Any:
        time_s = empty if not text else seconds(number_in(text), unit)
        return replace(record, **{name: time_s})

    return Column(
        f"{label} ({unit.label})",
        show=lambda record: shown_time(getattr(record, name), unit),
        put=put,
        width="small",
        is_number=True,
    )


def number_in(text: str, *, least: float = 0, most: float | None = None) -> Decimal:
    """Return the number a cell holds.

    Raises
    ------
    ValueError
        If it is none, or out of range; the sentence says why.
    """
    number = read_number(text)
    if number is None:
        raise ValueError(f"{text!r} is not a number. Write it like 12.5.")
    if number < exact(least):
        raise ValueError(f"{text} is less than {least:g}.")
    if most is not None and number > exact(most):
        raise ValueError(f"{text} is more than {most:g}.")
    return number


def shown_time(time_s: float | None, unit: TimeUnit) -> str:
    """Return a time as a cell shows it, without its unit."""
    return "" if time_s is None else shown_number(in_unit(time_s, unit))


def shown_number(number: float | None) -> str:
    """Return a number as a cell shows it, without needless zeros."""
    return "" if number is None else f"{exact(number).normalize():f}"
