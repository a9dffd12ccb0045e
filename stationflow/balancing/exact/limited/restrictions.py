"""The limits of a line as numbers for the search, whatever form they came in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from stationflow.balancing.arrows import knots
from stationflow.balancing.limits.contraction import Contraction, contracted
from stationflow.balancing.limits.forms import ALL_STATIONS, WHOLE_LIMIT, Group, forms_in
from stationflow.balancing.limits.joining import foes_of, own_stations

if TYPE_CHECKING:
    from stationflow.balancing.methods.method import Stations
    from stationflow.balancing.problem import BalanceProblem

WHOLE = WHOLE_LIMIT

Arc = tuple[int, int, int]
"""Tasks x and y and w: y is at least w stations after x; of a negative w, not so many before it."""


@dataclass(slots=True)
class Restrictions:
    """The limits of a problem without groups; tasks are positions, stations counted from 1."""

    stations: list[int]  # the stations of each task, as bits
    foes: list[int]  # for each task those that never share its station, as bits
    measures: list[tuple[tuple[int, ...], int | None, dict[int, int]]]  # amounts, usual room, rooms
    shares: dict[int, int]  # share of the limit by station
    times: dict[tuple[int, int], int]  # time by task and station, where it is another than usual
    arcs: list[Arc]
    # tasks of several kinds, and what every kind after the first costs a station
    rates: list[tuple[tuple[int, ...], int]] = field(default_factory=list)  # and what is lost
    turns: list[tuple[tuple[tuple[int, ...], ...], int]] = field(default_factory=list)
    kinds: list[list[int]] = field(init=False)  # the kinds of each task, counted through all turns

    def __post_init__(self) -> None:
        """List the kinds of each task."""
        all_kinds = [kind for rows, _ in self.turns for kind in rows]
        self.kinds = [
            [at for at, kind in enumerate(all_kinds) if task in kind]
            for task in range(len(self.foes))
        ]

    @property
    def amounts(self) -> list[tuple[int, ...]]:
        """The amounts of tasks, by measure and then by rate."""
        return [*(amounts for amounts, _, _ in self.measures), *(row for row, _ in self.rates)]

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
    stations, foes = own_stations(problem.size, forms.stations), foes_of(problem.size, forms)
    apart = [x for x, y, w in arcs if x == y and w > 0]
    apart += [task for task, bits in enumerate(foes) if bits >> task & 1]
    for task in apart:  # a group that would have to be at two stations
        stations[task] = 0
    return Restrictions(
        stations=stations,
        foes=foes_of(problem.size, forms),
        measures=[(m.amounts, m.usual, dict(m.at)) for m in forms.measures],
        shares=_least(pair for target in forms.targets for pair in target.at),
        times={(form.task, form.station): form.time for form in forms.times},
        arcs=[(x, y, w) for x, y, w in arcs if x != y],
        rates=[(form.amounts, form.lost) for form in forms.rates],
        turns=[(form.kinds, form.time) for form in forms.turns],
    )


def joined(problem: BalanceProblem) -> Contraction | None:
    """Return a problem with tasks that groups or distances keep at one station made into one task.

    None: some of them would have to be at two stations.
    """
    if problem.forms.groups:
        first = contracted(problem)
        then = joined(first.problem)
        if then is None:
            return None
        return Contraction(problem, then.problem, first.expanded(then.members))
    arcs = [arc for arc in _arcs(problem) if arc[2] >= 0]
    rows = [list(row) for row in problem.predecessors]
    for x, y, _ in arcs:
        if x != y:
            rows[y].append(x)
    found = knots(rows)
    if any(w and x in knot and y in knot for knot in found for x, y, w in arcs):
        return None
    groups = [Group(tuple(sorted(knot)), "") for knot in found]
    line = contracted(replace(problem, forms=forms_in((*problem.forms, *groups))))
    foes = foes_of(line.problem.size, line.problem.forms)
    is_torn = any(bits >> task & 1 for task, bits in enumerate(foes)) or any(
        x == y and w > 0 for x, y, w in _arcs(line.problem)
    )
    return None if is_torn else line


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


def _least(pairs: Iterator[tuple[int, int]]) -> dict[int, int]:
    found: dict[int, int] = {}
    for station, share in pairs:
        found[station] = min(share, found.get(station, WHOLE))
    return found


def _arcs(problem: BalanceProblem) -> Iterator[Arc]:
    for form in problem.forms.distances:
        if form.least is not None:
            yield form.before, form.after, form.least
        if form.most is not None:
            yield form.after, form.before, -form.most
