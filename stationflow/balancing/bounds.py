"""Lower bounds: how many stations, or how long a cycle, no plan can do without.

References
----------
.. [1] Scholl, A. and Becker, C. (2006). "State-of-the-art exact and heuristic
   solution procedures for simple assembly line balancing". European Journal of
   Operational Research 168(3), 666-693. LB1, LB2, LB3, heads and tails.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

from stationflow.balancing.arrows import Sums, closure, topological_order
from stationflow.balancing.limits.clashes import stations_needed
from stationflow.balancing.limits.contraction import contracted
from stationflow.balancing.limits.forms import NO_FORMS
from stationflow.balancing.problem import BalanceProblem

HEADS_AND_TAILS = "heads and tails"
LIMITS = "limits"
"""Name of the bound that follows from what is entered beyond times and order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Windows:
    """Between which stations each task can be."""

    earliest: tuple[int, ...]  # first station, from 1, that a task can be at
    tail: tuple[int, ...]  # stations needed from the task's own to the end of the line

    def latest(self, stations: int) -> tuple[int, ...]:
        """Return the last station each task can be at, on a line of so many stations."""
        return tuple(stations + 1 - tail for tail in self.tail)

    @property
    def bound(self) -> int:
        """Fewest stations for which each task has a station left."""
        return max((e + t - 1 for e, t in zip(self.earliest, self.tail, strict=True)), default=0)


@dataclass(frozen=True, slots=True)
class Reach:
    """A problem with the sets of tasks before and after each task, each with itself."""

    problem: BalanceProblem
    before: Sums
    after: Sums

    def windows(self, limit: int) -> Windows:
        """Return the windows at a limit, in whole units.

        The earliest station of a task is how many stations it and all before it need (LB1 to LB3 of
        that set); two tasks in a row that do not fit together are a station apart. Tails likewise.
        """
        problem = self.problem
        order = topological_order(problem.predecessors)
        return Windows(
            earliest=_heads(problem.times, limit, self.before, order, problem.predecessors),
            tail=_heads(problem.times, limit, self.after, order[::-1], problem.successors),
        )


def reach(problem: BalanceProblem) -> Reach:
    """Return a problem with its closures, ready for windows at any limit."""
    before, after = (
        Sums([bits | 1 << task for task, bits in enumerate(closure(arrows))])
        for arrows in (problem.predecessors, problem.successors)
    )
    return Reach(at_best(problem), before, after)


def lb1(times: Iterable[int], limit: int) -> int:
    """Return LB1, the stations needed for the sum of times: work content / limit, rounded up.

    >>> lb1([30, 30, 30], 60)
    2
    """
    return _up(sum(times), limit)


def lb2(times: Iterable[int], limit: int) -> int:
    """Return LB2: tasks longer than half the limit + half the tasks of exactly half, rounded up.

    >>> lb2([40, 40, 30], 60)
    3
    """
    return _up(sum(_halves(time, limit) for time in times), 2)


def lb3(times: Iterable[int], limit: int) -> int:
    """Return LB3, the stations needed by the tasks of a third of the limit and more.

    Sum of weights, rounded up: 1 above 2/3 of the limit, 2/3 at 2/3, 1/2 between, 1/3 at 1/3.

    >>> lb3([41, 30, 30, 20], 60)
    3
    """
    return _up(sum(_sixths(time, limit) for time in times), 6)


@lru_cache(maxsize=16)  # all plans of a line are judged by the same
def bounds(problem: BalanceProblem) -> tuple[tuple[str, int], ...]:
    """Return the bounds on the number of stations at the problem's limit, by name.

    Raises ValueError if the problem has no limit, or a task that is longer than it.
    """
    problem = at_best(problem)
    if problem.limit is None or problem.longest > problem.limit:
        raise ValueError("bounds need a limit that no task exceeds")
    if not problem.size:
        return ()
    plain = _plain_bounds(problem, problem.limit)
    line = contracted(problem)
    if not problem.forms or at_best(line.problem).longest > problem.limit:
        return plain
    needed, _ = stations_needed(line, reach(line.problem).windows(problem.limit), None)
    return _with_limits(plain, needed, _plain_bounds(at_best(line.problem), problem.limit))


def at_best(problem: BalanceProblem) -> BalanceProblem:
    """Return a problem with the shortest time of each task at any station, as bounds need it."""
    return replace(problem, times=problem.least_times) if problem.forms.times else problem


def _plain_bounds(problem: BalanceProblem, limit: int) -> tuple[tuple[str, int], ...]:
    """Return the bounds on the number of stations that follow from times and order."""
    return (
        ("LB1", max(1, lb1(problem.times, limit))),
        ("LB2", lb2(problem.times, limit)),
        ("LB3", lb3(problem.times, limit)),
        (HEADS_AND_TAILS, reach(problem).windows(limit).bound),
    )


def _with_limits(
    plain: tuple[tuple[str, int], ...], needed: int, grouped: tuple[tuple[str, int], ...]
) -> tuple[tuple[str, int], ...]:
    """Return bounds with that of the limits, where it is more than all of them."""
    by_limits = max(needed, *(bound for _, bound in grouped))
    return (*plain, (LIMITS, by_limits)) if by_limits > max(b for _, b in plain) else plain


def cycle_bounds(
    problem: BalanceProblem, stations: int, ready: Reach | None = None
) -> tuple[tuple[str, int], ...]:
    """Return the bounds on the cycle time of a number of stations, by name, in whole units.

    `ready`: the problem's closures, if they are at hand.
    """
    problem = at_best(problem)
    if problem.forms.groups:
        plain = cycle_bounds(replace(problem, forms=NO_FORMS), stations)
        return _with_limits(plain, 0, cycle_bounds(contracted(problem).problem, stations, ready))
    if not problem.size:
        return ()
    simple = (
        ("longest task", problem.longest),
        ("work / stations", _up(problem.total, stations)),
        ("tasks that must share", _must_share(problem.times, stations)),
    )
    low = max(bound for _, bound in simple)
    return (*simple, (HEADS_AND_TAILS, _shortest_limit(ready or reach(problem), stations, low)))


def _must_share(times: Iterable[int], stations: int) -> int:
    """Return the least load of a station that must take several of the longest tasks.

    Of the k m + 1 longest tasks some station takes k + 1; at best the shortest of them.
    """
    longest = sorted(times, reverse=True)
    groups = range(1, (len(longest) - 1) // stations + 1)
    return max((sum(longest[k * stations - k : k * stations + 1]) for k in groups), default=0)


def _shortest_limit(ready: Reach, stations: int, low: int) -> int:
    """Return the smallest limit from `low` that no station bound forbids.

    Every bound falls, or stays, as the limit grows, so halving finds it.
    """
    problem = ready.problem

    def is_open(limit: int) -> bool:
        times = problem.times
        if max(lb2(times, limit), lb3(times, limit)) > stations:
            return False
        return ready.windows(limit).bound <= stations

    high = max(low, problem.total)  # everything fits into one station
    if low < high and is_open(low):  # as it is for most numbers of stations
        return low
    while low < high:
        middle = (low + high) // 2
        # Steps from below: the answer lies near the lower end as a rule.
        middle = min(middle, low + max(1, low // 16))
        if is_open(middle):
            high = middle
        else:
            low = middle + 1
    return low


def _heads(
    times: tuple[int, ...],
    limit: int,
    sets: Sums,
    order: tuple[int, ...],
    neighbours: tuple[tuple[int, ...], ...],
) -> tuple[int, ...]:
    """Return the stations each task needs together with its set."""
    work = sets.of(times)
    halves = sets.of([_halves(time, limit) for time in times])
    sixths = sets.of([_sixths(time, limit) for time in times])
    needed = [
        max(1, _up(w, limit), _up(h, 2), _up(s, 6))
        for w, h, s in zip(work, halves, sixths, strict=True)
    ]
    for position in order:
        for other in neighbours[position]:
            apart = times[other] + times[position] > limit
            needed[position] = max(needed[position], needed[other] + apart)
    return tuple(needed)


def _up(number: int, divisor: int) -> int:
    """Return a quotient rounded up; nothing needs nothing, even at a limit of zero."""
    return -(-number // divisor) if number else 0


def _halves(time: int, limit: int) -> int:
    """Return the weight of a task in LB2, in halves."""
    return (2 * time > limit) + (2 * time >= limit > 0)


def _sixths(time: int, limit: int) -> int:
    """Return the weight of a task in LB3, in sixths."""
    if not time or 3 * time < limit:
        return 0
    if 3 * time == limit:
        return 2
    if 3 * time < 2 * limit:
        return 3
    return 4 if 3 * time == 2 * limit else 6
