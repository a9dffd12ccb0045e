"""The shortest cycle at which a station does its work as its limits ask for it."""

from collections.abc import Sequence
from fractions import Fraction
from math import ceil

from stationflow.balancing.work import LineWork
from stationflow.units import exact


def shortest_cycle(work: LineWork, number: int, tasks: Sequence[str], ticks: int) -> int:
    """Return the cycle, in ticks, that a station needs beyond its work; 0: its work decides.

    A target load lets it fill a share of the cycle only; lifting takes its time between lifts.
    """
    line, needed = work.limits.line, ticks
    for setting in line.stations:
        if setting.number == number and setting.target_share:
            needed = max(needed, ceil(Fraction(ticks) / Fraction(exact(setting.target_share))))
    if not (line.lifts_per_min or line.lifted_kg_per_min):
        return needed if needed > ticks else 0
    for amount, a_minute in lifted(work, tasks):
        if a_minute:
            lasts = ceil(60_000 * amount / Fraction(exact(a_minute)))
            needed = max(needed, lasts - line.repositioning_ms)
    return needed if needed > ticks else 0


def lifted(
    work: LineWork, tasks: Sequence[str]
) -> tuple[tuple[Fraction, float | None], tuple[Fraction, float | None]]:
    """Return the lifts and the kilograms of a unit at a station, each with its limit a minute."""
    there, lifts, mass = set(tasks), 0, Fraction(0)
    for number, limits in zip(work.limits.numbers, work.limits.tasks, strict=True):
        if number in there:
            times = (limits.lift_kg is not None) if limits.lifts is None else limits.lifts
            lifts += times
            mass += times * Fraction(exact(limits.lift_kg or 0))
    line = work.limits.line
    return (Fraction(lifts), line.lifts_per_min), (mass, line.lifted_kg_per_min)
