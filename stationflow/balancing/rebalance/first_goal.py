"""What is reached before upheaval counts: fewest stations, shortest cycle, or just possible."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import ceil
from time import monotonic

from stationflow.balancing.assignment import assignment
from stationflow.balancing.balance import balance
from stationflow.balancing.problem import BalanceProblem
from stationflow.balancing.progress import Progress
from stationflow.balancing.second.constraint_model import Reply, Stations, Verdict, ask_solver
from stationflow.balancing.time_words import count
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    DemandPace,
    Ending,
    Finding,
    Goal,
    Proof,
    error,
)
from stationflow.units import exact


@dataclass(frozen=True, slots=True)
class Reached:
    """What came of the first goal."""

    result: BalanceResult  # the balance that was asked for it; without a plan it says why
    plan: Stations = ()  # keeps all limits; empty: there is none
    is_proven: bool = False  # whether no plan reaches more
    # most, limit: stations, and whole units of time, of every plan that reaches the same
    most: int = 0
    limit: int = 0


def first_goal(
    work: LineWork,
    problem: BalanceProblem,
    asked: BalanceSettings,
    pace: DemandPace,
    seconds: float,
    progress: Progress,
) -> Reached:
    """Ask the exact method for the first goal, and a constraint solver where limits are open."""
    deadline = monotonic() + seconds
    result = balance(work, replace(asked, method="exact", seconds=seconds), progress, pace=pace)
    if result.ending in (None, Ending.IMPOSSIBLE):
        return Reached(result)
    plan = _holding(work, result)
    if not plan:
        tried = replace(asked, method="comsoal", seconds=None)
        plan = _holding(work, balance(work, tried, progress, pace=pace))
    hearing = _Hearing(work, problem, asked, deadline, progress.should_stop, plan)
    bound = result.proof.lower_bound
    if asked.goal == Goal.FEWEST_STATIONS:
        is_known = hearing.fewest(ceil(bound))
    elif asked.goal == Goal.SHORTEST_CYCLE:
        is_known = hearing.shortest(ceil(exact(bound) * work.ticks / problem.scale))
    else:
        is_known = hearing.possible()
    if not hearing.plan:
        ruled_out = (*result.findings, _limits_impossible(work, asked)) if is_known else ()
        ending = Ending.IMPOSSIBLE if is_known else Ending.NOTHING_FOUND
        proof = Proof(ending=ending, lower_bound=bound)
        findings = ruled_out or result.findings
        return Reached(replace(result, assignment=None, proof=proof, findings=findings))
    return Reached(
        result,
        hearing.plan,
        is_known,
        hearing.most or len(hearing.plan),
        hearing.cycle if problem.limit is None else problem.limit,
    )


def _limits_impossible(work: LineWork, asked: BalanceSettings) -> Finding:
    so_many = f"of at most {count(asked.stations, 'station')} " if asked.stations else ""
    message = f"No plan {so_many}keeps all limits entered; every one was ruled out."
    return error("line-impossible", f"Line {work.line}", message)


def _holding(work: LineWork, result: BalanceResult) -> Stations:
    """Return the positions at the stations of a plan that keeps all limits; else nothing."""
    named = [station.tasks for station in result.stations]
    broken = verify(work, named, limit=result.limit, most_stations=result.asked.stations)
    position = {number: at for at, number in enumerate(work.numbers)}
    return () if broken else tuple(tuple(position[n] for n in tasks) for tasks in named)


@dataclass(slots=True)
class _Hearing:
    """The questions to the solver where the exact method left something open.

    Each way of asking returns whether the answer is known: the plan is best, or there is none.
    """

    work: LineWork
    problem: BalanceProblem
    asked: BalanceSettings
    deadline: float
    should_stop: Callable[[], bool]
    plan: Stations

    @property
    def most(self) -> int:
        """The number of stations asked for, as far as any plan needs them; 0: none was."""
        return min(self.asked.stations or 0, self.problem.most_stations)

    @property
    def cycle(self) -> int:
        """The cycle time of the plan in whole units."""
        named = [[self.work.numbers[task] for task in tasks] for tasks in self.plan]
        held = assignment(self.work, enumerate(named, 1)).stations
        return -(-max(station.work_ticks for station in held) // self.problem.scale)

    def fewest(self, low: int) -> bool:
        """Ask for fewer and fewer stations, down to `low`, from below: the bound is near."""
        for stations in range(low, len(self.plan) or self.problem.most_stations + 1):
            verdict = self._ask(stations, self.problem.limit or 0)
            if verdict != Verdict.IMPOSSIBLE:
                return verdict == Verdict.POSSIBLE
        return True

    def shortest(self, low: int) -> bool:
        """Ask for a shorter and shorter cycle, by halves, down to `low`."""
        if not self.plan:
            verdict = self._ask(self.most, max(self.problem.total, 1))
            if verdict != Verdict.POSSIBLE:
                return verdict == Verdict.IMPOSSIBLE
        while low < self.cycle:
            middle = (low + self.cycle) // 2
            verdict = self._ask(self.most, middle)
            if verdict == Verdict.IMPOSSIBLE:
                low = middle + 1
            elif verdict != Verdict.POSSIBLE:
                return False
        return True

    def possible(self) -> bool:
        """Ask for any plan."""
        if self.plan:
            return True
        verdict = self._ask(self.most, self.problem.limit or 0)
        return verdict in (Verdict.POSSIBLE, Verdict.IMPOSSIBLE)

    def _ask(self, stations: int, limit: int) -> Verdict:
        """Ask one question and keep the plan."""
        reply: Reply = ask_solver(
            self.problem,
            stations,
            limit,
            seconds=max(0.0, self.deadline - monotonic()),
            should_stop=self.should_stop,
        )
        self.plan = reply.stations or self.plan
        return reply.verdict
