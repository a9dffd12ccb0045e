"""What a table is made of: columns, each said once for files, pages, exports and sentences."""

from collections.abc import Mapping
from dataclasses import KW_ONLY, MISSING, dataclass, fields
from enum import StrEnum
from typing import Any, Literal

from stationflow.model.unread import Use


class Kind(StrEnum):
    """What may stand in a column."""

    KEY = "number or name"  # tells things apart: spaces at the ends do not count
    TEXT = "text"
    NUMBER = "number"
    WHOLE = "whole number"
    SHARE = "share"
    YES_NO = "yes or no"
    TIME = "time"
    CHOICE = "choice"
    KEYS = "task numbers"  # "10; 20"
    NAMES = "names"  # "press; oven"
    DAYS = "days"  # "mon; tue"
    CLOCK = "clock time"
    DATE = "date"
    PICTURE = "picture name"


NUMBERS = frozenset({Kind.NUMBER, Kind.WHOLE, Kind.SHARE, Kind.TIME})
"""The kinds whose cells hold a number."""

A_SHARE = "A share: 0.95 for 95 %."
ABOVE_ZERO, SOME = "number-zero", "none-there"
"""Codes of the finding where 0 is entered: of a number above 0, and of how many there are."""

Width = int | Literal["small", "medium", "large"]


@dataclass(frozen=True, slots=True)
class Shown:
    """How a page shows a column, in an editable table or as a field of a form."""

    label: str  # the heading, without the unit of a time or number
    # width in a table, in pixels or a word; in a form, its column's share of the row
    width: Width | None = None
    help: str | None = None
    is_chosen: bool = False  # whether only names that are there can be chosen
    is_pinned: bool = False  # whether the column stays when a table is moved sideways
    at: tuple[int, int] = (0, 0)  # column and row in a form
    # which of the editable tables of its table has the column, where there are two; empty: the
    # first. What is pinned stands in both.
    part: str = ""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table."""

    name: str  # heading in a CSV table; the unit is its last word
    kind: Kind  # what may stand in it
    about: str = ""  # what to enter, in a sentence
    unit: str = ""  # unit in which files keep the number: "s", "g"; empty for none
    _: KW_ONLY
    is_required: bool = False  # whether a row without it is left out
    words: type[StrEnum] | None = None  # the words allowed, for `Kind.CHOICE` and `Kind.DAYS`
    titles: Mapping[Any, str] | None = None  # what pages call these words; None: as they are
    lowest: int = 0  # smallest number allowed
    highest: int | None = None  # greatest number allowed; None: any that can be kept
    zero: str = ""  # code of the finding where 0 is entered; empty: 0 is a number like others
    said: str = ""  # what it is called in sentences; empty: its stem
    # what an emptied cell of a page, or a new row, holds; None: the data class says it
    empty: Any = None
    uses: tuple[Use, ...] | None = None  # what must not be made without it; None: as its table
    # grid, form: how an editable table, or a form, shows it; None: not at all
    grid: Shown | None = None
    form: Shown | None = None

    @property
    def choices(self) -> tuple[str, ...]:
        """The words allowed, as they are written."""
        return tuple(word.value for word in self.words or ())

    @property
    def stem(self) -> str:
        """The name without its unit: "time" of "time_s"."""
        return self.name.removesuffix(f"_{self.unit.lower()}") if self.unit else self.name

    @property
    def field(self) -> str:
        """The field of the data class: "time_ms" for "time_s", else the name."""
        return f"{self.stem}_ms" if self.kind == Kind.TIME else self.name

    @property
    def heading(self) -> str:
        """The heading without a unit: "Time"."""
        return self.stem.replace("_", " ").capitalize()

    @property
    def title(self) -> str:
        """The heading in a workbook: "Time (s)"."""
        return f"{self.heading} ({self.unit})" if self.unit else self.heading

    @property
    def in_words(self) -> str:
        """What it is called in a sentence: "standard deviation of the time"."""
        return self.said or self.stem.replace("_", " ")


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One table of a product."""

    name: str  # file name without ".csv", or name in `product.toml`
    title: str  # name of the sheet
    record: type[Any]  # data class of a row
    columns: tuple[Column, ...]
    about: str
    path: str  # the way to its rows from the product: "tasks.parts"; empty: the product itself
    # column that says to which task, line or shift a row belongs; empty: to the product
    parent: str = ""
    keys: tuple[str, ...] = ()  # fields that tell the rows of one list apart; none: their places do
    is_single: bool = False  # whether there is one row only, to the product or to each parent
    in_toml: bool = False  # whether the product folder keeps it in `product.toml`
    # what must not be made without its cells; None: each column says it
    uses: tuple[Use, ...] | None = None
    # what one of its rows, or all of them where rows have no key, is called in sentences
    said: str = ""
    # heading, help: what pages call the editable table, and one sentence on how to fill it
    heading: str = ""
    help: str = ""

    def __post_init__(self) -> None:
        """Refuse a column of which nobody says what rests on it."""
        if silent := [c.name for c in self.columns if c.uses is None and self.uses is None]:
            raise ValueError(f"table {self.name} does not say what is made from {silent}")

    def column(self, name: str) -> Column | None:
        """Return the column of this name, or None."""
        return next((column for column in self.columns if column.name == name), None)

    def uses_of(self, column: Column | None) -> tuple[Use, ...]:
        """Return what must not be made without a column; None: without a whole row."""
        if column is not None:
            return (self.uses if column.uses is None else column.uses) or ()
        return tuple(dict.fromkeys(u for c in self.columns for u in self.uses_of(c)))

    def fields_for(self, use: Use) -> tuple[str, ...]:
        """Return the fields of its data class that something is made from."""
        of_record = (column for column in self.columns if column.name != self.parent)
        return tuple(column.field for column in of_record if use in self.uses_of(column))

    def usual(self, column: Column) -> Any:
        """Return what a cell holds into which nothing is entered on a page."""
        default = next((f.default for f in fields(self.record) if f.name == column.field), MISSING)
        if column.empty is not None or default is MISSING:
            without = column.lowest if column.kind in NUMBERS else ""
            return without if column.empty is None else column.empty
        return default

    def blank(self) -> Any:
        """Return the record of a row into which nothing is entered yet."""
        usual = {c.field: self.usual(c) for c in self.columns if c.name != self.parent}
        return self.record(**usual)
