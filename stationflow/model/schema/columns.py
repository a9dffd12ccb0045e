"""What a table is made of: columns, each with its heading, kind and unit."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Any


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
    PICTURE = "picture name"


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of a table.

    Attributes
    ----------
    name
        Heading in a CSV table; the unit is its last word.
    kind
        What may stand in it.
    about
        What to enter, in a sentence.
    is_required
        Whether a row without it is left out.
    words
        The words allowed, for `Kind.CHOICE` and `Kind.DAYS`.
    lowest
        Smallest number allowed.
    unit
        Unit in which the number is kept: "s", "g"; empty for none.
    """

    name: str
    kind: Kind
    about: str = ""
    is_required: bool = False
    words: type[StrEnum] | None = None
    lowest: int = 0
    unit: str = ""

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
    def title(self) -> str:
        """The heading in a workbook: "Time (s)"."""
        words = self.stem.replace("_", " ").capitalize()
        return f"{words} ({self.unit})" if self.unit else words


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One table of a product.

    Attributes
    ----------
    name
        File name without ".csv", or name in `product.toml`.
    title
        Name of the sheet.
    record
        Data class of a row.
    parent
        Column that says to which task, line or shift a row belongs; empty: to the product.
    belongs
        Field of the parent that holds the row.
    is_single
        Whether there is one row only.
    in_toml
        Whether the product folder keeps it in `product.toml`.
    """

    name: str
    title: str
    record: type[Any]
    columns: tuple[Column, ...]
    about: str
    parent: str = ""
    belongs: str = ""
    is_single: bool = False
    in_toml: bool = False

    def column(self, name: str) -> Column | None:
        """Return the column of this name, or None."""
        return next((column for column in self.columns if column.name == name), None)


def key_column(name: str, about: str = "") -> Column:
    """Return a column for a number or name."""
    return Column(name=name, kind=Kind.KEY, about=about)


def needed_column(name: str, about: str = "") -> Column:
    """Return a column for a number or name without which a row is left out."""
    return Column(name=name, kind=Kind.KEY, about=about, is_required=True)


def text_column(name: str, about: str = "") -> Column:
    """Return a column for free text."""
    return Column(name=name, kind=Kind.TEXT, about=about)


def picture_column(about: str) -> Column:
    """Return a column for the name of a picture."""
    return Column(name="picture", kind=Kind.PICTURE, about=about)


def number_column(name: str, about: str = "", unit: str = "") -> Column:
    """Return a column for a number, with decimals."""
    return Column(name=name, kind=Kind.NUMBER, about=about, unit=unit)


def whole_column(name: str, about: str = "", lowest: int = 0) -> Column:
    """Return a column for a whole number."""
    return Column(name=name, kind=Kind.WHOLE, about=about, lowest=lowest)


def share_column(name: str, about: str = "") -> Column:
    """Return a column for a share: 0.95 for 95 %."""
    return Column(name=name, kind=Kind.SHARE, about=about or "A share: 0.95 for 95 %.")


def yes_no_column(name: str, about: str = "") -> Column:
    """Return a column for yes or no."""
    return Column(name=name, kind=Kind.YES_NO, about=about)


def time_column(name: str, about: str = "", *, is_required: bool = False) -> Column:
    """Return a column for a time: seconds in files, whole milliseconds in the model."""
    return Column(name=name, kind=Kind.TIME, about=about, is_required=is_required, unit="s")


def choice_column(
    name: str, choices: type[StrEnum], about: str = "", *, needed: bool = False
) -> Column:
    """Return a column for one of a few words."""
    return Column(name=name, kind=Kind.CHOICE, about=about, is_required=needed, words=choices)


def keys_column(name: str, about: str = "") -> Column:
    """Return a column for task numbers."""
    return Column(name=name, kind=Kind.KEYS, about=about)


def names_column(name: str, about: str = "") -> Column:
    """Return a column for names."""
    return Column(name=name, kind=Kind.NAMES, about=about)
