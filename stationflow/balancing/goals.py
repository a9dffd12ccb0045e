"""From a goal to what is asked of a method, and to what is proven in the end."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from stationflow.balancing import bounds
from stationflow.balancing.limits.clashes import Clash, find_clash, stations_needed
from stationflow.balancing.limits.contraction import Contraction, contracted
from stationflow.balancing.limits.forms import ALL_FORMS, Form
from stationflow.balancing.methods.method import (
    Answer,
    Solver,
    Stations,
    Watch,
    seen_by,
)
from stationflow.balancing.problem import BalanceProblem
from stationflow.balancing.time_words import count
from stationflow.model import BalanceResult, BalanceSettings, Ending, Goal


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What came of a goal."""

    answer: Answer  # the assignment and the bound, in stations or whole units of time by the goal
    ending: Ending  # how it ended
    bounds: tuple[tuple[str, int], ...]  # the single bounds by name, before the method began
    clash: Clash = ()  # limits of the line that cannot all hold, in clauses


@dataclass(frozen=True, slots=True)
class _Asked:
    """A line as it is, with the limits that the method keeps, and with groups as single tasks."""

    line: Contraction
    told: BalanceProblem
    seen: BalanceProblem
    solver: Solver
    watch: Watch


def reach_goal(
    problem: BalanceProblem,
    settings: BalanceSettings,
    solver: Solver,
    watch: Watch,
    keeps: frozenset[Form] = ALL_FORMS,
) -> Outcome:
    """Ask a method for a goal; with a limit, no task is longer than it.

    `keeps` are the forms of limits that the method keeps; it does not see the others.
    """
    line = contracted(problem)
    if clash := find_clash(line, problem.limit):
        return _ruled_out(problem, settings.stations or 1, clash)
    line = seen_by(solver, line)
    told, seen = (replace(p, forms=p.forms.only(keeps)) for p in (problem, line.problem))
    asked = _Asked(line, told, seen, solver, watch)
    if settings.goal == Goal.SHORTEST_CYCLE:
        outcome = _shortest_cycle(asked, settings.stations or 1)
    elif settings.goal == Goal.BEST_EFFICIENCY:
        first = min(settings.stations_from or 1, problem.most_stations)
        last = min(settings.stations or 1, problem.most_stations)
        outcome = _best_efficiency(asked, first, last)
    else:
        outcome = _at_limit(asked, settings.stations)
    stations = line.expanded(outcome.answer.stations)
    return replace(outcome, answer=replace(outcome.answer, stations=stations))


def _ruled_out(problem: BalanceProblem, most: int, clash: Clash, needed: int = 0) -> Outcome:
    at_limit = problem.limit is not None
    named = bounds.bounds(problem) if at_limit else bounds.cycle_bounds(problem, most)
    low = max(needed, *(bound for _, bound in named))
    answer = Answer(lower_bound=low)
    return Outcome(answer=answer, ending=Ending.IMPOSSIBLE, bounds=named, clash=clash)


def _at_limit(asked: _Asked, most: int | None) -> Outcome:
    """Ask for few stations at the limit, or for at most `most` of them."""
    seen, solver, watch = asked.seen, asked.solver, asked.watch
    limit = seen.limit or 0
    named = bounds.bounds(asked.told)
    low = max(bound for _, bound in named)
    windows = bounds.reach(seen).windows(limit) if asked.line.whole.forms else None
    needed, clash = stations_needed(asked.line, windows, most)
    if clash:
        return _ruled_out(asked.line.whole, most or 1, clash, needed)
    watch.station_bound(low)
    if most is not None and low > most:
        return Outcome(answer=Answer(lower_bound=low), ending=Ending.IMPOSSIBLE, bounds=named)
    answer = solver.fewest(seen, limit, low, watch, most)
    answer = replace(answer, lower_bound=max(low, answer.lower_bound))
    used = len(answer.stations)
    if not used:
        proved = answer.is_ruled_out or (most is not None and answer.lower_bound > most)
        ending = Ending.IMPOSSIBLE if proved else Ending.NOTHING_FOUND
    elif most is not None or used == answer.lower_bound:
        ending = Ending.OPTIMAL
    else:
        ending = Ending.FOUND
    return _outcome(answer, ending, named)


def _shortest_cycle(asked: _Asked, most: int) -> Outcome:
    seen, watch = asked.seen, asked.watch
    if clash := stations_needed(asked.line, None, most)[1]:
        return _ruled_out(asked.line.whole, most, clash)
    named = bounds.cycle_bounds(asked.told, most)
    low = max(bound for _, bound in named)
    watch.cycle_bound(low)
    answer = asked.solver.shortest(seen, most, low, None, watch)
    answer = replace(answer, lower_bound=max(low, answer.lower_bound))
    ending = _ending(answer.stations, seen.cycle_of(answer.stations), answer.lower_bound)
    if answer.is_ruled_out:
        ending = Ending.IMPOSSIBLE
    return _outcome(answer, ending, named)


def _best_efficiency(asked: _Asked, first: int, last: int) -> Outcome:
    """Ask for the smallest stations x cycle time over a range of stations.

    The number of stations that promises most is tried first; another one is asked only for
    cycle times that would be better.
    """
    seen, watch = asked.seen, asked.watch
    if clash := stations_needed(asked.line, None, last)[1]:
        return _ruled_out(asked.line.whole, last, clash)
    ready = bounds.reach(seen)
    low = {
        m: max(bound for _, bound in bounds.cycle_bounds(seen, m, ready))
        for m in range(first, last + 1)
        if not stations_needed(asked.line, None, m)[1]
    }
    named = tuple((count(m, "station"), m * cycle) for m, cycle in low.items())
    watch.cycle_bound(min(bound for _, bound in named))
    best, best_product, tried = Answer(), None, list[Answer]()
    promising = sorted(low, key=lambda m: (m * low[m], m))
    for at, m in enumerate(promising):
        high = None if best_product is None else (best_product - 1) // m
        if high is not None and high < low[m]:
            continue
        part = watch.part(1 / (len(promising) - at))
        answer = asked.solver.shortest(seen, m, low[m], high, part)
        tried.append(answer)
        low[m] = max(low[m], answer.lower_bound)
        if answer.stations:
            numbered = seen.forms.are_places
            best = replace(answer, stations=at_least(answer.stations, first, numbered=numbered))
            best_product = len(best.stations) * seen.cycle_of(best.stations)
    proven = min(m * cycle for m, cycle in low.items())
    best = replace(_together(best, tried), lower_bound=min(proven, best_product or proven))
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


def at_least(stations: Stations, fewest: int, *, numbered: bool = False) -> Stations:
    """Split stations of several tasks until there are at least `fewest`.

    Where limits name stations by their `numbered` place, empty ones at the end do instead.

    >>> at_least(((0, 1), (2,)), 3)
    ((0,), (1,), (2,))
    """
    split = list(stations)
    if numbered:
        split += [()] * (fewest - len(split))
    while len(split) < fewest:
        at = next((i for i, tasks in enumerate(split) if len(tasks) > 1), None)
        if at is None:
            break
        split[at : at + 1] = [split[at][:1], split[at][1:]]
    return tuple(split)


def _ending(stations: Stations, value: int, bound: int) -> Ending:
    if not stations:
        return Ending.NOTHING_FOUND
    return Ending.OPTIMAL if value <= bound else Ending.FOUND


def best_for_goal(results: Iterable[BalanceResult]) -> BalanceResult | None:
    """Return the best plan of answers to one goal, the first of equals; None: none has a plan."""

    def worth(result: BalanceResult) -> tuple[float, float]:
        stations, cycle = float(len(result.stations)), result.cycle_time
        if result.goal == Goal.BEST_EFFICIENCY:
            return stations * cycle, stations
        return (cycle, stations) if result.goal == Goal.SHORTEST_CYCLE else (stations, cycle)

    return min((each for each in results if each.has_plan), key=worth, default=None)
