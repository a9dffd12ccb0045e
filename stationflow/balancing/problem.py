"""The problem for the machine: positions and whole numbers, nothing else."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_FLOOR
from functools import reduce
from math import gcd

from stationflow.balancing.arrows import turned
from stationflow.balancing.limits.forms import NO_FORMS, WHOLE_LIMIT, Forms, forms_of
from stationflow.balancing.limits.kinds import LIMITS
from stationflow.balancing.work import LineWork
from stationflow.units import exact


@dataclass(frozen=True, slots=True, kw_only=True)
class BalanceProblem:
    """What a method sees of a line."""

    times: tuple[int, ...]  # whole times by position, divided by their greatest common divisor
    # predecessors, successors: positions at the ends of the arrows
    predecessors: tuple[tuple[int, ...], ...]
    successors: tuple[tuple[int, ...], ...]
    limit: int | None = None  # limit of a station in the same whole units; None: no limit was given
    scale: int = 1  # ticks in one whole unit
    forms: Forms = NO_FORMS  # the limits of the line

    @property
    def size(self) -> int:
        """Number of tasks."""
        return len(self.times)

    @property
    def total(self) -> int:
        """The work content in whole units."""
        return sum(self.times)

    @property
    def least_times(self) -> tuple[int, ...]:
        """The shortest time of each task at any station: what bounds may rest on."""
        return self.forms.least_times(self.times)

    @property
    def longest(self) -> int:
        """The longest task time in whole units."""
        return max(self.times, default=0)

    @property
    def most_stations(self) -> int:
        """More stations than this no plan needs: beyond the last one named, all are alike."""
        forms, cycle = self.forms, max(self.limit or max(self.least_times, default=0), 1)
        apart = sum(max(0, form.least or 0) for form in forms.distances)
        waits = sum(1 + max(0, form.least or 0) // (cycle + form.lost) for form in forms.lags)
        return self.size + forms.last_named + apart + waits

    @property
    def ample_limit(self) -> int:
        """A limit at which no station can have too much work, however full it is."""
        work = max(_most_work(self.times, self.forms), 1)
        shares = [s for form in self.forms.targets for _, s in form.at if s]
        most = [-(-work * WHOLE_LIMIT // share) for share in shares]
        return max(work, *most, *(sum(form.amounts) for form in self.forms.rates), 1)

    def work_at(self, station: int, tasks: Sequence[int]) -> int:
        """Return the work of a station, with what its limits add: times of its own, turn-overs."""
        return self.forms.work_at(self.times, station, tasks)

    def cycle_of(self, stations: Sequence[Sequence[int]]) -> int:
        """Return the shortest cycle at which these stations do their work as limits ask for it."""
        forms, needed = self.forms, 0
        for number, tasks in enumerate(stations, 1):
            work = self.work_at(number, tasks)
            needed = max(needed, work, *(t.needed(number, work) for t in forms.targets))
            for rate in forms.rates:
                needed = max(needed, sum(rate.amounts[task] for task in tasks) - rate.lost)
        return needed

    def reversed(self, stations: int | None = None) -> "BalanceProblem":
        """Return the same line seen from its end; station numbers need the length of the line."""
        return replace(
            self,
            predecessors=self.successors,
            successors=self.predecessors,
            forms=self.forms if stations is None else self.forms.mirrored(stations),
        )


def balance_problem(work: LineWork, limit: float | None = None) -> BalanceProblem:
    """Return the problem of a line's work; `limit`: limit of a station in its time unit.

    All times are divided by their greatest common divisor and the limit is rounded down to it: in
    whole numbers nothing is lost, and 0.1 + 0.2 fits into 0.3. A limit above the work content is
    cut to it, which changes nothing.
    """
    forms = forms_of(work.limits, LIMITS)
    scale = _unit(work.times, forms)
    times = tuple(time // scale for time in work.times)
    most = None
    if limit is not None:
        ticks = (exact(limit) * work.ticks).to_integral_value(rounding=ROUND_FLOOR)
        most = int(ticks) // scale
        if not forms.need_ticks:  # what is a share of it, or counted at its pace
            most = min(most, max(_most_work(times, forms.divided(scale)), 1))
    predecessors = tuple(tuple(dict.fromkeys(row)) for row in work.predecessors)
    return BalanceProblem(
        times=times,
        predecessors=predecessors,
        successors=turned(predecessors),
        limit=most,
        scale=scale,
        forms=forms.divided(scale),
    )


def _unit(times: Sequence[int], forms: Forms) -> int:
    """Return how many ticks a whole unit has."""
    if forms.need_ticks:
        return 1
    other = (*(form.time for form in forms.times), *(form.time for form in forms.turns))
    return reduce(gcd, (*times, *other), 0) or 1


def _most_work(times: Sequence[int], forms: Forms) -> int:
    """Return work that no station can exceed, whatever tasks it has."""
    longest = list(times)
    for form in forms.times:
        longest[form.task] = max(longest[form.task], form.time)
    return sum(longest) + sum(form.time * len(form.kinds) for form in forms.turns)
