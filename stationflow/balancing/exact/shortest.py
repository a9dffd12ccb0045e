"""The shortest cycle time of a number of stations: one question of fewest stations after another.

Whether a cycle time will do is asked of the search at that limit. First the cycle times
between bound and best plan are halved, with little effort each; then all effort goes to the
cycle time just below that of the best plan. Either there is a plan, and the next one is asked
for, or there is none, and the best is proven (Scholl and Becker 2006: search methods).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stationflow.balancing.exact.hunt import Hunt, Means
from stationflow.balancing.exact.idle_time import Turns
from stationflow.balancing.methods.method import loads
from stationflow.model import Stopped

if TYPE_CHECKING:
    from stationflow.balancing.methods.method import Stations, Watch
    from stationflow.balancing.problem import BalanceProblem

STEPS = 8
"""Steps of a search for each cycle time, while they are halved."""
HALVING_SHARE, DECIDING_SHARE = 0.1, 0.4
"""Share of the time left that the packing bound may take, while halving and afterwards."""


@dataclass(slots=True)
class ShortestCycle:
    """The search for the shortest cycle time of at most so many stations."""

    problem: BalanceProblem  # the line; its limit plays no part
    most: int  # number of stations
    lower: int  # no plan has a shorter cycle time
    # only shorter cycle times are looked for: that of the best plan, or one above those wanted
    upper: int
    means: Means  # what the search may use
    watch: Watch  # hears of what is found; its end is the time limit, or somebody's stop
    most_nodes: int | None = None  # most partial plans looked at; None: no limit
    best: Stations = ()  # the best plan found; empty: none yet
    # nodes, peak_bytes: partial plans looked at, and the most memory they used at a time
    nodes: int = 0
    peak_bytes: int = 0

    def to_the_end(self) -> Stopped | None:
        """Search until bound and best meet; return what stopped it before, if anything."""
        self._quick_plan()
        begun = self._halve()
        while self.lower < self.upper:
            if self.best and (reason := self._stopped(begun)):
                self._count(begun)
                return reason
            turns = begun or self._begun(self.upper - 1, DECIDING_SHARE)
            begun = None
            if reason := self._decide(turns):
                return reason
        return None

    def _quick_plan(self) -> None:
        """Find a plan by filling stations by value, at limits between which is halved."""
        low, high = self.lower, self.upper
        while low < high and not self.watch.is_over():
            middle = (low + high) // 2
            hunt = self._hunt(middle)
            hunt.start(self.watch.is_over)
            if hunt.best:
                high = self._take(hunt.best)
                continue
            if hunt.is_closed:
                self._raise(middle + 1)
            low = middle + 1

    def _halve(self) -> Turns | None:
        """Halve the cycle times left; return the search just below the best, if it is open."""
        low = self.lower
        while low < self.upper and not self._stopped(None):
            middle = (low + self.upper) // 2
            turns = self._begun(middle, HALVING_SHARE)
            hunt = turns.hunt
            for _ in range(STEPS):
                if hunt.is_closed or self._stopped(turns):
                    break
                turns.step(self.watch.is_over)
            if hunt.best:
                self._take(hunt.best)
            elif hunt.is_closed:
                self._raise(middle + 1)
                low = middle + 1
            elif middle == self.upper - 1:
                return turns
            else:
                low = middle + 1
            self._count(turns)
        return None

    def _decide(self, turns: Turns) -> Stopped | None:
        """Search at one limit until it is decided; return what stopped it before."""
        hunt = turns.hunt
        while not hunt.is_closed:
            if reason := self._stopped(turns):
                self._count(turns)
                return reason
            turns.step(self.watch.is_over)
        self._count(turns)
        if hunt.best:
            self._take(hunt.best)
        else:
            self._raise(hunt.limit + 1)
        return None

    def _begun(self, limit: int, share: float) -> Turns:
        """Return a search with its first plan and its packing, which may take a share of time."""
        hunt = self._hunt(limit)
        hunt.start(self.watch.is_over)
        hunt.pack(self.watch.part(share).is_over)
        return Turns(hunt)

    def _hunt(self, limit: int) -> Hunt:
        return Hunt(self.problem, limit, self.most, self.most + 1, self.means)

    def _take(self, stations: Stations) -> int:
        cycle = max(loads(self.problem, stations))
        if cycle < self.upper:
            self.best, self.upper = stations, cycle
            self.watch.better(len(stations), cycle)
        return cycle

    def _raise(self, lower: int) -> None:
        if lower > self.lower:
            self.lower = lower
            self.watch.cycle_bound(lower)

    def _count(self, turns: Turns | None) -> None:
        """Add what a search that is not gone on with looked at."""
        if turns is None:
            return
        self.nodes += turns.hunt.nodes_seen
        self.peak_bytes = max(self.peak_bytes, turns.hunt.peak_bytes)

    def _stopped(self, turns: Turns | None) -> Stopped | None:
        """Return why the search cannot go on, or None."""
        if turns is not None:
            return turns.stopped(self.watch, self.most_nodes, self.nodes)
        is_spent = self.most_nodes is not None and self.nodes >= self.most_nodes
        return self.watch.stopped or (Stopped.NODES if is_spent else None)
