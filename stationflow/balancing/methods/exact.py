"""The exact method: our own search, with proof.

References
----------
.. [1] Sewell, E. C. and Jacobson, S. H. (2012). "A branch, bound, and remember
   algorithm for the simple assembly line balancing problem". INFORMS Journal on
   Computing 24(3), 433-442.
.. [2] Scholl, A. and Becker, C. (2006). "State-of-the-art exact and heuristic
   solution procedures for simple assembly line balancing". European Journal of
   Operational Research 168(3), 666-693.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar

from stationflow.balancing.arrows import topological_order
from stationflow.balancing.methods.method import Answer, Options, Stations, Watch

if TYPE_CHECKING:
    from stationflow.balancing.exact.hunt import Means
    from stationflow.balancing.exact.limited.limited_search import Effort
    from stationflow.balancing.problem import BalanceProblem

PACKING = "packing"
"""Name of the packing bound in an answer."""

PACKING_SHARE = 0.4
"""Share of the time left that the packing bound may take."""


@dataclass(frozen=True, slots=True)
class Exact:
    """The exact method for all goals. The search is imported when it is first asked."""

    options: Options
    takes_groups: ClassVar[bool] = True

    def fewest(
        self, problem: BalanceProblem, limit: int, low: int, watch: Watch, most: int | None = None
    ) -> Answer:
        """Return the best plan found and the number of stations proven.

        With `most`: a plan of at most so many stations, or the proof that there is none.
        """
        if problem.forms:
            return self._few_stations(problem, limit, low, watch, most)
        if most is None:
            return self._searched(problem, limit, low, problem.size + 1, watch)
        found = self._searched(problem, limit, most, most + 1, watch)
        is_ruled_out = not found.stations and found.stopped is None
        named = tuple(named for named in found.bounds if named[1] > most)
        return replace(found, lower_bound=most + 1 if is_ruled_out else low, bounds=named)

    def shortest(
        self, problem: BalanceProblem, most: int, low: int, high: int | None, watch: Watch
    ) -> Answer:
        """Return the best plan found and the cycle time proven."""
        if problem.forms:
            return self._short_cycle(problem, most, low, high, watch)
        if not problem.total:
            return Answer(stations=_no_work(problem))
        from stationflow.balancing.exact.shortest import ShortestCycle

        upper = max(problem.total, 1) + 1 if high is None else high + 1
        search = ShortestCycle(
            problem, most, max(low, 1), upper, self._means(), watch, self.options.nodes
        )
        stopped = search.to_the_end()
        return Answer(
            stations=search.best,
            lower_bound=search.lower,
            nodes=search.nodes,
            memory_mb=search.peak_bytes / 2**20,
            stopped=stopped,
        )

    def _searched(
        self, problem: BalanceProblem, limit: int, lower: int, upper: int, watch: Watch
    ) -> Answer:
        """Look for plans of fewer than `upper` stations until there are none, or it is stopped."""
        if not problem.total:
            return Answer(stations=_no_work(problem), lower_bound=1)
        from stationflow.balancing.exact.hunt import Hunt
        from stationflow.balancing.exact.idle_time import Turns

        told = [upper, lower]
        hunt = Hunt(problem, max(limit, 1), lower, upper, self._means())

        def tell() -> None:
            if hunt.best and hunt.upper < told[0]:
                told[0] = hunt.upper
                watch.better(hunt.upper, limit)
            if hunt.lower > told[1]:
                told[1] = hunt.lower
                watch.station_bound(min(hunt.lower, hunt.upper))

        hunt.start(watch.is_over)
        tell()
        hunt.pack(watch.part(PACKING_SHARE).is_over)
        tell()
        turns, stopped = Turns(hunt), None
        while not hunt.is_closed and not (stopped := turns.stopped(watch, self.options.nodes)):
            turns.step(watch.is_over)
            tell()
        return Answer(
            stations=hunt.best,
            lower_bound=min(hunt.lower, hunt.upper),
            nodes=hunt.nodes_seen,
            memory_mb=hunt.peak_bytes / 2**20,
            stopped=stopped,
            bounds=((PACKING, hunt.packing_bound),) if hunt.packing_bound else (),
        )

    def _few_stations(
        self, problem: BalanceProblem, limit: int, low: int, watch: Watch, most: int | None
    ) -> Answer:
        """Return an answer that keeps limits: of our own search, or of a solver what is left."""
        from stationflow.balancing.exact.limited.limited_search import few_stations
        from stationflow.balancing.solver.solver_answers import fewest_by_solver, is_for_solver

        def native(line: BalanceProblem, part: Watch) -> Answer:
            if not line.forms:
                return self.fewest(line, limit, low, part, most)
            return few_stations(line, limit, low, self._effort(part), most)

        if is_for_solver(problem):
            return fewest_by_solver(problem, limit, low, most, watch, self.options, native)
        return native(problem, watch)

    def _short_cycle(
        self, problem: BalanceProblem, most: int, low: int, high: int | None, watch: Watch
    ) -> Answer:
        from stationflow.balancing.exact.limited.limited_search import short_cycle
        from stationflow.balancing.solver.solver_answers import is_for_solver, shortest_by_solver

        def native(line: BalanceProblem, part: Watch) -> Answer:
            if not line.forms:
                return self.shortest(line, most, low, high, part)
            return short_cycle(line, most, low, high, self._effort(part))

        if is_for_solver(problem):
            last = problem.ample_limit if high is None else high
            answer = shortest_by_solver(problem, most, low, last, watch, self.options, native)
            return answer if high is None else replace(answer, is_ruled_out=False)
        return native(problem, watch)

    def _effort(self, watch: Watch) -> Effort:
        from stationflow.balancing.exact.limited.limited_search import Effort

        return Effort(self._means(), watch, self.options.nodes)

    def _means(self) -> Means:
        from stationflow.balancing.exact.hunt import Means

        options = self.options
        return Means(memory_bytes=options.memory_mb << 20, cores=options.cores, seed=options.seed)


def _no_work(problem: BalanceProblem) -> Stations:
    """Return the plan of a line whose tasks take no time: one station."""
    return (topological_order(problem.predecessors),)


def prepare_exact(announce: Callable[[], None], *, limited: bool = True) -> None:
    """Make the search ready; `announce` is called if that takes more than a moment.

    `limited`: that of lines with limits too.
    """
    from stationflow.balancing.exact.preparation import prepare

    prepare(announce, limited=limited)
