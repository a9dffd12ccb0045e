"""Units of time: how times are read, rounded and printed.

Inside Stationflow the time of a task, step, lag or line is a whole number of
milliseconds. One hundredth of a minute is 600 ms and one TMU is 36 ms, both exact,
so that no unit of the trade loses anything. Seconds stand at the edges only: in files,
JSON and functions for programmers, and in results, where a mean need not be whole.
"""

import math
from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from fractions import Fraction


class TimeUnit(StrEnum):
    """A unit in which times are entered and shown.

    One TMU (time measurement unit of predetermined time systems) is
    0.00001 h = 0.036 s.
    """

    SECOND = "s"
    MINUTE = "min"
    CENTIMINUTE = "cmin"  # one hundredth of a minute
    HOUR = "h"
    TMU = "tmu"
    MILLISECOND = "ms"

    @property
    def milliseconds(self) -> int:
        """How many milliseconds one unit has."""
        return UNITS[self][0]

    @property
    def label(self) -> str:
        """The unit as people write it."""
        return UNITS[self][1]

    @property
    def decimals(self) -> int:
        """How many decimals are shown by custom."""
        return UNITS[self][2]


UNITS = {
    TimeUnit.SECOND: (1_000, "s", 1),
    TimeUnit.MINUTE: (60_000, "min", 3),
    TimeUnit.CENTIMINUTE: (600, "1/100 min", 1),
    TimeUnit.HOUR: (3_600_000, "h", 5),
    TimeUnit.TMU: (36, "TMU", 0),
    TimeUnit.MILLISECOND: (1, "ms", 0),
}
"""Milliseconds in a unit, how people write it, and how many decimals they show."""


def exact(number: float | int | str | Decimal) -> Decimal:
    """Return the decimal number a person wrote, without the noise of binary floats.

    >>> exact(0.1) + exact(0.2)
    Decimal('0.3')
    """
    return number if isinstance(number, Decimal) else Decimal(str(number))


def milliseconds(time: float | int | str | Decimal, unit: TimeUnit = TimeUnit.SECOND) -> int:
    """Return a time in whole milliseconds, rounded half up.

    >>> milliseconds(7.5, TimeUnit.CENTIMINUTE)
    4500
    """
    product = exact(time) * unit.milliseconds
    return int(product.quantize(Decimal(1), rounding=ROUND_HALF_UP))


def seconds(time: float | int | str | Decimal, unit: TimeUnit = TimeUnit.SECOND) -> float:
    """Return a time in seconds, kept to the millisecond (half up).

    >>> seconds("0.45", TimeUnit.MINUTE)
    27.0
    """
    return milliseconds(time, unit) / 1000


def in_unit(time_ms: int, unit: TimeUnit) -> float:
    """Return a time given in milliseconds as a number of `unit`."""
    return float(Decimal(time_ms) / unit.milliseconds)


def seconds_in_unit(time_s: float, unit: TimeUnit | str) -> float:
    """Return a time given in seconds, which need not be whole milliseconds, in `unit`.

    Times of published instances have another unit than these and stay as they are.
    """
    if not isinstance(unit, TimeUnit):
        return time_s
    return float(exact(time_s) * 1000 / unit.milliseconds)


def rooted(square: int | Fraction) -> int:
    """Return the square root of a time in ms squared, rounded half up to whole ms.

    >>> rooted(30**2 + 40**2)
    50
    """
    return (math.isqrt(math.floor(4 * square)) + 1) // 2


def half_up(number: float, decimals: int) -> Decimal:
    """Return `number` rounded half up to `decimals` places, as a person rounds.

    >>> half_up(2.675, 2)
    Decimal('2.68')
    """
    return exact(number).quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP)


def show_time(time_ms: int | None, unit: TimeUnit = TimeUnit.SECOND) -> str:
    """Return a time given in milliseconds as text with its unit, "27.0 s"."""
    if time_ms is None:
        return "not timed"
    return f"{half_up(in_unit(time_ms, unit), unit.decimals)} {unit.label}"


def show_seconds(time_s: float, unit: TimeUnit = TimeUnit.SECOND) -> str:
    """Return a time given in seconds as text with its unit, "27.0 s"."""
    return f"{half_up(seconds_in_unit(time_s, unit), unit.decimals)} {unit.label}"


def rounded_to_sum(numbers: Sequence[float | Fraction], decimals: int) -> list[Decimal]:
    """Round numbers so that the printed column adds up to the printed total.

    The total is rounded half up; each number is rounded down and the units
    that are missing go to the largest remainders (ties to the earlier row).

    `numbers`: not negative, in any one unit.

    >>> [str(n) for n in rounded_to_sum([1.25, 1.25, 1.25], 1)]
    ['1.3', '1.3', '1.2']
    """
    whole = [Fraction(n if isinstance(n, Fraction) else exact(n)) * 10**decimals for n in numbers]
    down = [math.floor(n) for n in whole]
    missing = math.floor(sum(whole) + Fraction(1, 2)) - sum(down)
    by_remainder = sorted(range(len(whole)), key=lambda i: (down[i] - whole[i], i))
    for i in by_remainder[:missing]:
        down[i] += 1
    return [Decimal(n).scaleb(-decimals) for n in down]
