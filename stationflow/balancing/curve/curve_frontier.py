"""What is known of every number of stations, and how a plan or a bound of one serves others.

- A plan of m stations serves every number of stations above m.
- A bound of m stations serves every number of stations below m.
- A plan with its longest station split is a plan of one station more, and one with the two
  neighbours of least work merged a plan of one station fewer; on lines without limits.
"""

from stationflow.balancing.arrows import topological_order
from stationflow.balancing.limits.station_filling import keeps_all
from stationflow.balancing.methods.method import Stations, loads
from stationflow.balancing.problem import BalanceProblem


class Frontier:
    """The best plan and the highest bound of every number of stations (from 1), in whole units.

    A plan may have fewer stations; with limits there may be none. The problem has a task.
    """

    def __init__(self, problem: BalanceProblem) -> None:
        self.problem = problem
        self.most = most = problem.most_stations
        self.plans: list[Stations] = [()] * (most + 1)
        # where there is no plan: what no plan needs
        self.cycles: list[int] = [problem.ample_limit + 1] * (most + 1)
        self.low: list[int] = [max(problem.least_times)] * (most + 1)
        self._changed: set[int] = set()
        if not problem.forms:
            order = topological_order(problem.predecessors)
            self.take_bound(1, problem.total)
            self._improve((order,))
            self.take_plan(tuple((position,) for position in order))

    @property
    def last(self) -> int:
        """The first number of stations whose plan is as good as that of any number."""
        return next(m for m in range(1, self.most + 1) if self.cycles[m] <= self.cycles[-1])

    def is_open(self, stations: int) -> bool:
        """Return whether bound and plan have not met yet."""
        return self.low[stations] < self.cycles[stations]

    def take_plan(self, stations: Stations) -> None:
        """Take a plan for its own number of stations and all above, and what follows from it."""
        if self.problem.forms:
            if stations and keeps_all(self.problem, stations):
                self._improve(stations)
            return
        stations = tuple(station for station in stations if station)
        if not self._improve(stations):
            return
        # The split or merged plan is worth going on with only while it is better than known.
        for change in (split_longest, merge_least):
            other = change(self.problem, stations)
            while other is not None and self._improve(other):
                other = change(self.problem, other)

    def take_bound(self, stations: int, bound: int) -> None:
        """Take a bound on the cycle for this number of stations and all below.

        Raises RuntimeError if a plan is better than the bound.
        """
        if bound > self.cycles[stations]:
            raise RuntimeError(
                f"a cycle below {bound} is said to be impossible with {stations} stations, and "
                f"there is a plan of {self.cycles[stations]}"
            )
        for m in range(stations, 0, -1):
            if self.low[m] >= bound:
                break
            self.low[m] = bound
            self._changed.add(m)

    def changes(self) -> list[int]:
        """Return the numbers of stations of which more is known than at the last call."""
        changed = sorted(self._changed)
        self._changed.clear()
        return changed

    def _improve(self, stations: Stations) -> bool:
        """Keep a plan wherever it is better; return whether it was anywhere."""
        forms = self.problem.forms
        cycle = self.problem.cycle_of(stations) if forms else max(loads(self.problem, stations))
        for m in range(len(stations), self.most + 1):
            if self.cycles[m] <= cycle:
                return m > len(stations)
            if self.low[m] > cycle:
                raise RuntimeError(f"a plan of cycle {cycle} is below the bound {self.low[m]}")
            self.plans[m], self.cycles[m] = stations, cycle
            self._changed.add(m)
        return True


def split_longest(problem: BalanceProblem, stations: Stations) -> Stations | None:
    """Return a plan with its longest station split as evenly as can be; None: it has one task."""
    work = loads(problem, stations)
    at = max(range(len(stations)), key=lambda s: work[s])
    tasks = stations[at]
    done, cuts = 0, []
    for place, position in enumerate(tasks[:-1], 1):
        done += problem.times[position]
        cuts.append((max(done, work[at] - done), place))
    if not cuts:
        return None
    cut = min(cuts)[1]
    return (*stations[:at], tasks[:cut], tasks[cut:], *stations[at + 1 :])


def merge_least(problem: BalanceProblem, stations: Stations) -> Stations | None:
    """Return a plan with the two neighbours of least work merged; None: there is one station."""
    if len(stations) == 1:
        return None
    work = loads(problem, stations)
    at = min(range(len(stations) - 1), key=lambda s: work[s] + work[s + 1])
    return (*stations[:at], stations[at] + stations[at + 1], *stations[at + 2 :])
