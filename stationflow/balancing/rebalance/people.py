"""Fewer people before fewer stations: one operator for several stations next to each other."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum


@dataclass(frozen=True, slots=True)
class Round:
    """The stations of one operator, and what the round takes."""

    first: int  # numbers of the first and the last station
    last: int
    work: float  # at all of them together
    walking: float  # from station to station and back, once in each cycle

    @property
    def time(self) -> float:
        """Work and walking."""
        return self.work + self.walking


def fewest_people(
    loads: Sequence[float], pace: float, walking: float = 0.0
) -> tuple[Round, ...] | None:
    """Return the stations shared out to as few operators as can be, neighbours to one.

    Work and walking of an operator stay within the pace; `walking` is the time from a station to
    the next, and each way is walked there and back once in a cycle. Of all ways with the fewest
    operators, the one whose longest round is shortest. None: one station alone is over the pace.

    All times are in one unit.

    >>> [(each.first, each.last) for each in fewest_people([20, 30, 40, 25], 60)]
    [(1, 2), (3, 3), (4, 4)]
    >>> [(each.first, each.last) for each in fewest_people([20, 30, 40, 15], 60, walking=2)]
    [(1, 2), (3, 4)]
    """
    # best[n]: operators and longest round on the first n stations, and where the last one begins
    best: list[tuple[int, float, int] | None] = [(0, 0.0, 0)]
    for end in range(1, len(loads) + 1):
        ways = []
        for start in range(end - 1, -1, -1):
            time = _round(loads, start, end, walking).time
            before = best[start]
            if time > pace + ROUNDED:
                break
            if before is not None:
                ways.append((before[0] + 1, max(before[1], time), start))
        best.append(min(ways, default=None))
    rounds: list[Round] = []
    end = len(loads)
    while end:
        way = best[end]
        if way is None:
            return None
        rounds.append(_round(loads, way[2], end, walking))
        end = way[2]
    return tuple(reversed(rounds))


ROUNDED = 1e-9
"""What a sum of times may be off."""


def _round(loads: Sequence[float], start: int, end: int, walking: float) -> Round:
    return Round(start + 1, end, fsum(loads[start:end]), 2 * walking * (end - start - 1))
