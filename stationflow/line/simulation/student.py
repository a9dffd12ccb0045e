"""Confidence limits of a mean by Student's distribution."""

from collections.abc import Sequence
from functools import cache
from math import atan, cos, pi, sin, sqrt
from statistics import fmean, stdev

from stationflow.line.simulation.simulated import Estimate, Simulated


def estimate(values: Sequence[float]) -> Estimate:
    """Return the mean of independent values with its 95 % limits.

    >>> e = estimate([1.0, 2.0, 3.0])  # t = 4.303 with 2 degrees of freedom
    >>> round(e.mean, 3), round(e.low, 3), round(e.high, 3)
    (2.0, -0.484, 4.484)
    """
    if not values:
        return Estimate(mean=0.0)
    mean = fmean(values)
    if len(values) == 1:
        return Estimate(mean=mean)
    half = student(0.95, len(values) - 1) * stdev(values) / sqrt(len(values))
    return Estimate(mean=mean, low=mean - half, high=mean + half)


def more_per_h(one: Simulated, other: Simulated) -> Estimate:
    """Return how much more good units an hour one plan gives than another, with 95 % limits.

    Of the same settings: each replication of the one is held against that of the other, which used
    the same random numbers.
    """
    if one.settings != other.settings:
        raise ValueError("plans are compared that were simulated with the same settings")
    return estimate([a - b for a, b in zip(one.outputs, other.outputs, strict=False)])


@cache
def student(confidence: float, freedom: int) -> float:
    """Return t such that a Student variable lies within -t and t with this probability."""
    low, high = 0.0, 1e4
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if _within(middle, freedom) < confidence else (low, middle)
    return high


def _within(t: float, freedom: int) -> float:
    """Abramowitz and Stegun (1964), Handbook of Mathematical Functions, 26.7.3 and 26.7.4."""
    angle = atan(t / sqrt(freedom))
    odd = freedom % 2
    term = cos(angle) if odd else 1.0
    total = term if freedom > 1 else 0.0
    for i in range(2 + odd, freedom - 1, 2):
        term *= (i - 1) / i * cos(angle) ** 2
        total += term
    return 2 / pi * (angle + sin(angle) * total) if odd else sin(angle) * total
