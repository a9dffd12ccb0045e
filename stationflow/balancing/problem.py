"""The problem for the machine: positions and whole numbers, nothing else."""

from dataclasses import dataclass, replace
from decimal import ROUND_FLOOR
from functools import reduce
from math import gcd

from stationflow.balancing.arrows import turned
from stationflow.balancing.limits.forms import NO_FORMS, Forms, forms_of
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
    def longest(self) -> int:
        """The longest task time in whole units."""
        return max(self.times, default=0)

    @property
    def most_stations(self) -> int:
        """More stations than this no plan needs: beyond the last one named, all are alike."""
        return self.size + self.forms.last_named

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
    scale = reduce(gcd, work.times, 0) or 1
    times = tuple(time // scale for time in work.times)
    most = None
    if limit is not None:
        ticks = (exact(limit) * work.ticks).to_integral_value(rounding=ROUND_FLOOR)
        most = min(int(ticks) // scale, max(sum(times), 1))
    predecessors = tuple(tuple(dict.fromkeys(row)) for row in work.predecessors)
    return BalanceProblem(
        times=times,
        predecessors=predecessors,
        successors=turned(predecessors),
        limit=most,
        scale=scale,
        forms=forms_of(work.limits, LIMITS),
    )
