"""Test, repair, test again: what one unit takes of them, and what the failed units need."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import count
from statistics import NormalDist
from typing import Generic

from stationflow.line.queues import HUGE, Number, state_shares

MOST_UNITS = 10_000
MANY = 1_000
"""A Poisson count with a larger mean is as good as normal."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RepairLoop(Generic[Number]):
    """What one unit that comes to a test for the first time takes, on average."""

    repairs: Number  # visits at the repair bench
    tests: Number
    scrapped: Number  # share of the units
    good: Number  # share of the units that pass in the end

    @property
    def empty_needed(self) -> Number:
        """Share of empty places that repaired units need before the test: r(1-s) / (1 + r(1-s))."""
        return (self.tests - 1) / self.tests


def repair_loop(first: Number, repeat: Number, scrap: Number) -> RepairLoop[Number] | None:
    """Return the loop of a test; None: what fails once never gets out of it.

    `first`, `repeat`: shares that pass the test the first time, and after a repair; `scrap`: share
    of the rejects that is not repaired. Visits r = (1 - y1) / (1 - (1 - y2)(1 - s)), tests
    v = 1 + r (1 - s), scrap r s, good 1 - r s: the geometric series of going round again.

    >>> loop = repair_loop(0.92, 0.85, 0.05)
    >>> round(loop.repairs, 7), round(loop.tests, 7), round(loop.good, 7)
    (0.0932945, 1.0886297, 0.9953353)
    """
    leaving = 1 - (1 - repeat) * (1 - scrap)
    if first < 1 and leaving <= 0:
        return None
    repairs = (1 - first) / leaving if leaving else first * 0
    return RepairLoop(
        repairs=repairs,
        tests=1 + repairs * (1 - scrap),
        scrapped=repairs * scrap,
        good=1 - repairs * scrap,
    )


def place_waiting(back: Number, empty: Number) -> Number | None:
    """Return how many repaired units wait, on average, for an empty place.

    They come back in a share `back` of the pitches, and a share `empty` of the places is empty
    where they do: a (1 - a) / (q - a), a single server in discrete time (Geo/Geo/1). It takes
    returns and empty places for independent; a unit that is taken off opens a place, so that
    fewer wait in truth: an upper estimate. None: no place is left over in the long run, and the
    float never drains.
    """
    return back * (1 - back) / (empty - back) if empty > back else None


def poisson_quantile(mean: float, share: float) -> int:
    """Return the smallest number that a Poisson count is not above in this share of the time.

    >>> [poisson_quantile(mean, 0.999) for mean in (5, 10, 16)]
    [13, 21, 30]
    """
    if mean > MANY:
        return math.ceil(mean + NormalDist().inv_cdf(share) * math.sqrt(mean))
    units = int(mean + 12 * math.sqrt(mean) + 40)  # beyond that none is left
    return _quantile(state_shares(lambda k: mean, lambda k: float(k), units), share)


def bench_quantile(offered: float, benches: int, share: float) -> int | None:
    """Return the units at so many benches, waiting ones included, not exceeded in this share.

    M/M/c: above c units each further one is less likely by the load. None: it has no long run.
    """
    if offered >= benches:
        return None
    shares = state_shares(lambda k: offered, lambda k: float(min(k, benches)), benches + 1)
    load = offered / benches
    # All states above c together have c's weight x load / (1 - load), above c + j that x load^j.
    above = shares[-1] * load / (1 - load)
    rest = above / (1 + above)
    if 1 - rest >= share:
        return _quantile([each / (1 + above) for each in shares], share)
    return benches + math.ceil(math.log((1 - share) / rest) / math.log(load) - 1e-9)


def _quantile(shares: list[float], share: float) -> int:
    total = 0.0
    for units, each in enumerate(shares):
        total += each
        if total >= share:
            return units
    return len(shares)


def units_to_reach(
    arrivals: float, leaving: Callable[[int], float], within: float
) -> tuple[int, float]:
    """Return the most units that are there at once within a time, and when that is expected.

    A birth-death chain that starts empty: from k to k + 1 it takes (p0 + ... + pk) / (arrivals pk)
    on average, pk being its long-run shares; the times to the next record add up. `leaving(k)` is
    the rate at which one of k units leaves.
    """
    passed, weight, total = 0.0, 1.0, 1.0
    for units in count():
        step = total / (arrivals * weight)
        if passed + step > within or units >= MOST_UNITS:
            return units, passed
        passed += step
        weight *= arrivals / leaving(units + 1)
        total += weight
        if weight > HUGE:
            weight, total = weight / HUGE, total / HUGE
    raise AssertionError  # the loop has no other end
