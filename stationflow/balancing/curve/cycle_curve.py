"""The stations-against-cycle curve: for each number of stations the shortest cycle time.

A point is the shortest cycle time of at most so many stations, known or bracketed by a
proven lower bound and the best plan found. What is known of one point serves others
(`curve_frontier`), so that flat stretches close without search. The curve ends where more stations
shorten nothing: without limits where the cycle time equals the longest task. With limits it may
begin later, at the fewest stations of a plan.
"""

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from time import monotonic

from stationflow.balancing import bounds
from stationflow.balancing.balance_check import work_findings
from stationflow.balancing.curve.curve_frontier import Frontier
from stationflow.balancing.limits.clashes import find_clash
from stationflow.balancing.limits.contraction import Contraction, contracted
from stationflow.balancing.methods import METHODS
from stationflow.balancing.methods.method import (
    Options,
    Solver,
    Stations,
    Watch,
    engine_name,
    seen_by,
    turned_round,
)
from stationflow.balancing.methods.priority import PriorityRule, list_first_fit
from stationflow.balancing.methods.rules import by_positional_weight, by_time
from stationflow.balancing.problem import BalanceProblem, balance_problem
from stationflow.balancing.progress import Progress
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork, in_time_unit
from stationflow.model import CurvePoint, CurveSettings, CycleCurve
from stationflow.units import exact

QUICK_LIMITS = 5
"""Limits at which the rules try one number of stations, before any search."""
QUICK_SHARE = 0.3
"""Share of the whole time after which the rules leave the rest to the search."""
FIRST_ROUND_S = 1.0
LONGER = 8.0
"""Each round of search gives every open point so many times the seconds of the round before."""
MOST_EARLY = 2
"""A method that came back so often long before its time, with nothing, is not asked again."""


def cycle_curve(
    work: LineWork,
    settings: CurveSettings | None = None,
    progress: Progress | None = None,
    *,
    near: float | None = None,
) -> CycleCurve:
    """Return the shortest cycle time of each number of stations, as far as time allows.

    First every point gets its bounds and a quick plan. Then the method searches the points
    that are still open, in rounds of growing time, until all are proven or time is up.

    `near` is the limit of a station as demand sets it, in the time unit of the work: the points
    next to it are searched first. None: the point with the widest relative gap comes first.

    The curve has no points where no plan was found that keeps the limits of the line.

    Raises ValueError if the work cannot be balanced (`work_findings` says why), and RuntimeError
    if a method gave a plan that does not hold, or a bound above a plan.

    >>> work = LineWork(line="main", numbers=("10", "20", "30"), times=(30_000, 20_000, 25_000),
    ...                 predecessors=((), (0,), (1,)))
    >>> [(p.stations, p.cycle) for p in cycle_curve(work).points]
    [(1, 75.0), (2, 45.0), (3, 30.0)]
    """
    if stops := work_findings(work):
        raise ValueError(" ".join(finding.message for finding in stops))
    asked, told = settings or CurveSettings(), progress or Progress()
    info = METHODS[asked.method]
    line = contracted(balance_problem(work))
    if info.prepare is not None:
        info.prepare(told.on_prepare, limited=bool(line.whole.forms))
    started = monotonic()
    usual = Options()
    solver = info.make(
        Options(
            seconds=asked.seconds,
            seed=usual.seed if asked.seed is None else asked.seed,
            cores=asked.cores or usual.cores,
            memory_mb=asked.memory_mb or usual.memory_mb,
        )
    )
    search = _Search(
        work=work,
        line=seen_by(solver, line),
        progress=told,
        solver=solver,
        settings=asked,
        started=started,
        near=near,
    )
    if not find_clash(line, None):
        search.run()
    return CycleCurve(
        line=work.line,
        points=search.points(),
        tasks=len(work.numbers),
        work_content=work.total,
        longest=in_time_unit(work, max(work.times)),
        time_unit=work.time_unit,
        method=info.name,
        engine=engine_name(),
        runtime_s=monotonic() - started,
        keeps_limits=True,
    )


class _Stopped(Progress):
    """Lets a method hear that somebody wants to stop, and nothing else."""

    def __init__(self, is_over: Callable[[], bool]) -> None:
        self._is_over = is_over

    def should_stop(self) -> bool:
        return self._is_over()


@dataclass(kw_only=True)
class _Search:
    """One curve being made."""

    work: LineWork
    line: Contraction
    progress: Progress
    solver: Solver
    settings: CurveSettings
    started: float
    near: float | None
    problem: BalanceProblem = field(init=False)
    frontier: Frontier = field(init=False)
    _shown: dict[Stations, tuple[tuple[str, ...], ...]] = field(init=False, default_factory=dict)
    _early: Counter[int] = field(init=False, default_factory=Counter)

    def __post_init__(self) -> None:
        self.problem = self.line.problem
        self.frontier = Frontier(self.problem)

    def run(self) -> None:
        """Find the points, telling each as it comes."""
        self._tell()
        if self.problem.forms:
            self._try_rules_with_limits()
        self._bound_all()
        if not self.problem.forms:
            self._try_rules()
        self._ask_each(FIRST_ROUND_S)
        if not self.problem.forms.lags:
            self._ask_limits()
            return
        each = FIRST_ROUND_S  # a plan at one pace may not keep times between tasks at another
        while self._all_open() and self._allowed(LONGER * each) > self._allowed(each):
            each *= LONGER
            self._ask_each(each)

    def points(self) -> tuple[CurvePoint, ...]:
        return tuple(self._point(m) for m in self._all() if self.frontier.plans[m])

    def _bound_all(self) -> None:
        """Take the single bounds of every number of stations, most stations first."""
        ready = bounds.reach(self.problem)
        for m in range(1, self.frontier.last + 1):
            if self._is_over():
                return
            if not self.frontier.is_open(m):
                continue
            named = bounds.cycle_bounds(self.problem, m, ready)
            bound = max(bound for _, bound in named)
            self.frontier.take_bound(m, bound)
            self._tell()
            if not self.problem.forms and bound <= self.problem.longest:
                return  # with more stations no simple bound is higher

    def _try_rules(self) -> None:
        """Let rules fill stations at a few limits for each number of stations, all in turn.

        The first limit is the lower bound; then the gap between what failed and what is
        known is halved.
        """
        total, frontier = self.settings.seconds, self.frontier
        turned = self.problem.reversed()
        ways = [
            (seen, order(seen), seen is turned)
            for order in (by_positional_weight, by_time)
            for seen in (self.problem, turned)
        ]

        def fewest(limit: int, enough: int) -> Stations:
            best: Stations = ()
            for seen, order, is_turned in ways:
                found = list_first_fit(seen, order, limit).stations or ()
                if not best or len(found) < len(best):
                    best = turned_round(found) if is_turned else found
                if len(best) <= enough:
                    break
            return best

        began = monotonic()
        tried = dict.fromkeys(self._all_open(), 0)
        for turn in range(QUICK_LIMITS):
            for m in self._wanted(m for m in tried if frontier.is_open(m)):
                spent = monotonic() - began
                if self._is_over() or (total is not None and spent > QUICK_SHARE * total):
                    return
                low, high = max(frontier.low[m], tried[m]), frontier.cycles[m] - 1
                if low > high:
                    continue
                limit = low if not turn else (low + high) // 2
                found = fewest(limit, m)
                frontier.take_plan(found)
                if len(found) > m:
                    tried[m] = limit + 1
                self._tell()

    def _try_rules_with_limits(self) -> None:
        """Let a rule look for a short cycle of any number of stations, then of each."""
        rule, frontier = PriorityRule(by_positional_weight, steps=QUICK_LIMITS), self.frontier
        watch = self._watch(None).part(QUICK_SHARE)

        def ask(m: int) -> None:
            low, high = frontier.low[m], self._question(m)
            frontier.take_plan(rule.shortest(self.problem, m, low, high, watch).stations)
            self._tell()

        ask(frontier.most)
        for m in self._wanted(self._all_open()):
            if watch.is_over():
                return
            ask(m)

    def _ask_each(self, seconds: float) -> None:
        """Ask the method for the shortest cycle of each open point, for some seconds."""
        asked: set[int] = set()
        while waiting := [m for m in self._all_open() if m not in asked]:
            if self._is_over():
                return
            m = self._wanted(waiting)[0]
            asked.add(m)
            self._ask_shortest(m, self._allowed(seconds))
            self._tell()

    def _ask_limits(self) -> None:
        """Ask the method for the fewest stations just below the cycles of open points.

        Each answer serves all points it decides. The rounds have growing time.
        """
        each = LONGER * FIRST_ROUND_S
        while True:
            asked: set[int] = set()
            while waiting := [m for m in self._all_open() if self._is_worth_asking(m, asked)]:
                if self._is_over():
                    return
                m = self._wanted(waiting)[0]
                asked.add(self._question(m))
                self._ask_fewest(m, self._allowed(each))
                self._tell()
            if not asked or self._allowed(LONGER * each) == self._allowed(each):
                return  # nothing left to ask, or the next round would be no longer
            each *= LONGER

    def _allowed(self, seconds: float) -> float:
        most = self.settings.seconds_each
        return seconds if most is None else min(seconds, most)

    def _is_worth_asking(self, m: int, asked: set[int]) -> bool:
        """Return whether a point has a limit not asked yet, nor given up too often."""
        limit = self._question(m)
        return limit not in asked and self._early[limit] < MOST_EARLY

    def _question(self, m: int) -> int:
        """Return the limit that decides a point: just below the cycle known."""
        return self.frontier.cycles[m] - 1

    def _ask_shortest(self, m: int, seconds: float) -> None:
        """Ask the method for a cycle shorter than known, or the proof that there is none."""
        low, high = self.frontier.low[m], self._question(m)
        answer = self.solver.shortest(self.problem, m, low, high, self._watch(seconds))
        if answer.stations:
            self.frontier.take_plan(answer.stations)
        # A method may prove more than was asked: nothing up to `high` is all that is wanted.
        proven = answer.lower_bound if answer.stations else min(answer.lower_bound, high + 1)
        self.frontier.take_bound(m, high + 1 if answer.is_ruled_out else proven)

    def _ask_fewest(self, m: int, seconds: float) -> None:
        """Ask the method for the fewest stations at the limit that decides a point."""
        limit, frontier = self._question(m), self.frontier
        fewest = next(n for n in range(1, m + 1) if frontier.low[n] <= limit)
        began = monotonic()
        answer = self.solver.fewest(self.problem, limit, fewest, self._watch(seconds))
        is_early = monotonic() - began < seconds / 2
        if answer.stations:
            frontier.take_plan(answer.stations)
        proven = frontier.most + 1 if answer.is_ruled_out else answer.lower_bound
        if proven > fewest:
            frontier.take_bound(min(proven - 1, frontier.most), limit + 1)
        is_moved = not frontier.is_open(m) or self._question(m) != limit
        self._early[limit] += is_early and not is_moved and answer.lower_bound <= fewest

    def _all_open(self) -> list[int]:
        """Return the points to be searched; with limits any number of stations is one of them."""
        beyond = {self.frontier.most} if self.problem.forms else set[int]()
        return [m for m in sorted({*self._all(), *beyond}) if self.frontier.is_open(m)]

    def _all(self) -> range:
        return range(1, self.frontier.last + 1)

    def _wanted(self, stations: Iterable[int]) -> list[int]:
        """Return numbers of stations in the order in which they are worth the time."""
        low, cycles = self.frontier.low, self.frontier.cycles
        answer = self._answer()

        def worth(m: int) -> tuple[float, float]:
            # One station fewer than the answer first: whether it can be decides the demand.
            apart = 0.0 if answer is None else abs(m - answer + 0.75)
            return apart, -(cycles[m] - low[m]) / low[m]

        return sorted(stations, key=worth)

    def _answer(self) -> int | None:
        """Return the fewest stations known to keep the demand's limit; None: not asked."""
        if self.near is None:
            return None
        limit = int(exact(self.near) * self.work.ticks) // self.problem.scale
        kept = (m for m in range(1, self.frontier.last + 1) if self.frontier.cycles[m] <= limit)
        return next(kept, self.frontier.last)

    def _watch(self, seconds: float | None) -> Watch:
        """Return a watch that ends after some seconds, or with the whole curve."""
        ends = [] if seconds is None else [monotonic() + seconds]
        if self.settings.seconds is not None:
            ends.append(self.started + self.settings.seconds)
        progress = _Stopped(self.progress.should_stop)
        unit = self.work.ticks / self.problem.scale
        return Watch(progress, unit, min(ends, default=None))

    def _is_over(self) -> bool:
        return self._watch(None).is_over()

    def _tell(self) -> None:
        last = self.frontier.last
        for m in self.frontier.changes():
            if m <= last and self.frontier.plans[m]:
                self.progress.on_point(self._point(m))

    def _point(self, m: int) -> CurvePoint:
        frontier = self.frontier
        cycle, low = frontier.cycles[m], frontier.low[m]
        return CurvePoint(
            stations=m,
            cycle=in_time_unit(self.work, cycle * self.problem.scale),
            lower_bound=in_time_unit(self.work, low * self.problem.scale),
            plan=self._verified(frontier.plans[m], cycle, m),
        )

    def _verified(self, stations: Stations, cycle: int, most: int) -> tuple[tuple[str, ...], ...]:
        """Return a plan with task numbers; nothing leaves that does not hold."""
        if stations not in self._shown:
            whole = self.line.expanded(stations)
            named = tuple(tuple(self.work.numbers[at] for at in station) for station in whole)
            limit = in_time_unit(self.work, cycle * self.problem.scale)
            if broken := verify(self.work, named, limit=limit, most_stations=most):
                said = " ".join(f"{finding.where}: {finding.message}" for finding in broken)
                raise RuntimeError(f"a plan of {most} stations fails: {said}")
            self._shown[stations] = named
        return self._shown[stations]
