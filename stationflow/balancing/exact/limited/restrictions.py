"""The limits of a line as numbers for the search, whatever form they came in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stationflow.balancing.arrows import knots
from stationflow.balancing.limits.contraction import Contraction, contracted
from stationflow.balancing.limits.forms import ALL_STATIONS, Group, forms_in
from stationflow.balancing.limits.joining import foes_of, own_stations
from stationflow.balancing.methods.method import loads

if TYPE_CHECKING:
    from stationflow.balancing.methods.method import Stations
    from stationflow.balancing.problem import BalanceProblem

WHOLE = 1_000_000
"""Targets are in millionths of the limit."""

Arc = tuple[int, int, int]
"""Tasks x and y and w: y is at least w stations after x; of a negative w, not so many before it."""


@dataclass(frozen=True, slots=True)
class Restrictions:
    """The limits of a problem without groups; tasks are positions, stations counted from 1."""

    stations: list[int]  # the stations of each task, as bits
    foes: list[int]  # for each task those that never share its station, as bits
    measures: list[tuple[tuple[int, ...], int | None, dict[int, int]]]  # amounts, usual room, rooms
    shares: dict[int, int]  # share of the limit by station
    times: dict[tuple[int, int], int]  # time by task and station, where it is another than usual
    arcs: list[Arc]

    @property
    def are_stations_alike(self) -> bool:
        """Whether no station differs from another, nor counts its place."""
        return self.are_unnamed and not self.arcs

    @property
    def are_unnamed(self) -> bool:
        """Whether no limit names a station."""
        is_named = any(stations != ALL_STATIONS for stations in self.stations) or any(
            rooms for _, _, rooms in self.measures
        )
        return not (is_named or self.shares or self.times)


def restrictions(problem: BalanceProblem) -> Restrictions:
    """Return the limits of a problem."""
    forms = problem.forms
    arcs = list(_arcs(problem))
    stations = own_stations(problem.size, forms)
    for x, y, w in arcs:
        if x == y and w > 0:  # a group that would have to be at two stations
            stations[x] = 0
    return Restrictions(
        stations=stations,
        foes=foes_of(problem.size, forms),
        measures=[(m.amounts, m.usual, dict(m.at)) for m in getattr(forms, "measures", ())],
        shares=_least(pair for t in getattr(forms, "targets", ()) for pair in t.at),
        times={(t.task, t.station): t.time for t in getattr(forms, "times", ())},
        arcs=[(x, y, w) for x, y, w in arcs if x != y],
    )


def joined(problem: BalanceProblem) -> Contraction | None:
    """Return a problem with tasks that distances keep at one station made into one task.

    None: tasks would have to be at stations after each other all the way round.
    """
    arcs = [arc for arc in _arcs(problem) if arc[2] >= 0]
    rows = [list(row) for row in problem.predecessors]
    for x, y, _ in arcs:
        if x != y:
            rows[y].append(x)
    found = knots(rows)
    if any(w and x in knot and y in knot for knot in found for x, y, w in arcs):
        return None
    groups = [Group(tuple(sorted(knot)), "") for knot in found]
    return contracted(replace(problem, forms=forms_in((*problem.forms, *groups))))


def in_use(problem: BalanceProblem, stations: Stations) -> Stations:
    """Return a plan without empty stations where they are of no use."""
    limits = restrictions(problem)
    if limits.are_stations_alike:
        return tuple(station for station in stations if station)
    first = 0
    if limits.are_unnamed:
        first = next((at for at, station in enumerate(stations) if station), 0)
    last = max((at for at, station in enumerate(stations, 1) if station), default=0)
    return stations[first:last]


def least_limit(problem: BalanceProblem, stations: Stations) -> int:
    """Return the smallest limit of time that a plan keeps, target loads included."""
    shares = restrictions(problem).shares
    return max(
        (
            -(-work * WHOLE // shares.get(at, WHOLE)) if work else 0
            for at, work in enumerate(loads(problem, stations), 1)
        ),
        default=0,
    )


def longest_limit(problem: BalanceProblem) -> int:
    """Return a limit from which on time keeps no task out of any station."""
    limits = restrictions(problem)
    most = sum(problem.times) + sum(limits.times.values())
    return -(-most * WHOLE // max(1, min(limits.shares.values(), default=WHOLE)))


def _least(pairs: Iterator[tuple[int, int]]) -> dict[int, int]:
    found: dict[int, int] = {}
    for station, share in pairs:
        found[station] = min(share, found.get(station, WHOLE))
    return found


def _arcs(problem: BalanceProblem) -> Iterator[Arc]:
    for form in getattr(problem.forms, "distances", ()):
        if form.least is not None:
            yield form.before, form.after, form.least
        if form.most is not None:
            yield form.after, form.before, -form.most
