"""Whether a line can be done at all: by the rules, by counting, then by a constraint solver."""

from collections.abc import Collection
from dataclasses import dataclass, field, replace
from time import monotonic

from stationflow.balancing.arrows import turned
from stationflow.balancing.goals import reach_goal
from stationflow.balancing.limits.forms import forms_in
from stationflow.balancing.methods.method import Watch
from stationflow.balancing.methods.priority import PriorityRule
from stationflow.balancing.methods.rules import by_positional_weight
from stationflow.balancing.problem import BalanceProblem, balance_problem
from stationflow.balancing.second.constraint_model import Verdict, ask_solver
from stationflow.balancing.work import LineWork
from stationflow.model import BalanceSettings, Direction, Ending

RULE = PriorityRule(by_positional_weight, Direction.FORWARDS, again=1)
QUESTION_S = 5.0  # of one question to the solver


@dataclass(frozen=True, slots=True, kw_only=True)
class LineQuestion:
    """Can the work of a line be done at a limit by so many stations? None: any will do."""

    work: LineWork
    limit: float | None
    stations: int | None

    def problem(self) -> BalanceProblem:
        """Return the problem for the machine."""
        return balance_problem(self.work, self.limit)


@dataclass(slots=True)
class Asking:
    """Answers questions until its time is up; an answer is given once only."""

    deadline: float
    known: dict[object, bool | None] = field(default_factory=dict)

    def is_possible(self, question: LineQuestion) -> bool | None:
        """Return whether a line can be done; None: not known."""
        return self.can(question.problem(), question.stations)

    def can(self, problem: BalanceProblem, stations: int | None) -> bool | None:
        """Return whether a problem can be done by so many stations; None: not known."""
        key = (problem, stations)
        if key not in self.known and not self.is_over():
            self.known[key] = self._asked(problem, stations)
        return self.known.get(key)

    @property
    def is_all_known(self) -> bool:
        """Whether every question had an answer in time."""
        return not self.is_over() and None not in self.known.values()

    def is_over(self) -> bool:
        """Return whether the time is up."""
        return monotonic() >= self.deadline

    def _asked(self, problem: BalanceProblem, stations: int | None) -> bool | None:
        most = problem.most_stations if stations is None else stations
        if problem.limit is None:
            problem = replace(problem, limit=_all_work(problem))
        limit = problem.limit or 0
        least = problem.least_times
        if limit < max(least, default=0) or sum(least) > most * limit:
            return False
        settings = BalanceSettings(limit=limit, stations=most)
        outcome = reach_goal(problem, settings, RULE, Watch())
        if outcome.ending == Ending.IMPOSSIBLE:
            return False
        if outcome.answer.stations:
            return True
        seconds = min(QUESTION_S, max(0.0, self.deadline - monotonic()))
        verdict = ask_solver(problem, most, limit, seconds=seconds).verdict
        decided = {Verdict.POSSIBLE: True, Verdict.IMPOSSIBLE: False}
        return decided.get(verdict)


def _all_work(problem: BalanceProblem) -> int:
    """Return a limit that no station can exceed."""
    longest = list(problem.times)
    for form in problem.forms.times:
        longest[form.task] = max(longest[form.task], form.time)
    turns = sum(form.time * len(form.kinds) for form in problem.forms.turns)
    return max(sum(longest) + turns, 1)


def with_arrows(problem: BalanceProblem, arrows: Collection[tuple[int, int]]) -> BalanceProblem:
    """Return a problem with these arrows only, each from the task before to the one after."""
    rows: list[list[int]] = [[] for _ in range(problem.size)]
    for before, after in arrows:
        rows[after].append(before)
    predecessors = tuple(tuple(row) for row in rows)
    return replace(problem, predecessors=predecessors, successors=turned(predecessors))


def without_forms(problem: BalanceProblem, gone: Collection[object]) -> BalanceProblem:
    """Return a problem without some of its limits."""
    return replace(problem, forms=forms_in(form for form in problem.forms if form not in gone))
