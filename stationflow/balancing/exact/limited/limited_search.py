"""The goals of a line with limits, as questions to its search."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from stationflow.balancing.exact.limited.limited_hunt import Question, Seen
from stationflow.balancing.exact.limited.restrictions import in_use, joined
from stationflow.balancing.limits.contraction import Contraction
from stationflow.balancing.limits.station_filling import keeps_all
from stationflow.balancing.methods.method import Answer
from stationflow.balancing.methods.priority import AGAIN, list_first_fit, smallest_limit
from stationflow.balancing.methods.rules import by_column, by_positional_weight, by_time
from stationflow.model import Stopped

if TYPE_CHECKING:
    from collections.abc import Callable

    from stationflow.balancing.exact.hunt import Means
    from stationflow.balancing.methods.method import Stations, Watch
    from stationflow.balancing.problem import BalanceProblem

RULE_SHARE = 0.2
"""Share of the time after which no further rule is tried for a first plan."""
RULE_STEPS = 8
"""Limits at which a rule is tried for a first plan before the rest is halved."""
PATIENCE = 12
"""Steps until the question from above is asked for more stations."""
STEPS = 6
"""Steps of a question for each cycle time, while they are halved."""


@dataclass(slots=True)
class Effort:
    """What was done, and what ends it."""

    means: Means
    watch: Watch
    most_nodes: int | None = None  # most partial plans to be looked at; None: no limit
    nodes: int = 0
    peak_bytes: int = 0

    def count(self, question: Question | None) -> None:
        """Add a question that is not gone on with."""
        if question is not None:
            self.nodes += question.nodes
            self.peak_bytes = max(self.peak_bytes, question.peak_bytes)

    def stopped(self, *asked: Question | None) -> Stopped | None:
        """Return why questions cannot be gone on with, or None."""
        if reason := self.watch.stopped:
            return reason
        open_ones = [question for question in asked if question is not None]
        nodes = self.nodes + sum(question.nodes for question in open_ones)
        if self.most_nodes is not None and nodes >= self.most_nodes:
            return Stopped.NODES
        if open_ones and all(question.is_full for question in open_ones):
            return Stopped.MEMORY
        return None


@dataclass(slots=True)
class FewestStations:
    """The search for a plan of few stations at a limit of time.

    From below it is asked whether as many stations as the bound will do, from above whether
    some more will, fewer than the best; the two meet. If that finds nothing for a while, more
    stations are allowed: a line of few is searched faster.
    """

    problem: BalanceProblem  # without groups
    limit: int
    lower: int  # no plan has fewer stations
    upper: int  # only plans of fewer stations are looked for
    effort: Effort
    best: Stations = ()

    def to_the_end(self, tell: Callable[[], None]) -> Stopped | None:
        """Search until bound and best meet; return what stopped it before, if anything."""
        below: Question | None = None
        above: Question | None = None
        turn, patience, reach = 0, PATIENCE, max(2, self.lower // 8)
        while self.lower < self.upper:
            if below is None or below.seen.stations < self.lower:
                self.effort.count(below)
                below = self._asked(self.lower)
            is_apart = self.upper - 1 > self.lower
            is_late = above is not None and turn >= patience
            if is_apart and (above is None or is_late or not self._is_above(above)):
                reach *= 1 + is_late
                most = min(self.upper - 1, self.lower + reach)
                if above is None or above.seen.stations != most:
                    self.effort.count(above)
                    above = self._asked(most)
                patience = turn + PATIENCE
            asked = above if is_apart and above is not None and turn % 2 else below
            if asked.is_full:
                asked = below if asked is above else above or below
            turn += 1
            if not asked.is_closed:
                if reason := self.effort.stopped(below, above if is_apart else None):
                    self.effort.count(below)
                    self.effort.count(above)
                    return reason
                asked.step()
            if asked.plan:
                self.best = in_use(self.problem, asked.plan)
                self.upper = len(self.best)
            elif asked.is_closed:
                self.lower = asked.seen.stations + 1
            tell()
        self.effort.count(below)
        self.effort.count(above)
        return None

    def _is_above(self, question: Question) -> bool:
        return self.lower < question.seen.stations < self.upper

    def _asked(self, stations: int) -> Question:
        return Question(Seen(self.problem, stations), self.limit, self.effort.means)


@dataclass(slots=True)
class ShortestLimit:
    """The search for the smallest limit at which so many stations can do the work.

    First the limits between bound and best plan are halved, with little effort each; then all
    effort goes to the limit just below that of the best plan.
    """

    problem: BalanceProblem  # without groups
    stations: int
    lower: int  # at no smaller limit there is a plan
    upper: int  # only plans at smaller limits are looked for
    effort: Effort
    best: Stations = ()
    _seen: Seen = field(init=False)

    def __post_init__(self) -> None:
        """See the line from both ends."""
        self._seen = Seen(self.problem, self.stations)

    def to_the_end(self, tell: Callable[[], None]) -> Stopped | None:
        """Search until bound and best meet; return what stopped it before, if anything."""
        low, steps = self.lower, STEPS
        while self.lower < self.upper:
            if low >= self.upper:  # halved to the end: now the last is decided
                low, steps = self.upper - 1, 0
            middle = (low + self.upper) // 2
            asked = Question(self._seen, middle, self.effort.means)
            done = 0
            while not asked.is_closed and (not steps or done < steps):
                if reason := self.effort.stopped(asked):
                    self.effort.count(asked)
                    return reason
                asked.step()
                done += 1
            self.effort.count(asked)
            if asked.plan:
                self.best = in_use(self.problem, asked.plan)
                self.upper = self.problem.cycle_of(asked.plan)
            elif asked.is_closed:
                self.lower = middle + 1
            low = max(low, self.lower) if asked.plan else middle + 1
            tell()
        return None


def few_stations(
    problem: BalanceProblem, limit: int, low: int, effort: Effort, most: int | None
) -> Answer:
    """Return a plan of few stations that keeps all limits, or one of at most `most`, with proof."""
    line = joined(problem)
    above_all = problem.most_stations + 1
    if line is None:
        return Answer(lower_bound=above_all if most is None else most + 1, is_ruled_out=True)
    watch = effort.watch
    best: Stations = ()
    rules = watch.part(RULE_SHARE)
    for rule in (by_positional_weight, by_time, by_column):
        found = list_first_fit(line.problem, rule(line.problem), limit, most, AGAIN).stations
        if found and keeps_all(line.problem, found, limit):
            best = found
        if best or rules.is_over():
            break
    if most is not None:
        if best:
            return Answer(stations=line.expanded(best), lower_bound=low)
        low, above_all = max(low, most), most + 1
    search = FewestStations(
        line.problem, limit, low, len(best) if best else above_all, effort, best
    )
    told = [above_all, low]

    def tell() -> None:
        if search.best and search.upper < told[0]:
            told[0] = search.upper
            watch.better(search.upper, limit)
        if search.lower > told[1]:
            told[1] = search.lower
            watch.station_bound(search.lower)

    tell()
    stopped = search.to_the_end(tell)
    return _answer(line, effort, search.best, search.lower, stopped)


def short_cycle(
    problem: BalanceProblem, most: int, low: int, high: int | None, effort: Effort
) -> Answer:
    """Return a plan of at most `most` stations at a small limit that keeps all limits."""
    line = joined(problem)
    if line is None:
        return Answer(lower_bound=low, is_ruled_out=True)
    watch = effort.watch
    upper = line.problem.ample_limit + 1 if high is None else high + 1
    search = ShortestLimit(line.problem, most, max(low, 1), upper, effort)
    order = by_positional_weight(line.problem)
    found = smallest_limit(line.problem, order, most, low, upper - 1, watch, RULE_STEPS).stations
    if found and keeps_all(line.problem, found):
        search.best, search.upper = found, line.problem.cycle_of(found)
    told = [upper, low]

    def tell() -> None:
        if search.best and search.upper < told[0]:
            told[0] = search.upper
            watch.better(len(search.best), search.upper)
        if search.lower > told[1]:
            told[1] = search.lower
            watch.cycle_bound(search.lower)

    tell()
    stopped = search.to_the_end(tell)
    answer = _answer(line, effort, search.best, min(search.lower, search.upper), stopped)
    return answer if high is None else replace(answer, is_ruled_out=False)


def _answer(
    line: Contraction, effort: Effort, best: Stations, lower: int, stopped: Stopped | None
) -> Answer:
    return Answer(
        stations=line.expanded(best),
        lower_bound=lower,
        is_ruled_out=stopped is None and not best,
        nodes=effort.nodes,
        memory_mb=effort.peak_bytes / 2**20,
        stopped=stopped,
    )
