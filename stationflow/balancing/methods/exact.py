"""The exact method: a constraint solver proves how good a line can be.

It starts from the best plan of the rules. For the fewest stations it then asks
for the lower bound, and while that is proven impossible for one station more
(destructive improvement), so that the bound rises until it meets a plan. For the
shortest cycle the solver narrows bound and plan from both sides. A line too large
to be written as a model in the time given keeps the plan of the rules.

References
----------
.. [1] Bukchin, Y. and Raviv, T. (2018). "Constraint programming for solving various
   assembly line balancing problems". Omega 78, 57-68.
.. [2] Klein, R. and Scholl, A. (1999). "Computing lower bounds by destructive
   improvement". European Journal of Operational Research 112(2), 322-346.
"""

from dataclasses import dataclass

from stationflow.balancing import bounds
from stationflow.balancing.methods.exact_model import Solved, build_model, solve_model
from stationflow.balancing.methods.kilbridge_wester import by_column
from stationflow.balancing.methods.largest_candidate import by_time
from stationflow.balancing.methods.method import (
    Answer,
    Options,
    Stations,
    Watch,
    engine_name,
    loads,
)
from stationflow.balancing.methods.most_followers import by_followers
from stationflow.balancing.methods.priority import PriorityRule
from stationflow.balancing.methods.ranked_positional_weight import by_positional_weight
from stationflow.balancing.problem import BalanceProblem

RULES = tuple(PriorityRule(p) for p in (by_positional_weight, by_time, by_column, by_followers))
FIRST_STEPS = 20
"""Limits each rule tries for a first plan of short cycle; the solver does the rest."""


@dataclass(frozen=True, slots=True)
class Exact:
    """The exact method for all goals."""

    options: Options

    @property
    def engine(self) -> str:
        """What does the work."""
        return engine_name("ortools")

    def fewest(self, problem: BalanceProblem, limit: int, low: int, watch: Watch) -> Answer:
        """Return the best plan found and the number of stations proven."""
        best = _fewest_of_rules(problem, limit, low, watch)
        watch.better(len(best), limit)
        bound = low
        for stations in range(low, len(best)):
            if watch.is_over():
                break
            # Half of the time left, so that a hard proof leaves time to find a plan; the last
            # number of stations gets all of it.
            share = 0.5 if stations < len(best) - 1 else 1.0
            solved = self._ask(problem, limit, stations, watch.part(share))
            if solved.stations:
                best = solved.stations
                watch.better(len(best), limit)
                break
            if solved.is_closed:  # what so many stations cannot do, fewer cannot either
                bound = stations + 1
                watch.station_bound(bound)
        return Answer(stations=best, lower_bound=bound)

    def within(
        self, problem: BalanceProblem, limit: int, most: int, low: int, watch: Watch
    ) -> Answer:
        """Return a plan of at most `most` stations, or the proof that there is none."""
        best = _fewest_of_rules(problem, limit, most, watch)
        if len(best) <= most:
            watch.better(len(best), limit)
            return Answer(stations=best, lower_bound=low)
        solved = self._ask(problem, limit, most, watch)
        if solved.stations:
            watch.better(len(solved.stations), limit)
        is_ruled_out = solved.is_closed and not solved.stations
        bound = most + 1 if is_ruled_out else low
        return Answer(stations=solved.stations, lower_bound=bound)

    def shortest(
        self, problem: BalanceProblem, most: int, low: int, high: int | None, watch: Watch
    ) -> Answer:
        """Return the best plan found and the cycle time proven."""
        best = _shortest_of_rules(problem, most, low, high, watch)
        cycle = max(loads(problem, best), default=0)
        if best:
            watch.better(len(best), cycle)
            if cycle <= low:
                return Answer(stations=best, lower_bound=low)
        # Only something shorter than the rules' plan is wanted from the solver.
        limit = cycle - 1 if best else high
        assert limit is not None  # without a last limit the rules always have a plan
        windows = bounds.reach(problem).windows(limit)
        model = None
        if windows.bound > most:
            return Answer(stations=best, lower_bound=limit + 1)
        if not watch.is_over():
            model = build_model(problem, windows, most, limit, watch, low, hint=best)
        if model is None:
            return Answer(stations=best, lower_bound=low)
        solved = solve_model(problem, model, self.options, watch)
        if solved.stations:
            return Answer(stations=solved.stations, lower_bound=max(low, solved.bound))
        bound = limit + 1 if solved.is_closed else max(low, min(solved.bound, limit + 1))
        return Answer(stations=best, lower_bound=bound)

    def _ask(self, problem: BalanceProblem, limit: int, stations: int, watch: Watch) -> Solved:
        """Ask the solver for a plan of at most so many stations at a limit."""
        windows = bounds.reach(problem).windows(limit)
        if windows.bound > stations:
            return Solved(stations=(), is_closed=True)
        model = build_model(problem, windows, stations, limit, watch)
        if model is None or watch.is_over():
            return Solved(stations=(), is_closed=False)
        return solve_model(problem, model, self.options, watch)


def make_exact(options: Options) -> Exact:
    """Return the exact method with its options."""
    return Exact(options)


def _fewest_of_rules(problem: BalanceProblem, limit: int, low: int, watch: Watch) -> Stations:
    """Return the plan of fewest stations among the rules."""
    best: Stations = ()
    for rule in RULES:
        stations = rule.fewest(problem, limit, low, watch).stations
        if not best or len(stations) < len(best):
            best = stations
        if len(best) <= low:
            break
    return best


def _shortest_of_rules(
    problem: BalanceProblem, most: int, low: int, high: int | None, watch: Watch
) -> Stations:
    """Return the plan of shortest cycle among the rules, each with a short search."""
    best: Stations = ()
    for rule in RULES:
        if best and max(loads(problem, best)) <= low:
            break
        short = PriorityRule(rule.priority, steps=FIRST_STEPS)
        stations = short.shortest(problem, most, low, high, watch).stations
        if stations and (not best or max(loads(problem, stations)) < max(loads(problem, best))):
            best = stations
    return best
