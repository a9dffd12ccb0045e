"""How long a line fills before what is measured holds for the long run."""

import numpy as np
import numpy.typing as npt

from stationflow.line.simulation.student import student


def settled_after(series: npt.NDArray[np.float64]) -> int | None:
    """Return how many values to leave out at the start (MSER); None: it has not settled.

    A good cut makes the squared standard error of the mean of what is left small: White (1997),
    "An effective truncation heuristic for bias reduction in simulation output", Simulation 69(6),
    323-334. The first cut is taken that none in the next fifth of the run betters by a tenth: a
    quiet hour far behind is no reason to leave out all before it. It lies in the first half.

    >>> settled_after(np.array([0.0, 3.0, 5.0] + [6.0, 6.1, 5.9] * 10))
    3
    """
    n = len(series)
    left = np.arange(n, 0, -1)
    sums = np.cumsum(series[::-1])[::-1]
    squares = np.cumsum(series[::-1] ** 2)[::-1]
    errors = np.maximum(squares - sums**2 / left, 0.0) / left.astype(float) ** 2
    errors += 1e-12 * errors.max()
    ahead = max(1, n // 5)
    cuts = range(n // 2 + 1)
    return next((d for d in cuts if errors[d + 1 : d + 1 + ahead].min() >= 0.9 * errors[d]), None)


def is_drifting(rows: npt.NDArray[np.float64]) -> bool:
    """Whether the second half of the replications (rows) differs from the first, surely and much.

    By Student's test of the difference at 99.9 %, and by more than 5 % of the mean.
    """
    replications, n = rows.shape
    if replications < 3 or n < 2:
        return False
    change = rows[:, n // 2 :].mean(1) - rows[:, : n // 2].mean(1)
    error = change.std(ddof=1) / replications**0.5
    mean = abs(rows.mean())
    size = abs(change.mean())
    return bool(size > 0.05 * mean and size > student(0.999, replications - 1) * error)
