"""The station rule: what may join a station.

The rules of priority, the compiled trials and the second solver ask here, so that a
further rule of a real line (zones, sides, equipment, lifting) works in all of them at
once. The functions use plain whole numbers only, which lets a compiler take them as
they are. The exact search, whose bounds rest on the plain limit, compares times itself.
"""

from collections.abc import Iterable, Sequence
from typing import Any


def shortfall(time_left: int, time: int) -> int:
    """Return how much longer the limit must be for a task to join a station.

    Zero or less: the task may join. Both times in whole units of the problem.

    >>> shortfall(5, 7)
    2
    """
    return time - time_left


def may_join(time_left: int, time: int) -> bool:
    """Return whether a task may join a station with `time_left`, in whole units.

    >>> may_join(5, 5)
    True
    """
    return time <= time_left


def first_that_may_join(time_left: int, times: Sequence[int], start: int = 0) -> int:
    """Return where in a list of times, from `start`, the first is that may join.

    The length of the list if there is none.

    >>> first_that_may_join(5, [9, 7, 5, 3])
    2
    """
    for at in range(start, len(times)):
        if times[at] <= time_left:
            return at
    return len(times)


def add_to_model(
    model: Any, stations: Iterable[Sequence[tuple[int, Any]]], limit: int | Any
) -> None:
    """Write the rule into a model of a constraint solver.

    Parameters
    ----------
    model
        A CP-SAT model.
    stations
        For each station the pairs of task time and yes-or-no variable "is there".
    limit
        Limit of a station: whole number or variable.
    """
    for station in stations:
        if station:
            model.add(sum(time * is_there for time, is_there in station) <= limit)
