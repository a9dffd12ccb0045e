"""Second goals: of all plans as good as the one found the smoothest, or of cheapest equipment.

They are asked for one after the other; what an earlier one reached is kept by those after it.
A constraint solver looks for the plan and proves that none has less, as far as its time goes.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from importlib.metadata import version
from math import sqrt
from time import monotonic
from typing import Any

from stationflow.balancing.assignment import assignment
from stationflow.balancing.limits.forms import SolverModel
from stationflow.balancing.methods.method import engine_name, loads
from stationflow.balancing.problem import BalanceProblem
from stationflow.balancing.second.constraint_model import Stations, Verdict, ask_solver
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork
from stationflow.model import BalanceResult
from stationflow.model.plan import FinerGoal, Reached

FINER_S = 20.0
"""So long, in seconds, a second goal is looked for where no time limit is given."""


def with_finer_goals(
    work: LineWork, result: BalanceResult, problem: BalanceProblem, stop: Callable[[], bool]
) -> BalanceResult:
    """Return a result with the plan that is best for its second goals too.

    As many stations, and no longer a limit or cycle time than before.
    """
    if not result.asked.then or not result.has_plan:
        return result
    started = monotonic()
    position = {number: at for at, number in enumerate(work.numbers)}
    best: Stations = tuple(tuple(position[t] for t in s.tasks) for s in result.stations)
    limit = problem.limit
    if limit is None or (result.asked.limit is None and result.pace.station_time is None):
        limit = max(loads(problem, best), default=0)
    asked = result.asked.seconds
    whole = FINER_S if asked is None else max(0.0, asked - result.effort.runtime_s)
    seconds = whole / len(result.asked.then)
    reached: list[Reached] = []
    kept: list[tuple[FinerGoal, int]] = []
    for goal in result.asked.then:
        wish = _Wish(problem, len(best), tuple(kept), goal, best)
        reply = ask_solver(
            problem, len(best), limit, seconds=seconds, should_stop=stop, wish=wish,
            cores=result.asked.cores or 1,
        )  # fmt: skip
        count = len(best)
        if (
            reply.verdict == Verdict.POSSIBLE
            and len(reply.stations) == count
            and _amount(problem, goal, reply.stations) < _amount(problem, goal, best)
            and all(_amount(problem, other, reply.stations) <= most for other, most in kept)
            and _holds(work, result, reply.stations)
        ):
            best = reply.stations
        amount = _amount(problem, goal, best)
        kept.append((goal, amount))
        is_proven = (
            all(r.is_proven for r in reached)
            and reply.verdict == Verdict.POSSIBLE
            and reply.least >= amount
        )
        reached.append(
            Reached(goal=goal, value=_shown(work, problem, goal, amount),
                    least=_shown(work, problem, goal, min(reply.least, amount)),
                    is_proven=is_proven)
        )  # fmt: skip
    named = [[work.numbers[task] for task in station] for station in best]
    effort = replace(
        result.effort,
        engine=f"{result.effort.engine or engine_name()}, cp-sat {version('ortools')}",
        runtime_s=result.effort.runtime_s + monotonic() - started,
    )
    return replace(
        result,
        assignment=assignment(work, enumerate(named, 1)),
        effort=effort,
        proof=replace(result.proof, reached=tuple(reached)),
    )


def _holds(work: LineWork, result: BalanceResult, stations: Stations) -> bool:
    """Return whether `verify` finds nothing wrong with a plan."""
    named = [[work.numbers[task] for task in station] for station in stations]
    most = result.asked.stations
    return not verify(work, named, limit=result.limit, most_stations=most)


def _amount(problem: BalanceProblem, goal: FinerGoal, stations: Stations) -> int:
    """Return how much of what is to be least a plan has, in whole units."""
    if goal == FinerGoal.SMOOTHEST:
        held = loads(problem, stations)
        return sum((max(held) - load) ** 2 for load in held)
    at = {task: k for k, station in enumerate(stations, 1) for task in station}
    return sum(
        form.cost * form.needed({at[task] for task in form.tasks}) for form in problem.forms.setups
    )


def _shown(work: LineWork, problem: BalanceProblem, goal: FinerGoal, amount: int) -> float:
    """Return an amount as people see it: the smoothness index in the time unit, money."""
    if goal == FinerGoal.SMOOTHEST:
        return sqrt(amount) * problem.scale / work.ticks
    return amount / 100


@dataclass(frozen=True, slots=True)
class _Wish:
    """Asks a model for the least of a goal, and not to lose what earlier ones reached."""

    problem: BalanceProblem
    stations: int
    kept: tuple[tuple[FinerGoal, int], ...]
    goal: FinerGoal
    first: Stations

    def __call__(self, into: SolverModel) -> None:
        """Write it."""
        for goal, most in self.kept:
            into.model.add(self._amount(goal, into) <= most)
        into.model.minimize(self._amount(self.goal, into))
        at = {task: k for k, station in enumerate(self.first, 1) for task in station}
        for task, row in enumerate(into.is_there):
            for k, variable in row.items():
                into.model.add_hint(variable, at[task] == k)

    def _amount(self, goal: FinerGoal, into: SolverModel) -> Any:
        if goal == FinerGoal.SMOOTHEST:
            return self._unevenness(into)
        return sum(form.cost * self._needed(into, form) for form in self.problem.forms.setups)

    def _needed(self, into: SolverModel, form: Any) -> Any:
        """Return how many pieces of an equipment the stations need."""
        some = {station: into.some_of(form.tasks, station) for station in into.stations}
        if not form.is_shared:
            return sum(some.values())
        stands = {station: into.model.new_bool_var("") for station in some}
        for station, is_needed in some.items():  # it stands here, or before the next
            into.model.add(is_needed <= stands[station] + stands.get(station - 1, 0))
        return sum(stands.values())

    def _unevenness(self, into: SolverModel) -> Any:
        """Return the sum of the squares by which loads are below the largest."""
        model, most = into.model, into.limit
        held = []
        for k in range(1, self.stations + 1):
            load = model.new_int_var(0, most, "")
            model.add(load == sum(into.work.get(k, [])))  # turn-overs and own times included
            held.append(load)
        largest = model.new_int_var(0, most, "")
        model.add_max_equality(largest, held)
        squares = []
        for load in held:
            below, square = model.new_int_var(0, most, ""), model.new_int_var(0, most**2, "")
            model.add(below == largest - load)
            model.add_multiplication_equality(square, [below, below])
            squares.append(square)
        return sum(squares)
