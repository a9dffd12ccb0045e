"""What may join a station: the one place that the rules of priority and the trials ask.

`may_join` and `is_open` use plain whole numbers only, which lets a compiler take them as
they are. The exact search, whose bounds rest on the plain limit, compares times itself.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stationflow.balancing.arrows import topological_order
from stationflow.balancing.limits.forms import (
    ALL_STATIONS,
    Forms,
    StationSet,
    earliest,
    from_station,
    latest,
    up_to_station,
)


def may_join(time_left: int, time: int) -> bool:
    """Return whether a task may join a station with `time_left`, in whole units.

    >>> may_join(5, 5)
    True
    """
    return time <= time_left


def is_open(is_allowed: int, foe_came_at: int, station: int) -> bool:
    """Return whether the limits let a task join a station.

    >>> is_open(1, 3, 4), is_open(1, 4, 4)
    (True, False)
    """
    return is_allowed != 0 and foe_came_at != station


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


@dataclass(frozen=True, slots=True)
class Narrowed:
    """The stations of each task after what the order of the tasks says."""

    stations: tuple[int, ...]  # a set of stations by task
    # low_by, high_by: for each task the one whose own stations set its first and last station
    low_by: tuple[int, ...]
    high_by: tuple[int, ...]
    lost: int | None = None  # a task for which no station is left; None: each has one


def own_stations(size: int, sets: Iterable[StationSet]) -> list[int]:
    """Return for each task the stations that all of its sets leave it."""
    stations = [ALL_STATIONS] * size
    for form in sets:
        stations[form.task] &= form.stations
    return stations


def narrowed(stations: Sequence[int], predecessors: Sequence[Sequence[int]]) -> Narrowed:
    """Return sets of stations without those that the order of the tasks rules out.

    No task is before the first station of a predecessor, nor after the last of a successor.
    """
    left = list(stations)
    low_by, high_by = list(range(len(left))), list(range(len(left)))

    def found(lost: int | None = None) -> Narrowed:
        return Narrowed(tuple(left), tuple(low_by), tuple(high_by), lost)

    order = topological_order(predecessors)
    for task in order:
        for before in predecessors[task]:
            first = earliest(left[before])
            if left[task] and first > earliest(left[task]):
                left[task] &= from_station(first)
                low_by[task] = low_by[before]
        if not left[task]:
            return found(task)
    for task in reversed(order):
        last = latest(left[task])
        if last is None:
            continue
        for before in predecessors[task]:
            own = latest(left[before])
            if own is None or own > last:
                left[before] &= up_to_station(last)
                high_by[before] = high_by[task]
                if not left[before]:
                    return found(before)
    return found()


def foes_of(size: int, forms: Forms) -> list[int]:
    """Return for each task the set of tasks, as bits, that never share its station."""
    foes = [0] * size
    for pairs in forms.pairs:
        for some, others in ((pairs.tasks, pairs.others), (pairs.others, pairs.tasks)):
            bits = sum(1 << other for other in set(others))
            for task in some:
                foes[task] |= bits
    return foes


SHARES = (100, 95, 90, 80, 65, 50)
"""Percent of the limit that stations to come are trusted to fill, one after the other tried."""
