"""Easy lines: where a plan made in a moment meets a bound, nothing has to be searched.

The rules fill stations, then each station is filled as full as a few tries get it
(Hoffmann 1963), from both ends of the line. It needs nothing that takes time to load.

References
----------
.. [1] Hoffmann, T. R. (1963). "Assembly line balancing with a precedence matrix".
   Management Science 9(4), 551-562.
"""

from collections.abc import Iterator
from dataclasses import replace
from math import inf
from typing import ClassVar

from stationflow.balancing.arrows import SMALL
from stationflow.balancing.limits.station_filling import keeps_all
from stationflow.balancing.methods.method import Answer, Stations, Watch, turned_round
from stationflow.balancing.methods.priority import list_first_fit
from stationflow.balancing.methods.rules import (
    by_followers,
    by_positional_weight,
    by_time,
    positional_weights,
)
from stationflow.balancing.problem import BalanceProblem

RULES = (by_positional_weight, by_time, by_followers)
FILLINGS = ((0.0, 0.0), (0.0, 0.02), (0.005, 0.01))
"""Worth of a task at its station besides its time: share of its positional weight, less a
share of the limit for each task (Sewell and Jacobson 2012)."""
LOADS = 50
"""Loads tried at a station: twice as many fill hardly any line better."""


class EasyLines:
    """Answers that are proven at once; any other is empty."""

    takes_groups: ClassVar[bool] = False

    def fewest(
        self, problem: BalanceProblem, limit: int, low: int, watch: Watch, most: int | None = None
    ) -> Answer:
        """Return a plan of as many stations as the bound, or of at most `most`."""
        enough = low if most is None else most
        for plan in _plans(problem, limit, enough):
            if len(plan) <= enough:
                return Answer(stations=plan, lower_bound=low)
        return Answer(lower_bound=low)

    def shortest(
        self, problem: BalanceProblem, most: int, low: int, high: int | None, watch: Watch
    ) -> Answer:
        """Return a plan at the bound itself."""
        return replace(self.fewest(problem, low, 1, watch, most), lower_bound=low)


def _plans(problem: BalanceProblem, limit: int, most: int) -> Iterator[Stations]:
    """Yield plans at a limit that keep all that the problem asks for, quickest first."""
    if problem.size > SMALL:
        return
    if problem.forms:
        for rule in RULES[:2]:
            plan = list_first_fit(problem, rule(problem), limit, most).stations
            if plan and keeps_all(problem, plan, limit):
                yield plan
        return
    if problem.longest > limit:
        return
    turned = problem.reversed()
    for rule in RULES:
        yield list_first_fit(problem, rule(problem), limit).stations or ()
        yield turned_round(list_first_fit(turned, rule(turned), limit).stations or ())
    for positional, each in FILLINGS:
        yield filled(problem, limit, positional, each)
        yield turned_round(filled(turned, limit, positional, each))


def filled(problem: BalanceProblem, limit: int, positional: float, each: float) -> Stations:
    """Fill each station with the best of some loads, listed depth first.

    A task is worth its time and a share of its positional weight, less a share of the limit.
    """
    weights = positional_weights(problem)
    worth = [t + positional * w - each * limit for t, w in zip(problem.times, weights, strict=True)]
    times, successors = problem.times, problem.successors
    waits = [len(row) for row in problem.predecessors]
    free = [task for task in range(problem.size) if not waits[task]]
    free.sort(key=lambda task: -weights[task])
    chosen: list[int] = []
    best: list[int] = []
    best_worth, tried = 0.0, 0

    def take(task: int) -> None:
        for after in successors[task]:
            waits[after] -= 1
            if not waits[after]:
                free.append(after)

    def fill(start: int, left: int, value: float) -> None:
        nonlocal best, best_worth, tried
        has_grown = False
        for at in range(start, len(free)):
            task = free[at]
            if times[task] > left:
                continue
            has_grown = True
            known = len(free)
            chosen.append(task)
            take(task)
            fill(at + 1, left - times[task], value + worth[task])
            del free[known:]
            for after in successors[task]:
                waits[after] += 1
            chosen.pop()
            if tried >= LOADS:
                return
        if not has_grown:
            tried += 1
            if value > best_worth:
                best, best_worth = list(chosen), value

    stations = []
    while free:
        best, best_worth, tried = [], -inf, 0
        fill(0, limit, 0.0)
        stations.append(tuple(best))
        for task in best:
            take(task)
        free = sorted(set(free).difference(best), key=lambda task: -weights[task])
    return tuple(stations)
