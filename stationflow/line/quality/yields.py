"""Yields: of a step, rolled over many, normalised, and from defects per unit."""

import math
from collections.abc import Iterable

SIX_SIGMA = "Harry (2004), Resolving the Mysteries of Six Sigma: first-pass and rolled yield"


def throughput_yield(defects_per_unit: float) -> float:
    """Return the share of units without a defect: e^-DPU, defects falling at random (Poisson).

    >>> round(throughput_yield(7 / 50), 4)
    0.8694
    """
    return math.exp(-defects_per_unit)


def defects_per_unit(share: float) -> float | None:
    """Return the defects per unit that leave this share without any: -ln(yield); None: of none.

    >>> round(defects_per_unit(0.98032), 5)
    0.01988
    """
    return -math.log(share) if share > 0 else None


def rolled_yield(first_pass: Iterable[float]) -> float:
    """Return the share of units that pass every step the first time: the product of the shares.

    It is not the share that is shipped in the end, which repair makes larger.

    >>> round(rolled_yield([0.87, 0.93, 0.95]), 6)
    0.768645
    """
    return math.prod(first_pass)


def normalised_yield(first_pass: Iterable[float]) -> float:
    """Return the yield that each step would have if all were alike: RTY^(1/k); 1 of no steps.

    >>> round(normalised_yield([0.87, 0.93, 0.95]), 4)
    0.916
    """
    shares = list(first_pass)
    return rolled_yield(shares) ** (1 / len(shares)) if shares else 1.0
