"""How the times of a plan are written when its numbers are opened."""

from collections.abc import Iterable
from dataclasses import dataclass

from stationflow.pace.figures import figure, fraction
from stationflow.pace.formula import Value, Written, summed
from stationflow.units import TimeUnit, seconds_in_unit


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeWords:
    """The unit in which opened numbers speak."""

    # unit of the product; None: the times are counts of a published instance
    unit: TimeUnit | None = TimeUnit.SECOND

    @property
    def label(self) -> str:
        """The unit as people write it."""
        return "units" if self.unit is None else self.unit.label

    def number(self, time: float) -> float:
        """Return a time of the plan in this unit."""
        return time if self.unit is None else seconds_in_unit(time, self.unit)

    @property
    def places(self) -> int:
        """Places of a figure: two finer than the unit is shown."""
        return 2 if self.unit is None else self.unit.decimals + 2

    @property
    def written(self) -> Written:
        """How a time is written that comes out of a formula."""
        return Written(places=self.places, unit=self.label)

    def value(self, time: float, note: str = "") -> Value:
        """Return a time of the plan as it is put into a formula."""
        of_unit = 1000 if self.unit is None else self.unit.milliseconds
        return Value(fraction(time) * 1000 / of_unit, Written(places=self.places), note)

    def figure(self, time: float) -> str:
        """Return a time of the plan as a figure."""
        return figure(self.number(time), self.places)

    def show(self, time: float) -> str:
        """Return a time of the plan with its unit, "27 s"."""
        return f"{self.figure(time)} {self.label}"

    def sum(self, times: Iterable[tuple[str, float]], others: str = "others") -> str:
        """Return times with their notes as a sum and what it gives.

        >>> TimeWords().sum([("task 10", 30), ("task 20", 20.5)])
        '30 (task 10) + 20.5 (task 20) = 50.5 s'
        """
        return summed([self.value(time, note) for note, time in times], self.written, others)


def time_words(time_unit: str, unit: TimeUnit = TimeUnit.SECOND) -> TimeWords:
    """Return how a plan's times are written: its own `time_unit` "unit" counts, "s" is shown."""
    return TimeWords(unit=None if time_unit == "unit" else unit)


def count(number: float, noun: str) -> str:
    """Return a count with its noun, "1 station", "3 stations".

    >>> count(1, "station"), count(3, "station"), count(1_000_000, "trial")
    ('1 station', '3 stations', '1000000 trials')
    """
    shown = f"{number:.0f}" if number == int(number) else f"{number:g}"
    return f"{shown} {noun}{'' if number == 1 else 's'}"
