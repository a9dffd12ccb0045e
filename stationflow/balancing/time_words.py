"""How the times of a plan are written when its numbers are opened."""

from collections.abc import Sequence
from dataclasses import dataclass

from stationflow.pace.figures import figure, fraction
from stationflow.pace.formula import Value
from stationflow.units import TimeUnit, seconds_in_unit, show_seconds


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

    def value(self, time: float) -> Value:
        """Return a time of the plan as it is put into a formula."""
        of_unit = 1000 if self.unit is None else self.unit.milliseconds
        return Value(fraction(time) * 1000 / of_unit, self.figure(time))

    def figure(self, time: float) -> str:
        """Return a time of the plan as a figure, two places finer than the unit is shown."""
        decimals = 0 if self.unit is None else self.unit.decimals
        return figure(self.number(time), decimals + 2)

    def show(self, time: float) -> str:
        """Return a time of the plan with its unit, "27 s"."""
        return f"{self.figure(time)} {self.label}"

    def apart(self, *times: float) -> list[str]:
        """Return unlike times as pages show them; finer where two would look alike.

        >>> TimeWords().apart(154.2, 126.982), TimeWords().apart(60.01, 60)
        (['154.2 s', '127.0 s'], ['60.01 s', '60 s'])
        """
        if self.unit is not None:
            shown = [show_seconds(time, self.unit) for time in times]
            if len(set(shown)) == len(set(times)):
                return shown
        return [self.show(time) for time in times]

    def sum(self, times: Sequence[float]) -> str:
        """Return times as a sum in words, shortened when there are many.

        >>> TimeWords().sum([30, 20.5])
        '30 + 20.5'
        """
        shown = [self.figure(time) for time in times]
        return " + ".join(shown if len(shown) <= 12 else [*shown[:11], "...", shown[-1]])


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
