"""What may join a station: the one place that the rules of priority and the trials ask.

`may_join` and `is_open` use plain whole numbers only, which lets a compiler take them as
they are. The exact search, whose bounds rest on the plain limit, compares times itself.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from stationflow.balancing.arrows import topological_order
from stationflow.balancing.limits.forms import (
    ALL_STATIONS,
    Forms,
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


def first_that_may_join(
    time_left: int,
    times: Sequence[int],
    start: int = 0,
    admits: Callable[[int], bool] | None = None,
) -> int:
    """Return where in a list of times, from `start`, the first is that may join.

    The length of the list if there is none. `admits` says of a place whether the limits
    let it in; None: there are none.

    >>> first_that_may_join(5, [9, 7, 5, 3])
    2
    """
    for at in range(start, len(times)):
        if times[at] <= time_left and (admits is None or admits(at)):
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


def own_stations(size: int, forms: Forms) -> list[int]:
    """Return for each task the stations that the limits leave it."""
    stations = [ALL_STATIONS] * size
    for form in forms.stations:
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


SHARES = (100, 95, 90, 80)
"""Percent of the limit that stations to come are trusted to fill, one after the other tried."""


@dataclass(slots=True)
class OpenStation:
    """A station that is being filled, with the sets of tasks, as bits, that may still join."""

    foes: Sequence[int]  # for each task those that never share its station
    may: int  # what the limits let in
    due: int  # the tasks whose last station this is
    # who goes first: the tasks that are due here, then those for which the stations up to their
    # last would be too few without this one, then all. What comes before such a task is never later
    # itself, so that none of them waits for one of another turn.
    turns: list[int]

    def admits(self, task: int) -> bool:
        """Return whether the limits let a task join now."""
        return bool(self.turns[0] & self.may & 1 << task)

    def join(self, task: int) -> None:
        """Take a task in."""
        self.may &= ~self.foes[task]
        self.due &= ~(1 << task)

    def next_turn(self) -> bool:
        """Let others join too; return whether there was another turn."""
        del self.turns[0]
        return bool(self.turns)


@dataclass(frozen=True, slots=True)
class Doors:
    """Which tasks the limits let into which station."""

    stations: Sequence[int]  # a set of stations by task
    foes: Sequence[int]  # for each task, as bits, those that never share its station
    # for each station that is the last of a task, rising, the tasks as bits and by position
    by_last: Sequence[tuple[int, int, tuple[int, ...]]]

    def open(self, number: int, unplaced: int, times: Sequence[int], room: int) -> OpenStation:
        """Return a station to be filled from the tasks not placed yet.

        `room` is what each station after it is trusted to hold.
        """
        may = sum(1 << t for t, stations in enumerate(self.stations) if stations >> number & 1)
        due, work, until = 0, 0, 0
        turns = []
        for last, bits, tasks in self.by_last:
            until |= bits & unplaced
            if last == number:
                due = bits & unplaced
                turns.append(due)
            work += sum(times[task] for task in tasks if unplaced >> task & 1)
            if last > number and work > (last - number) * room:
                turns.append(until)
                break
        return OpenStation(self.foes, may & unplaced, due, [*turns, -1])


def doors(forms: Forms, predecessors: Sequence[Sequence[int]]) -> Doors | None:
    """Return which tasks the limits let in where; None: some task has no station left."""
    size = len(predecessors)
    left = narrowed(own_stations(size, forms), predecessors)
    if left.lost is not None:
        return None
    rows: dict[int, list[int]] = {}
    for task, stations in enumerate(left.stations):
        if (last := latest(stations)) is not None:
            rows.setdefault(last, []).append(task)
    by_last = [(at, sum(1 << t for t in rows[at]), tuple(rows[at])) for at in sorted(rows)]
    return Doors(left.stations, foes_of(size, forms), by_last)
