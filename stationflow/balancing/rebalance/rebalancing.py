"""From an old plan to a new limit, demand or changed tasks with the least upheaval.

First what a balance would be asked is reached: fewest stations at a limit, the shortest cycle of
a number of stations, or that number at a limit. Then, among all plans that reach the same, a
constraint solver looks for the one that turns over least, and proves it where it can.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from importlib import metadata
from time import monotonic

from stationflow.balancing.arrows import topological_order
from stationflow.balancing.assignment import assignment
from stationflow.balancing.balance import NO_PACE, line_at_pace, with_told
from stationflow.balancing.balance_check import work_findings
from stationflow.balancing.given_stations import GivenStation
from stationflow.balancing.impossible.explained_result import with_ways_out
from stationflow.balancing.limits.forms import ALL_FORMS
from stationflow.balancing.limits.not_kept import kept_limits
from stationflow.balancing.limits_findings import are_all_kept
from stationflow.balancing.methods.method import engine_name
from stationflow.balancing.problem import BalanceProblem, balance_problem
from stationflow.balancing.progress import Progress
from stationflow.balancing.rebalance.cut_over import CutOverStep, cut_over
from stationflow.balancing.rebalance.first_goal import Reached, first_goal
from stationflow.balancing.rebalance.old_plan import old_plan, old_plan_findings
from stationflow.balancing.rebalance.stretches import Places, improved, moves_bound
from stationflow.balancing.rebalance.upheaval import Belongings, Turnover, belongings
from stationflow.balancing.rebalance.upheaval_model import LeastUpheaval
from stationflow.balancing.second.constraint_model import Reply, Stations, Verdict, ask_solver
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork, in_time_unit
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    DemandPace,
    Effort,
    Ending,
    Goal,
    Move,
    Product,
    Proof,
    Rebalanced,
    Stopped,
    Upheaval,
    by_severity,
    has_errors,
)
from stationflow.model.plan import MOVES_ALONE, REBALANCE

SECONDS = 60.0
"""Time limit in seconds, unless told otherwise."""

WHOLE_SHARE, LARGE_SHARE, LARGE = 0.3, 0.05, 4000
"""Share of the time left in which the whole line is asked for first, and that of a line with so
many tasks x stations, where it seldom helps."""

FIRST_SHARE = 0.5
"""Most of the time that the first goal may take."""


def rebalance(
    work: LineWork,
    given: Sequence[GivenStation],
    asked: BalanceSettings,
    progress: Progress | None = None,
    *,
    pace: DemandPace = NO_PACE,
    having: Belongings | None = None,
    weights: Upheaval = MOVES_ALONE,
) -> BalanceResult:
    """Return the plan of a line that turns over least from the old plan `given`.

    Of `asked` limit, stations, seconds and pins count: with a limit alone the stations are fewest,
    with a number of stations alone the cycle is shortest, with both nothing but the upheaval is
    least.
    With neither `pace` sets the limit. `having` is what tasks bring along, `weights` what one
    move, one tool, one skill, one card weighs.

    Raises ValueError if there is neither limit nor number of stations.

    >>> work = LineWork(line="main", numbers=("10", "20", "30"), times=(30_000, 20_000, 25_000),
    ...                 predecessors=((), (0,), (1,)))
    >>> old = [GivenStation(1, ("10",)), GivenStation(2, ("20",)), GivenStation(3, ("30",))]
    >>> made = rebalance(work, old, BalanceSettings(limit=50)).rebalanced
    >>> made.was, made.moves, made.is_least
    ((1, 3), (Move(task='20', old=2, new=1),), True)
    """
    started = monotonic()
    seconds = asked.seconds or SECONDS
    asked = BalanceSettings(
        method=REBALANCE,
        limit=asked.limit,
        stations=asked.stations,
        seconds=seconds,
        pins=asked.pins,
    )
    limit = pace.station_time if asked.limit is None else asked.limit
    if limit is None and asked.stations is None:
        raise ValueError("give a limit, a number of stations, or both")
    work = work.pinned(asked.pins)
    empty = BalanceResult(
        line=work.line, asked=asked, pace=pace, time_unit=work.time_unit, ticks=work.ticks
    )
    stops = work_findings(work)
    told = stops or old_plan_findings(work, given)
    if has_errors(told):
        return replace(empty, findings=told)
    old = old_plan(work, given)
    problem = balance_problem(work, limit)
    first = first_goal(work, problem, asked, pace, FIRST_SHARE * seconds, progress or Progress())
    if not first.plan:
        of_first = first.result
        effort = replace(of_first.effort, runtime_s=monotonic() - started)
        said = (*of_first.findings, *told)
        refused = replace(empty, proof=of_first.proof, effort=effort, findings=said)
        return with_ways_out(work, refused)
    turnover = Turnover(old, having or belongings(work, None), weights)
    search = _Search(work, problem, turnover, first, started + seconds, progress or Progress())
    made = search.result(empty)
    effort = replace(made.effort, runtime_s=monotonic() - started)
    return replace(made, effort=effort, findings=told)


def rebalance_product(
    product: Product,
    line: str,
    given: Sequence[GivenStation],
    asked: BalanceSettings,
    progress: Progress | None = None,
    weights: Upheaval = MOVES_ALONE,
) -> BalanceResult:
    """Rebalance one line of a product; with neither limit nor stations, at the line's own pace."""
    is_at_pace = asked.limit is None and asked.stations is None
    work, pace, findings = line_at_pace(product, line, is_at_pace=is_at_pace)
    asked = replace(asked, method=REBALANCE)
    if work is None or has_errors(findings) or (is_at_pace and pace.station_time is None):
        return BalanceResult(line=line, asked=asked, pace=pace, findings=by_severity(findings))
    having = belongings(work, product)
    made = rebalance(work, given, asked, progress, pace=pace, having=having, weights=weights)
    return with_told(product, made, findings)


def cut_over_steps(
    work: LineWork, given: Sequence[GivenStation], made: BalanceResult, product: Product | None
) -> tuple[CutOverStep, ...]:
    """Return the steps from the old plan `given` to the plan made from it, in order."""
    if made.rebalanced is None:
        return ()
    old, position = old_plan(work, given), {n: at for at, n in enumerate(work.numbers)}
    place = {number: at for at, number in enumerate(old.numbers)}
    return cut_over(
        work,
        old,
        [[position[number] for number in station.tasks] for station in made.stations],
        tuple(None if was is None else place[was] for was in made.rebalanced.was),
        belongings(work, product),
        int((made.limit or made.cycle_time) * work.ticks),
    )


@dataclass(frozen=True, slots=True)
class _Search:
    """The search for the least upheaval among the plans that reach the first goal."""

    work: LineWork
    problem: BalanceProblem
    turnover: Turnover
    first: Reached
    deadline: float
    progress: Progress

    def result(self, empty: BalanceResult) -> BalanceResult:
        """Return the plan that was found, verified."""
        best, engine = self.first.plan, engine_name()
        reply = Reply(Verdict.POSSIBLE, is_least=True)
        kept = self._kept_plan()
        if kept and not self._upheaval(kept):
            best = kept
        else:
            best = min((plan for plan in (kept, best) if plan), key=self._upheaval)
            reply, best = self._found(best)
            engine = f"cp-sat {metadata.version('ortools')}"
        is_least = reply.is_least and self.first.is_proven
        made = self._rebalanced(best, reply.least, is_least=is_least)
        all_kept = are_all_kept(self.work.limits, ALL_FORMS)
        is_stopped = not is_least and self.progress.should_stop()
        why_stopped = Stopped.REQUEST if is_stopped else None if is_least else Stopped.TIME
        of_first = self.first.result.proof
        return replace(
            empty,
            assignment=assignment(self.work, enumerate(self._named(best), 1)),
            rebalanced=made,
            proof=Proof(
                ending=Ending.OPTIMAL if is_least and all_kept else Ending.FOUND,
                lower_bound=self._proven_first(of_first.lower_bound, len(best)),
                bounds=of_first.bounds,
                limits_kept=kept_limits(self.work.limits, ALL_FORMS),
                stopped=why_stopped,
            ),
            effort=Effort(engine=engine),
        )

    def _proven_first(self, bound: float, stations: int) -> float:
        """Return what is proven of the first goal, which the solver may have raised."""
        first = self.first
        if not first.is_proven or first.result.goal == Goal.FEASIBLE:
            return bound
        if self.problem.limit is not None:
            return float(stations)
        return in_time_unit(self.work, first.limit * self.problem.scale)

    def _kept_plan(self) -> Stations:
        """Return the old plan without its empty stations, if it will do as it is; else nothing."""
        if self.turnover.old.added:
            return ()
        kept = tuple(tasks for tasks in self.turnover.old.held if tasks)
        return kept if self._holds(kept) else ()

    def _found(self, best: Stations) -> tuple[Reply, Stations]:
        """Return what is known of the least upheaval, and the best plan.

        The line is asked for as a whole, where that takes long by stretches, and then once more.
        """
        by_counting = self.turnover.weights.moves * moves_bound(
            self.problem, self.turnover.old, self.first.most, self.first.limit
        )
        reply = Reply(Verdict.OUT_OF_TIME, least=by_counting)
        is_large = self.problem.size * self.first.most > LARGE
        for share in (LARGE_SHARE if is_large else WHOLE_SHARE, 1.0):
            whole = self._asked(best, share * (self.deadline - monotonic()))
            if whole.stations:
                best = min(best, self._tidy(whole.stations), key=self._upheaval)
            least = max(reply.least, whole.least)
            reply = replace(whole, least=least, is_least=least >= self._upheaval(best))
            if reply.is_least or self.progress.should_stop():
                break
            if share < 1:
                best = self._by_stretches(best)
        return reply, best

    def _asked(self, best: Stations, seconds: float, places: Places | None = None) -> Reply:
        """Ask the solver for a plan with less upheaval than the best so far."""
        reply = ask_solver(
            self.problem,
            self.first.most,
            self.first.limit,
            seconds=max(0.0, seconds),
            should_stop=self.progress.should_stop,
            wish=LeastUpheaval(self.turnover, best),
            open_places=places,
        )
        if reply.verdict == Verdict.IMPOSSIBLE and places is None:
            raise RuntimeError("the solver rules out a plan that holds")
        return reply

    def _by_stretches(self, best: Stations) -> Stations:
        def ask(plan: Stations, places: Places, seconds: float) -> Stations:
            found = self._asked(plan, seconds, places).stations
            return self._tidy(found) if found else ()

        most, is_over = self.first.most, self.progress.should_stop
        return improved(best, most, self.deadline, ask, self._upheaval, is_over)

    def _tidy(self, stations: Stations) -> Stations:
        """Return a plan in the order of the old one, without empty stations, where that holds.

        Raises RuntimeError if the plan itself does not hold, which is a mistake in the model.
        """
        used = tuple(tasks for tasks in stations if tasks)
        for plan in (used, stations):
            for each in (self._in_old_order(plan), plan):
                if self._holds(each):
                    return each
        raise RuntimeError("the solver gave a plan that fails")

    def _in_old_order(self, stations: Stations) -> Stations:
        """Return each station with its tasks in the order they had, as far as arrows let them."""
        place = {task: at for tasks in self.turnover.old.held for at, task in enumerate(tasks)}
        was, station_of = self.turnover.was(stations), self.turnover.old.station_of

        def ordered(tasks: Sequence[int], at: int | None) -> tuple[int, ...]:
            stay = [task for task in tasks if at is not None and station_of[task] == at]
            rows = sorted(stay, key=place.__getitem__) + sorted(set(tasks) - set(stay))
            here = {task: row for row, task in enumerate(rows)}
            arrows = [[here[b] for b in self.problem.predecessors[t] if b in here] for t in rows]
            return tuple(rows[row] for row in topological_order(arrows))

        return tuple(map(ordered, stations, was))

    def _holds(self, stations: Stations) -> bool:
        limit = in_time_unit(self.work, self.first.limit * self.problem.scale)
        named = self._named(stations)
        return not verify(self.work, named, limit=limit, most_stations=self.first.most)

    def _named(self, stations: Stations) -> list[list[str]]:
        return [[self.work.numbers[task] for task in tasks] for tasks in stations]

    def _upheaval(self, stations: Stations) -> int:
        turnover = self.turnover
        return turnover.counted(stations, turnover.was(stations)).weighed(turnover.weights)

    def _rebalanced(self, stations: Stations, least: int, *, is_least: bool) -> Rebalanced:
        turnover, old, numbers = self.turnover, self.turnover.old, self.work.numbers
        was = turnover.was(stations)
        moves = []
        for k, (tasks, at) in enumerate(zip(stations, was, strict=True), 1):
            for task in tasks:
                before = old.station_of[task]
                if before is not None and before != at:
                    moves.append((task, Move(task=numbers[task], old=old.numbers[before], new=k)))
        upheaval = turnover.counted(stations, was)
        return Rebalanced(
            was=tuple(None if at is None else old.numbers[at] for at in was),
            moves=tuple(move for _, move in sorted(moves, key=lambda each: each[0])),
            closed=tuple(n for at, n in enumerate(old.numbers) if at not in was),
            added=tuple(numbers[task] for task in old.added),
            gone=tuple(number for row in old.gone for number in row),
            upheaval=upheaval,
            weights=turnover.weights,
            least=upheaval.weighed(turnover.weights) if is_least else least,
            is_least=is_least,
        )
