"""Printed times: rounded so that every column adds up to what stands below it."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal
from fractions import Fraction

from stationflow.cards.words import number_words
from stationflow.units import TimeUnit, exact, half_up, seconds_in_unit


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedUnit:
    """The unit of a card and how many decimals its times have."""

    label: str
    decimals: int
    unit: TimeUnit | None = None  # None: the times are in the unit already

    def number(self, time: float) -> float:
        """Return a time of the plan as a number of this unit."""
        return time if self.unit is None else seconds_in_unit(time, self.unit)

    def exactly(self, time: float) -> Fraction:
        """Return the same as a fraction, so that thirds add up to a whole."""
        per_unit = 1000 if self.unit is None else self.unit.milliseconds
        return Fraction(exact(time)) * 1000 / per_unit

    def rounded(self, time: float) -> Decimal:
        """Return a time of the plan rounded half up."""
        return half_up(self.number(time), self.decimals)

    def show(self, time: float, language: str = "en") -> str:
        """Return a time of the plan as text, "27.0 s"."""
        return f"{number_words(language, self.rounded(time))} {self.label}"


def printed_unit(product_unit: TimeUnit, plan_unit: str) -> PrintedUnit:
    """Return the unit times are printed in.

    A plan of a published instance counts in whole units of its file.
    """
    if plan_unit == "unit":
        return PrintedUnit(label="units", decimals=0)
    return PrintedUnit(label=product_unit.label, decimals=product_unit.decimals, unit=product_unit)


def shared_out(total: Decimal, numbers: Sequence[float], decimals: int) -> list[Decimal]:
    """Round numbers so that they add up to a total that is rounded already.

    Each is rounded down; the units that are missing go to the largest
    remainders. Works where the sum of the numbers is within one unit of the
    last place of `total`, as for the steps of a task.

    >>> [str(n) for n in shared_out(Decimal("3.8"), [1.25, 1.25, 1.25], 1)]
    ['1.3', '1.3', '1.2']
    """
    place = Decimal(1).scaleb(-decimals)
    given = [exact(n) / place for n in numbers]
    down = [n.to_integral_value(rounding=ROUND_FLOOR) for n in given]
    missing = int(total / place - sum(down, Decimal(0)))
    by_remainder = sorted(range(len(given)), key=lambda i: (down[i] - given[i], i))
    for i in by_remainder[: max(missing, 0)]:
        down[i] += 1
    return [(n * place).quantize(place) for n in down]
