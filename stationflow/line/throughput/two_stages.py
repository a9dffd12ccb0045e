"""Two stages with a buffer between them: closed forms.

References
----------
.. [1] Hunt, G. C. (1956). "Sequential arrays of waiting lines". Operations Research 4, 674-683.
.. [2] Dallery, Y. and Gershwin, S. B. (1992). "Manufacturing flow line systems: a review of models
   and analytical results". Queueing Systems 12, 3-94.
"""

from dataclasses import dataclass
from math import exp, pi, sqrt

ROOT_PI = sqrt(pi)


def queue_rate(first_time: float, second_time: float, room: float) -> float:
    """Return the output of two stages with exponential times, by mean times [1]_.

    X = m1 (1 - r^K) / (1 - r^(K+1)), m the rates, r = m1/m2, for any real `room` K of the queue
    of the second stage: its own unit, the waiting ones and the finished one that holds the first.

    >>> queue_rate(1, 1, 2), queue_rate(1, 1, 3), round(queue_rate(1, 0.5, 2), 6)
    (0.6666666666666666, 0.75, 0.857143)
    """
    slow, fast = max(first_time, second_time), min(first_time, second_time)
    ratio = fast / slow  # the formula is the same from either end: never a power above 1
    if 1 - ratio < 1e-9:
        return room / (room + 1) / slow
    return float((1 - ratio**room) / (1 - ratio ** (room + 1)) / slow)


def scattering_pair(
    first_time: float, first_cv: float, second_time: float, second_cv: float, places: float = 0
) -> float:
    """Return about the output of two stages whose times scatter in any way.

    The pair behaves like an exponential one with another room: b/c2 + sqrt(pi)/c + 2 - sqrt(pi)
    in the place of b + 2, c2 the mean of both squared coefficients of variation. It is exact for
    exponential times (c = 1), tends to the exact 1/E[max] of normal times without a buffer as c
    becomes small, and a buffer counts by 1/c2 as in heavy traffic. Fitted here.
    """
    squared = (first_cv**2 + second_cv**2) / 2
    if squared < 1e-12:
        return 1 / max(first_time, second_time)
    room = places / squared + ROOT_PI / sqrt(squared) + 2 - ROOT_PI
    return queue_rate(first_time, second_time, room)


@dataclass(frozen=True, slots=True)
class PairShares:
    """Shares of time of two stages with a buffer."""

    works: float  # each of both
    starved: float  # of the second
    blocked: float  # of the first


@dataclass(frozen=True, slots=True)
class Stops:
    """Stops of a stage in one unit of time, both exponential; `rate` 0: none."""

    rate: float  # of stopping, while it works
    repair: float = 1.0

    @property
    def ratio(self) -> float:
        """Time stopped in one unit of running time."""
        return self.rate / self.repair


def stopping_pair(first: Stops, second: Stops, room: float) -> PairShares:
    """Return how two stages of one speed work, stopping exponentially, with room between them.

    Units flow like water, one in one unit of time; `room` is the buffer in units; a stage
    stops only while it works [2]_. Inside the buffer the density of its level is K exp(d x), d =
    (l2 m1 - l1 m2) (1/(l1 + l2) + 1/(m1 + m2)), l the rates of stopping, m those of repair; at its
    two ends lie K/l2 and K exp(d C)/l1 with both stages working, (l1 + l2)/m1 and (l1 + l2)/m2
    times as much with one of them waiting.

    >>> round(stopping_pair(Stops(0.01, 0.1), Stops(0.01, 0.1), 0).works, 5)
    0.83333
    """
    l1, l2, m1, m2 = first.rate, second.rate, first.repair, second.repair
    if not l1 or not l2:
        works = 1 / (1 + first.ratio + second.ratio)
        return PairShares(
            works, max(0, 1 - works * (1 + second.ratio)), max(0, 1 - works * (1 + first.ratio))
        )
    stops, repairs = l1 + l2, m1 + m2
    slope = (l2 * m1 - l1 * m2) * (1 / stops + 1 / repairs)
    power = slope * room
    # exp(0) and exp(d C), over the larger of both: neither can grow beyond all numbers
    at_empty, at_full = exp(-max(power, 0)), exp(min(power, 0))
    inside = (at_full - at_empty) / slope if abs(power) > 1e-9 else room * at_full
    starved = at_empty * stops / (l2 * m1)
    blocked = at_full * stops / (l1 * m2)
    at_ends = at_empty / l2 + at_full / l1
    total = at_ends + starved + blocked + inside * (stops + repairs) ** 2 / (stops * repairs)
    works = at_ends + inside * (stops + repairs) / stops
    return PairShares(works / total, starved / total, blocked / total)
