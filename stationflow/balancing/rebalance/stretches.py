"""Less upheaval stretch by stretch, where a line is too large to be asked for as a whole.

A few stations in a row are opened, all other tasks stay where they are, and the solver looks for
the least upheaval of the whole line; then the next stretch. Beside it, a bound by counting.
"""

from collections.abc import Callable
from time import monotonic

from stationflow.balancing.problem import BalanceProblem
from stationflow.balancing.rebalance.old_plan import OldPlan
from stationflow.balancing.second.constraint_model import Stations

WIDTH = 4
"""Stations of a stretch, each beginning in the middle of the one before."""

STRETCH_S = 2.0
"""Most seconds for one stretch."""

Places = list[tuple[int, int]]
"""By position the first and the last station that is open to a task."""


def stretch(stations: Stations, first: int, last: int) -> Places:
    """Return the places open to each task of a plan while some stations are opened."""
    at = {task: k for k, tasks in enumerate(stations, 1) for task in tasks}
    return [
        (first, last) if first <= at[task] <= last else (at[task], at[task])
        for task in range(len(at))
    ]


def improved(
    best: Stations,
    count: int,
    deadline: float,
    ask: Callable[[Stations, Places, float], Stations],
    upheaval: Callable[[Stations], int],
    should_stop: Callable[[], bool],
) -> Stations:
    """Return a plan with no more upheaval, walking along the line until nothing gets better.

    `ask` gives the plan of least upheaval within the places, in so many seconds.
    """
    least, before = upheaval(best), -1
    while least != before:
        before = least
        for first in range(1, max(count - WIDTH // 2, 1) + 1, WIDTH // 2):
            left = deadline - monotonic()
            if left <= 0 or should_stop():
                return best
            places = stretch(best, first, min(first + WIDTH - 1, count))
            found = ask(best, places, min(left, STRETCH_S))
            if found and (turned := upheaval(found)) < least:
                best, least = found, turned
    return best


def moves_bound(problem: BalanceProblem, old: OldPlan, most: int, limit: int) -> int:
    """Return moves that no plan of at most `most` stations at a limit can do without.

    Of the tasks of an old station no more stay than fit into the limit, the shortest first, and
    tasks stay at no more old stations than there are stations.
    """
    stay = []
    for tasks in old.held:
        left, kept = limit, 0
        for time in sorted(problem.least_times[task] for task in tasks):
            left -= time
            kept += left >= 0
        stay.append(kept)
    there = sum(map(len, old.held))
    return there - sum(sorted(stay, reverse=True)[:most])
