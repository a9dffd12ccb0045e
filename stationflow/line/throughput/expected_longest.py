"""The longest of several scattering times: what stations wait for that hand over together."""

from collections.abc import Callable, Sequence
from math import erf, sqrt

import numpy as np

STEPS = 2_000  # an even number
WIDE = 9.0
"""Normal times are looked at so many standard deviations around their mean."""


def expected_longest(below: Sequence[Callable[[float], float]], least: float, most: float) -> float:
    """Return the mean of the longest of independent times, from their distribution functions.

    E[max] = most - integral from `least` to `most` of the product of the functions, each 0 below
    `least` and 1 above `most`. Two stations without a buffer give one unit in each E[max],
    whatever the law.

    >>> round(1 / expected_longest([lambda t: t / 2] * 2, 0, 2), 12)  # both uniform from 0 to 2
    0.75
    """
    at = np.linspace(least, most, STEPS + 1)
    held = np.ones_like(at)
    for function in below:
        held *= np.array([function(float(t)) for t in at])
    weights = np.ones_like(at)  # Simpson's rule
    weights[1:-1:2], weights[2:-1:2] = 4, 2
    return most - (most - least) / STEPS / 3 * float(weights @ held)


def longest_of_normal(means: Sequence[float], deviations: Sequence[float]) -> float:
    """Return the mean of the longest of independent normal times: the step of a synchronous line.

    Stations that hand over together lose what the longest is above the mean: deviation x E[max of
    standard normal numbers] where all are alike.

    >>> round(longest_of_normal([0] * 5, [1] * 5), 5)
    1.16296
    """
    known = max((m for m, d in zip(means, deviations, strict=True) if not d), default=None)
    normal = [(m, d) for m, d in zip(means, deviations, strict=True) if d]
    if not normal:
        return known or 0.0
    least = max(m - WIDE * d for m, d in normal)  # surely below this lies none but the others
    if known is not None:
        least = max(least, known)
    most = max(m + WIDE * d for m, d in normal)
    if most <= least:
        return least

    def below(mean: float, deviation: float) -> Callable[[float], float]:
        return lambda t: (1 + erf((t - mean) / deviation / sqrt(2))) / 2

    return expected_longest([below(m, d) for m, d in normal], least, most)
