"""Yields: normalised over many steps, and the defects per unit behind one."""

import math
from collections.abc import Iterable

SIX_SIGMA = "Harry (2004), Resolving the Mysteries of Six Sigma: first-pass and rolled yield"


def defects_per_unit(share: float) -> float | None:
    """Return the defects per unit that leave this share without any: -ln(yield); None: of none.

    >>> round(defects_per_unit(0.98032), 5)
    0.01988
    """
    return -math.log(share) if share > 0 else None


def normalised_yield(first_pass: Iterable[float]) -> float:
    """Return the yield that each step would have if all were alike: RTY^(1/k); 1 of no steps.

    >>> round(normalised_yield([0.87, 0.93, 0.95]), 4)
    0.916
    """
    shares = list(first_pass)
    return math.prod(shares) ** (1 / len(shares)) if shares else 1.0
