"""Limits that our own search does not keep: it gives the bound, CP-SAT the plan and the rest.

Without the limits that it does not keep, the line is never worse: what the search proves of
that line holds for the whole one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stationflow.balancing.limits.forms import Form
from stationflow.balancing.methods.method import Answer
from stationflow.balancing.solver.solver_process import Question, SolverProcess, solver_name
from stationflow.model import Stopped

if TYPE_CHECKING:
    from stationflow.balancing.methods.method import Options, Stations, Watch
    from stationflow.balancing.problem import BalanceProblem

SHARE = 0.3
"""Share of the time that the search may take for its bound."""
MORE = 3
"""So many stations more than the bound are tried first: a model of few is solved faster."""

Native = Callable[["BalanceProblem", "Watch"], Answer]


def is_for_solver(problem: BalanceProblem) -> bool:
    """Return whether a line has limits that our own search does not keep."""
    return bool(problem.forms.lags) or any(f.most is not None for f in problem.forms.setups)


def fewest_by_solver(
    problem: BalanceProblem,
    limit: int,
    low: int,
    most: int | None,
    watch: Watch,
    options: Options,
    native: Native,
) -> Answer:
    """Return a plan of few stations, or of at most `most`, that keeps all limits."""
    first = native(_without(problem), watch.part(SHARE))
    if first.is_ruled_out:
        return first
    low = max(low, first.lower_bound)
    last = problem.most_stations if most is None else most
    best = _Best(problem, limit, watch)
    with SolverProcess() as solver:
        tried = last if most is not None else min(last, low + MORE)
        while True:
            question = Question(
                problem=problem,
                most=tried,
                limit=limit,
                low=low if most is None else tried,
                seconds=watch.seconds_left,
                cores=options.cores,
                seed=options.seed,
            )
            told = solver.ask(question, watch, best.take)
            if not told.is_impossible or tried == last:
                break
            low, tried = tried + 1, min(last, 2 * tried)
            watch.station_bound(low)
    if told.is_impossible:
        return replace(_answer((), last + 1), is_ruled_out=True)
    bound = low if most is not None else max(low, told.bound)
    found = best.plan
    return _answer(found, bound, None if found and len(found) <= (most or bound) else _why(watch))


def shortest_by_solver(
    problem: BalanceProblem,
    most: int,
    low: int,
    high: int,
    watch: Watch,
    options: Options,
    native: Native,
) -> Answer:
    """Return a plan of at most `most` stations at a small limit that keeps all limits."""
    first = native(_without(problem), watch.part(SHARE))
    if first.is_ruled_out:
        return first
    best = _Best(problem, None, watch)
    with SolverProcess() as solver:
        question = Question(
            problem=problem,
            most=most,
            limit=None,
            low=max(low, first.lower_bound),
            high=high,
            seconds=watch.seconds_left,
            cores=options.cores,
            seed=options.seed,
        )
        told = solver.ask(question, watch, best.take)
    if told.is_impossible:
        return replace(_answer((), question.low), is_ruled_out=True)
    is_best = best.plan and problem.cycle_of(best.plan) <= told.bound
    return _answer(best.plan, max(question.low, told.bound), None if is_best else _why(watch))


@dataclass(slots=True)
class _Best:
    """The best plan so far; the watch hears of each."""

    problem: BalanceProblem
    limit: int | None  # None: it is to be short
    watch: Watch
    plan: Stations = ()

    def take(self, plan: Stations) -> None:
        """Take a plan better than those before."""
        limit = self.problem.cycle_of(plan) if self.limit is None else self.limit
        self.plan = plan
        self.watch.better(len(plan), limit)


def _without(problem: BalanceProblem) -> BalanceProblem:
    kept = frozenset(Form) - {Form.SETUPS, Form.LAGS}
    return replace(problem, forms=problem.forms.only(kept))


def _answer(best: Stations, bound: int, stopped: Stopped | None = None) -> Answer:
    return Answer(stations=best, lower_bound=bound, stopped=stopped, engine=solver_name())


def _why(watch: Watch) -> Stopped:
    return watch.stopped or Stopped.TIME
