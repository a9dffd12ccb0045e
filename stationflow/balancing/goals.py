"""From a goal to what is asked of a method, and to what is proven in the end."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stationflow.balancing import bounds
from stationflow.balancing.methods.method import Answer, Solver, Stations, Watch, loads
from stationflow.balancing.problem import BalanceProblem
from stationflow.balancing.time_words import count
from stationflow.model import BalanceSettings, Ending, Goal


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What came of a goal.

    Attributes
    ----------
    answer
        The assignment and the bound, in stations or whole units of time by the goal.
    ending
        How it ended.
    bounds
        The single bounds by name, before the method began.
    """

    answer: Answer
    ending: Ending
    bounds: tuple[tuple[str, int], ...]


def reach_goal(
    problem: BalanceProblem, settings: BalanceSettings, solver: Solver, watch: Watch
) -> Outcome:
    """Ask a method for a goal.

    Parameters
    ----------
    problem
        At least one task; with a takt, none longer than the limit.
    settings
        The goal with its numbers.
    solver
        The method.
    watch
        Hears of progress and stops the method.
    """
    if settings.goal == Goal.SHORTEST_CYCLE:
        return _shortest_cycle(problem, settings.stations or 1, solver, watch)
    if settings.goal == Goal.BEST_EFFICIENCY:
        first = min(settings.stations_from or 1, problem.size)
        last = min(settings.stations or 1, problem.size)
        return _best_efficiency(problem, first, last, solver, watch)
    return _at_takt(problem, settings.stations, solver, watch)


def _at_takt(problem: BalanceProblem, most: int | None, solver: Solver, watch: Watch) -> Outcome:
    """Ask for few stations at the limit, or for at most `most` of them."""
    limit = problem.limit or 0
    named = bounds.bounds(problem)
    low = max(bound for _, bound in named)
    watch.station_bound(low)
    if most is not None and low > most:
        return Outcome(answer=Answer(lower_bound=low), ending=Ending.IMPOSSIBLE, bounds=named)
    if most is None:
        answer = solver.fewest(problem, limit, low, watch)
    else:
        answer = solver.within(problem, limit, most, low, watch)
    answer = replace(answer, lower_bound=max(low, answer.lower_bound))
    used = len(answer.stations)
    if not used:
        proved = most is not None and answer.lower_bound > most
        ending = Ending.IMPOSSIBLE if proved else Ending.NOTHING_FOUND
    elif most is not None or used == answer.lower_bound:
        ending = Ending.OPTIMAL
    else:
        ending = Ending.FOUND
    return _outcome(answer, ending, named)


def _shortest_cycle(problem: BalanceProblem, most: int, solver: Solver, watch: Watch) -> Outcome:
    """Ask for the shortest cycle time of at most `most` stations."""
    named = bounds.cycle_bounds(problem, most)
    low = max(bound for _, bound in named)
    watch.cycle_bound(low)
    answer = solver.shortest(problem, most, low, None, watch)
    answer = replace(answer, lower_bound=max(low, answer.lower_bound))
    ending = _ending(answer.stations, _cycle(problem, answer.stations), answer.lower_bound)
    return _outcome(answer, ending, named)


def _best_efficiency(
    problem: BalanceProblem, first: int, last: int, solver: Solver, watch: Watch
) -> Outcome:
    """Ask for the smallest stations x cycle time over a range of stations.

    The number of stations that promises most is tried first; another one is
    asked only for cycle times that would be better.
    """
    ready = bounds.reach(problem)
    low = {
        m: max(bound for _, bound in bounds.cycle_bounds(problem, m, ready))
        for m in range(first, last + 1)
    }
    named = tuple((count(m, "station"), m * cycle) for m, cycle in low.items())
    watch.cycle_bound(min(bound for _, bound in named))
    best, best_product, asked = Answer(), None, list[Answer]()
    promising = sorted(low, key=lambda m: (m * low[m], m))
    for tried, m in enumerate(promising):
        high = None if best_product is None else (best_product - 1) // m
        if high is not None and high < low[m]:
            continue
        part = watch.part(1 / (len(promising) - tried))
        answer = solver.shortest(problem, m, low[m], high, part)
        asked.append(answer)
        low[m] = max(low[m], answer.lower_bound)
        if answer.stations:
            best = replace(answer, stations=at_least(answer.stations, first))
            best_product = len(best.stations) * _cycle(problem, best.stations)
    proven = min(m * cycle for m, cycle in low.items())
    best = replace(_together(best, asked), lower_bound=min(proven, best_product or proven))
    ending = _ending(best.stations, best_product or 0, best.lower_bound)
    return _outcome(best, ending, named)


def _together(best: Answer, asked: Sequence[Answer]) -> Answer:
    """Return an answer with the effort of all that were asked for."""
    return replace(
        best,
        trials=sum(answer.trials for answer in asked),
        nodes=sum(answer.nodes for answer in asked),
        memory_mb=max((answer.memory_mb for answer in asked), default=0.0),
        stopped=next((a.stopped for a in reversed(asked) if a.stopped is not None), None),
    )


def _outcome(answer: Answer, ending: Ending, named: tuple[tuple[str, int], ...]) -> Outcome:
    """Return the outcome; where the proof is there, nothing stopped it."""
    if ending in (Ending.OPTIMAL, Ending.IMPOSSIBLE):
        answer = replace(answer, stopped=None)
    return Outcome(answer=answer, ending=ending, bounds=(*named, *answer.bounds))


def at_least(stations: Stations, fewest: int) -> Stations:
    """Split stations of several tasks until there are at least `fewest`.

    >>> at_least(((0, 1), (2,)), 3)
    ((0,), (1,), (2,))
    """
    split = list(stations)
    while len(split) < fewest:
        at = next((i for i, tasks in enumerate(split) if len(tasks) > 1), None)
        if at is None:
            break
        split[at : at + 1] = [split[at][:1], split[at][1:]]
    return tuple(split)


def _ending(stations: Stations, value: int, bound: int) -> Ending:
    """Return how a search for a small value ended."""
    if not stations:
        return Ending.NOTHING_FOUND
    return Ending.OPTIMAL if value <= bound else Ending.FOUND


def _cycle(problem: BalanceProblem, stations: Stations) -> int:
    """Return the largest load in whole units."""
    return max(loads(problem, stations), default=0)
