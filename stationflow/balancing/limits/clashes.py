"""Limits that cannot all hold, found by counting: nothing has to be tried."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from stationflow.balancing.limits.forms import StationSet, earliest, from_station
from stationflow.balancing.limits.implied import station_sets
from stationflow.balancing.limits.joining import Narrowed, narrowed, own_stations
from stationflow.balancing.limits.station_filling import Bars

if TYPE_CHECKING:
    from stationflow.balancing.bounds import Windows
    from stationflow.balancing.limits.contraction import Contraction

Clash = tuple[str, ...]
"""What cannot all hold, each in a clause; empty: nothing was found."""


def find_clash(line: Contraction, limit: int | None) -> Clash:
    """Return limits that cannot hold together on a line of any length.

    Tasks kept together and apart or stations between them, a group longer than the limit of a
    station, a task for which its own limits and those of the tasks around it leave no station.
    """
    problem = line.problem
    for pairs in problem.forms.pairs:
        if shared := set(pairs.tasks) & set(pairs.others):
            return (pairs.said, *(said for task in shared for said in _groups_of(line, task)))
    for form in problem.forms.distances:
        if form.before == form.after and not form.holds(0):
            return (form.said, *_groups_of(line, form.before))
    for task, row in enumerate(line.members):
        if limit is not None and len(row) > 1 and problem.least_times[task] > limit:
            return (*_groups_of(line, task), "their work is longer than the limit of a station")
    sets = tuple(station_sets(problem, limit))
    left = narrowed(own_stations(problem.size, sets), problem.predecessors)
    if (lost := _lost(line, left, sets)) or Bars(problem).is_possible:
        return lost
    return (*(form.said for form in problem.forms.distances), *(s.said for s in sets), _ORDER)


def stations_needed(
    line: Contraction, windows: Windows | None, most: int | None
) -> tuple[int, Clash]:
    """Return how many stations the limits need, and what cannot hold with so few allowed.

    The limits do not clash by themselves. `windows`: between which stations the work leaves each
    task (None: there is no limit of time); `most`: stations allowed (None: any number).
    """
    problem = line.problem
    sets = tuple(station_sets(problem, problem.limit))
    if not sets and not problem.forms.distances:
        return 0, ()
    heads = windows.earliest if windows else (1,) * problem.size
    tails = windows.tail if windows else (1,) * problem.size
    own = own_stations(problem.size, sets)
    left = narrowed(
        [s & from_station(e) for s, e in zip(own, heads, strict=True)], problem.predecessors
    )
    if clash := _lost(line, left, sets):
        return 0, (*clash, "the work that comes before takes more stations")
    apart = Bars(problem)
    first = [max(earliest(s), f) for s, f in zip(left.stations, apart.first, strict=True)]
    needed = [f + t - 1 for f, t in zip(first, tails, strict=True)]
    if most is not None and max(needed) > most:
        task = needed.index(max(needed))
        short = replace(left, lost=task, high_by=tuple(range(problem.size)))
        return max(needed), (
            *_lost(line, short, sets),
            *(form.said for form in problem.forms.distances if task in (form.before, form.after)),
            f"{max(needed)} stations are needed, {most} allowed",
        )
    return max(needed), ()


_ORDER = "the order of the tasks"


def _lost(line: Contraction, left: Narrowed, sets: Iterable[StationSet]) -> Clash:
    """Return the limits that leave a task no station."""
    if left.lost is None:
        return ()
    tasks = dict.fromkeys((left.lost, left.low_by[left.lost], left.high_by[left.lost]))
    said = [f.said for task in tasks for f in sets if f.task == task]
    groups = [said for task in tasks for said in _groups_of(line, task)]
    before = [_ORDER] if len(tasks) > 1 else []
    return tuple(dict.fromkeys((*said, *groups, *before)))


def _groups_of(line: Contraction, task: int) -> Iterable[str]:
    inside = set(line.members[task])
    return (group.said for group in line.whole.forms.groups if inside & set(group.tasks))
