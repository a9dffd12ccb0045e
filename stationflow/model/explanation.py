"""A number that can be opened: formula, values put in, source, other definition."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Explained:
    """A computed number with the way it came about.

    Attributes
    ----------
    name
        The trade's word: "takt time".
    value
        The number; None: it cannot be computed from what is entered.
    unit
        "s", "units/week", "" for a ratio or count.
    formula
        The formula in words: "takt time = working time x lines / good units".
    worked
        The same with the values put in: "27 000 s x 1 / 450 = 60.000 s".
    source
        Where the formula stands.
    other
        The competing definition, where the trade has two; else empty.
    """

    name: str
    value: float | None
    unit: str
    formula: str
    worked: str
    source: str
    other: str = ""
