"""Exact numbers inside the pace, and how they are written in a formula."""

import math
from decimal import Decimal
from fractions import Fraction

from stationflow.units import exact

SMALLEST = 1e-9
LARGEST = 10**15  # whole: a fraction is compared with it quickly
MOST_PLACES = 30
EXACT_SMALLEST = Fraction(SMALLEST)


def fraction(number: float | int | Fraction) -> Fraction:
    """Return the number a person wrote as an exact fraction.

    >>> fraction(0.95) * 60 == 57
    True
    """
    return number if isinstance(number, Fraction) else Fraction(exact(number))


def is_number(number: float | None) -> bool:
    """Return whether a number is entered and of a size that is met in a plant.

    >>> is_number(float("inf")), is_number(1e-300), is_number(0)
    (False, False, True)
    """
    return number is not None and (number == 0 or SMALLEST <= abs(number) < LARGEST)


def figure(number: float | int | Fraction, decimals: int = 6, *, keep_zeros: bool = False) -> str:
    """Return a number as text with its thousands apart, rounded half up to `decimals` at most.

    A small number that is more than the noise of floats keeps two digits all the same, so that
    it is never written as 0. `keep_zeros`: trailing zeros are written.

    >>> figure(27000), figure(60, 3, keep_zeros=True), figure(0.0000288, 3)
    ('27 000', '60.000', '0.000029')
    """
    if isinstance(number, float) and not math.isfinite(number):
        return f"{number:g}"
    value = fraction(number)
    if abs(value) >= LARGEST:
        digits = Decimal(value.numerator) / Decimal(value.denominator)  # may be beyond a float
        return f"{digits.normalize():.6g}"
    if EXACT_SMALLEST <= abs(value) < 1:
        decimals = max(decimals, 1 - math.floor(math.log10(abs(value))))
    # Rounded as whole steps, so that a third is as good as a decimal.
    steps = math.floor(value * 10**decimals + Fraction(1, 2))
    whole, rest = divmod(abs(steps), 10**decimals)
    text = f"{'-' if steps < 0 else ''}{whole:,}".replace(",", " ")
    places = f"{rest:0{decimals}d}" if decimals else ""
    places = places if keep_zeros else places.rstrip("0")
    return f"{text}.{places}" if places else text


def exactly(number: float | int | Decimal) -> str:
    """Return a number that a person wrote, with all its digits.

    >>> exactly(0.12345678), exactly(27000)
    ('0.12345678', '27 000')
    """
    _, _, exponent = exact(number).as_tuple()
    return figure(Fraction(exact(number)), min(max(0, -int(exponent)), MOST_PLACES))
