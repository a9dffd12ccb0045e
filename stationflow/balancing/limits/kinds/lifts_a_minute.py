"""Lifting by hand: how often, and how much in all, one operator lifts in a minute.

A task with a mass is lifted once in each unit unless said otherwise. The cycle that counts
is that of the line: the limit of a station and the repositioning. What is too heavy for one
lift is a finding of its own, whatever the station.
"""

from collections.abc import Iterator

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import Limit, Rate
from stationflow.model import TaskLimits
from stationflow.units import exact

MINUTE_MS = 60_000


def lifts_of(limits: TaskLimits) -> int:
    """Return how often something is lifted for a task in one unit."""
    return int(limits.lift_kg is not None) if limits.lifts is None else limits.lifts


def _rates(entered: EnteredLimits) -> Iterator[Rate]:
    line = entered.line
    lifts = [lifts_of(limits) for limits in entered.tasks]
    mass = [n * exact(limits.lift_kg or 0) for n, limits in zip(lifts, entered.tasks, strict=True)]
    for amounts, most, words in (
        (lifts, line.lifts_per_min, "lifts a minute"),
        (mass, line.lifted_kg_per_min, "kg lifted a minute"),
    ):
        if most and any(amounts):
            # Each amount as the time in which so much may be lifted, rounded up.
            times = tuple(-int(-exact(a) * MINUTE_MS // exact(most)) for a in amounts)
            yield Rate(times, line.repositioning_ms, f"at most {most:g} {words} at a station")


LIMIT = Limit(
    task_fields=("lift_kg", "lifts"),
    line_fields=("lifts_per_min", "lifted_kg_per_min", "repositioning_ms"),
    forms=_rates,
)
