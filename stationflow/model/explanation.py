"""A number that can be opened: formula, values put in, source, other definition, cross-check."""

import math
import re
from dataclasses import dataclass, replace

_BETWEEN = re.compile(r"[^\w./+]+")
SAME = 1e-9  # relative: two ways to the same number may differ by the noise of binary floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Explained:
    """A computed number with the way it came about."""

    name: str
    value: float | None  # the number; None: it cannot be computed from what is entered
    unit: str  # "s", "units/week", "" for a ratio or count
    formula: str  # the formula in words: "takt time = working time x lines / good units"
    worked: str  # the same with the values put in: "27 000 s x 1 / 450 = 60.000 s"
    source: str  # where the formula stands
    other: str = ""  # the competing definition, where the trade has two; else empty
    # the stable word that picks the number: "takt-time", "station-3-load"; by default the name
    key: str = ""
    # what it is a number of: "line main", "station 3", "task 40"; empty: the whole line
    where: str = ""
    check: str = ""  # what an independent recomputation says; empty: there is none

    def __post_init__(self) -> None:
        """Take the key from the name where none is given."""
        if not self.key:
            object.__setattr__(self, "key", key_word(self.name))


def key_word(text: str) -> str:
    """Return a text as one word of a key.

    >>> key_word("Balance efficiency on the limit")
    'balance-efficiency-on-the-limit'
    """
    return _BETWEEN.sub("-", text.strip().casefold()).strip("-")


def cross_checked(explained: Explained, again: float | None, how: str) -> Explained:
    """Return a number with what a second, independent way to it says.

    `again`: the same number computed another way, in the same unit; None: that way is closed.
    `how`: the other way in words, as the subject of a sentence: "the sum of the idle times".
    """
    value = explained.value
    if value is None or again is None:
        return explained
    if math.isclose(value, again, rel_tol=SAME, abs_tol=SAME):
        return replace(explained, check=f"Agrees: {how} gives the same.")
    said = f"{again:.10g} {explained.unit}".strip()
    return replace(explained, check=f"Differs: {how} gives {said}, not {value:.10g}.")
