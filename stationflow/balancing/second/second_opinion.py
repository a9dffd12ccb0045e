"""A second, independent solver is asked whether an answer is right.

What an answer claims is taken apart into questions "can m stations do it at limit c",
and a general constraint solver is asked each of them. It shares no code with the
methods; the plan itself is checked by `verify`, which shares none either.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING
from importlib import metadata
from time import monotonic

from stationflow.balancing.problem import BalanceProblem, balance_problem
from stationflow.balancing.progress import Progress
from stationflow.balancing.second.constraint_model import Stations, Verdict, ask_solver
from stationflow.balancing.time_words import count
from stationflow.balancing.verify import LIMIT_CODES, verify
from stationflow.balancing.work import LineWork, in_time_unit
from stationflow.model import BalanceResult, Confirmation, Ending, Goal
from stationflow.units import exact

SECONDS = 60.0
"""Time limit of the second solver in seconds, unless told otherwise."""

Question = tuple[int, int]
"""Number of stations, and limit in whole units of the problem."""


def confirm(
    work: LineWork,
    result: BalanceResult,
    *,
    seconds: float = SECONDS,
    cores: int = 1,
    progress: Progress | None = None,
) -> Confirmation:
    """Ask a second solver whether an answer is right, `seconds` for all questions together.

    It is asked whether a plan better than what the answer calls proven exists: fewer stations than
    the bound, a shorter cycle, or a smaller stations x cycle time at any number of the range.
    Where the answer leaves open whether its plan is best, that is asked too, in the time left.
    "Possible or not" is asked just as it was.

    Raises ValueError if nothing was tried, so that there is nothing to confirm, and RuntimeError
    if the second solver's own plan does not hold, which is a mistake in its model.

    >>> from stationflow.balancing.balance import balance
    >>> from stationflow.model import BalanceSettings
    >>> work = LineWork(line="main", numbers=("10", "20", "30"), times=(30_000, 20_000, 25_000),
    ...                 predecessors=((), (0,), (1,)))
    >>> confirm(work, balance(work, BalanceSettings(method="exact", limit=50))).agrees
    True
    """
    if result.ending is None:
        raise ValueError("nothing was tried, so there is nothing to confirm")
    started = monotonic()
    work = work.pinned(result.asked.pins)
    claim = _claim(work, result, balance_problem(work, result.limit))
    version = metadata.version("ortools")
    agrees, said = _Hearing(work, claim, seconds, cores, progress or Progress()).outcome()
    return Confirmation(
        engine=f"ortools {version}",
        agrees=agrees,
        said=f"CP-SAT {'.'.join(version.split('.')[:2])} {said}",
        runtime_s=monotonic() - started,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Claim:
    """What an answer says, as questions to a solver."""

    problem: BalanceProblem  # the line
    proven: tuple[Question, ...] = ()  # must all be impossible for what the answer calls proven
    proven_words: str = ""  # the same in words: "no plan has fewer than 5 stations"
    # what the answer could not rule out; possible or not, it contradicts nothing
    open: tuple[Question, ...] = ()
    open_words: str = ""  # what is proven if all of those are impossible
    bound: int = 0  # the value that the answer calls proven: stations, or whole units of time
    # the answer says that this one is possible; None: it says no such thing
    possible: Question | None = None
    broken: str = ""  # what is wrong with the answer before any solver is asked; empty: nothing
    goal: Goal = Goal.FEWEST_STATIONS  # what was asked
    first: int = 1  # fewest stations of the range asked for


def _claim(work: LineWork, result: BalanceResult, problem: BalanceProblem) -> _Claim:
    if result.has_plan:
        stations = [station.tasks for station in result.stations]
        wrong = verify(work, stations, limit=result.limit, most_stations=result.asked.stations)
        is_bound_only = result.ending != Ending.OPTIMAL and LIMIT_CODES.issuperset(
            finding.code for finding in wrong
        )
        if wrong and not is_bound_only:
            return _Claim(problem=problem, broken=f"{wrong[0].where}: {wrong[0].message}")
        if wrong:  # of a method that does not keep limits entered: what it claims is its bound
            result = replace(result, assignment=None)
    if result.goal in (Goal.FEWEST_STATIONS, Goal.FEASIBLE):
        return _at_limit(work, result, problem)
    return _by_cycle(work, result, problem)


def _at_limit(work: LineWork, result: BalanceResult, problem: BalanceProblem) -> _Claim:
    """Return what an answer to "fewest stations", or "possible with so many", says."""
    limit, used, most = problem.limit or 0, len(result.stations), result.asked.stations
    question = (most or max(problem.most_stations, 1), limit)
    words = "no number of stations can do it"  # however many there are
    if most:
        words = (
            f"{count(most, 'station')} cannot do the work at {work.words.show(result.limit or 0)}"
        )
    if result.ending == Ending.IMPOSSIBLE:
        return _Claim(problem=problem, proven=(question,), proven_words=words)
    broken = _above_its_plan(result.proof.lower_bound, used if result.has_plan else None)
    if most and result.has_plan:
        return _Claim(problem=problem, possible=question, proven_words=words, broken=broken)
    bound = used if result.ending == Ending.OPTIMAL else round(result.proof.lower_bound)
    open_questions = (question,) if most else ((used - 1, limit),) if used > bound else ()
    return _Claim(
        problem=problem,
        proven=((bound - 1, limit),),
        proven_words=f"no plan has fewer than {count(bound, 'station')}",
        open=open_questions,
        open_words=words if most else f"no plan has fewer than {count(used, 'station')}",
        bound=bound,
        broken=broken,
    )


def _by_cycle(work: LineWork, result: BalanceResult, problem: BalanceProblem) -> _Claim:
    """Return what an answer to "shortest cycle" or "best efficiency" says.

    What is below the value (cycle time, or stations x cycle time) at any number of stations m of
    the range is a plan of at most m stations at a limit of (value - 1) / m.
    """
    last = min(result.asked.stations or 1, problem.most_stations)
    is_product = result.goal == Goal.BEST_EFFICIENCY
    first = min(result.asked.stations_from or 1, problem.most_stations) if is_product else last
    if result.ending == Ending.IMPOSSIBLE:
        return _Claim(
            problem=problem,
            proven=((last, max(problem.total, problem.longest)),),
            proven_words=f"no plan of {count(last, 'station')} keeps the limits of the line",
        )
    time_of = dict(zip(work.numbers, problem.times, strict=True))
    cycle = max((sum(time_of[n] for n in s.tasks) for s in result.stations), default=0)
    value = len(result.stations) * cycle if is_product else cycle
    ticks = exact(result.proof.lower_bound) * work.ticks
    units = -(-int(ticks.to_integral_value(rounding=ROUND_CEILING)) // problem.scale)
    bound = value if result.ending == Ending.OPTIMAL else units

    def below(units: int) -> tuple[Question, ...]:
        return tuple((m, (units - 1) // (m if is_product else 1)) for m in range(first, last + 1))

    def words(units: int) -> str:
        time = work.words.show(in_time_unit(work, units * problem.scale))
        if is_product:
            return f"no plan of {first} to {last} stations has stations x cycle time below {time}"
        return f"no plan of {count(last, 'station')} has a cycle time below {time}"

    most = in_time_unit(work, value * problem.scale) if result.has_plan else None
    return _Claim(
        problem=problem,
        proven=below(bound),
        proven_words=words(bound),
        open=below(value) if value > bound else (),
        open_words=words(value),
        bound=bound,
        broken=_above_its_plan(result.proof.lower_bound, most),
        goal=result.goal,
        first=first if is_product else 1,
    )


def _above_its_plan(bound: float, value: float | None) -> str:
    """Return what is wrong when a bound forbids the very plan it stands beside."""
    if value is None or bound <= value:
        return ""
    return f"Its bound is {bound:g}, but its own plan has {value:g}."


class _Hearing:
    """The questions of one answer put to the solver, within one time limit."""

    def __init__(
        self, work: LineWork, claim: _Claim, seconds: float, cores: int, progress: Progress
    ) -> None:
        self._work, self._claim = work, claim
        self._seconds, self._deadline = seconds, monotonic() + seconds
        self._cores, self._progress = cores, progress
        self._found: Stations = ()
        self._is_counted = True

    def outcome(self) -> tuple[bool | None, str]:
        """Return whether the solver agrees (None: it could not tell), and what it says."""
        claim = self._claim
        if claim.broken:
            return False, f"was not needed: the answer does not hold. {claim.broken}"
        if claim.possible is not None:
            return self._of_possible(claim.possible)
        rest = self._ask(claim.proven, share=0.5 if claim.open else 1.0)
        more = None
        if rest != Verdict.POSSIBLE and claim.open:
            more = self._ask(claim.open)
        if rest == Verdict.POSSIBLE or (more == Verdict.POSSIBLE and self._value() < claim.bound):
            return False, f"found {self._plan()}: please report this."
        if more == Verdict.IMPOSSIBLE:  # what is below the value includes what is below the bound
            return True, f"agrees, and proves more: {claim.open_words}."
        found = more == Verdict.POSSIBLE
        if rest == Verdict.IMPOSSIBLE:
            also = f" It found {self._plan()}, which is better." if found else ""
            if self._is_counted:
                return True, f"was not needed: counted anew, {claim.proven_words}.{also}"
            return True, f"agrees: {claim.proven_words}.{also}"
        also = f", but found {self._plan()}, which is better" if found else ""
        return None, f"{self._could_not(rest)}{also}."

    def _of_possible(self, question: Question) -> tuple[bool | None, str]:
        verdict = self._ask((question,))
        if verdict == Verdict.POSSIBLE:
            return True, f"agrees: it found {self._plan()} too."
        if verdict == Verdict.IMPOSSIBLE:
            return False, f"says that {self._claim.proven_words}: please report this."
        return None, f"{self._could_not(verdict)}; the plan itself holds."

    def _ask(self, questions: Sequence[Question], share: float = 1.0) -> Verdict:
        """Return what comes of questions that are all expected to be impossible.

        Each gets its part of the share of the time left.
        """
        started = monotonic()
        end = started + share * max(0.0, self._deadline - started)
        worst = Verdict.IMPOSSIBLE
        for asked, (stations, limit) in enumerate(questions):
            reply = ask_solver(
                self._claim.problem,
                stations,
                limit,
                seconds=max(0.0, end - monotonic()) / (len(questions) - asked),
                cores=self._cores,
                should_stop=self._progress.should_stop,
            )
            self._is_counted = self._is_counted and reply.is_counted
            if reply.verdict == Verdict.POSSIBLE:
                self._make_sure(reply.stations, stations, limit)
                return Verdict.POSSIBLE
            if reply.verdict != Verdict.IMPOSSIBLE:
                worst = reply.verdict
        return worst

    def _make_sure(self, stations: Stations, most: int, limit: int) -> None:
        work = self._work
        named = [[work.numbers[position] for position in station] for station in stations]
        at_most = in_time_unit(work, limit * self._claim.problem.scale)
        if broken := verify(work, named, limit=at_most, most_stations=most):
            raise RuntimeError(f"the second solver's plan fails: {broken[0].message}")
        self._found = stations

    def _value(self) -> int:
        """Return how good the plan found is by the goal, to be held against the bound."""
        if self._claim.goal == Goal.FEWEST_STATIONS:
            return self._used()
        return self._cycle() * (self._used() if self._claim.goal == Goal.BEST_EFFICIENCY else 1)

    def _used(self) -> int:
        """Return the stations of the plan found; split further where the range begins above."""
        return max(len(self._found), self._claim.first)

    def _cycle(self) -> int:
        times = self._claim.problem.times
        return max(sum(times[position] for position in station) for station in self._found)

    def _plan(self) -> str:
        said = f"a plan of {count(self._used(), 'station')}"
        if self._claim.goal == Goal.FEWEST_STATIONS:
            return said
        cycle = in_time_unit(self._work, self._cycle() * self._claim.problem.scale)
        return f"{said} with a cycle time of {self._work.words.show(cycle)}"

    def _could_not(self, why: Verdict) -> str:
        if why == Verdict.STOPPED:
            return "was stopped before it could tell"
        if why == Verdict.TOO_LARGE:
            return "could not tell: the model of this line is too large for it"
        return f"could not tell within {self._seconds:g} s"
