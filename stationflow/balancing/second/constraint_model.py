"""A constraint solver is asked whether so many stations can do a line at a limit.

It shares no code with the exact method, so that a mistake in its search cannot hide
here: times, arrows and limits of the problem are all it takes, the stations that a task
can be at are worked out anew, and each limit writes itself into the model.

References
----------
.. [1] Bukchin, Y. and Raviv, T. (2018). "Constraint programming for solving various
   assembly line balancing problems". Omega 78, 57-68.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from graphlib import TopologicalSorter
from math import ceil
from time import monotonic
from typing import Any

from stationflow.balancing.limits.forms import SolverModel
from stationflow.balancing.problem import BalanceProblem

POLL_S = 0.05
"""How often a running solver is asked whether it should stop, in seconds."""

MOST_CHOICES = 400_000
"""Largest number of yes-or-no choices a model may have: about 2 GB of memory."""

CHOICES_PER_S = 10_000
"""Choices for each second of the time given: writing the model then takes about half of it."""

COUNTED_S = 5.0
"""So long the solver is asked in seconds where counting alone has the answer already."""

Stations = tuple[tuple[int, ...], ...]
"""The positions at each station, in the order they are done."""


ROUNDED = 1e-6
"""What the solver may be off where it gives whole numbers as fractions."""

Wish = Callable[[SolverModel], None]
"""Writes what is to be least into a model, in which the line is."""


class Verdict(StrEnum):
    """What came of a question."""

    POSSIBLE = "possible"
    IMPOSSIBLE = "impossible"
    OUT_OF_TIME = "out-of-time"
    STOPPED = "stopped"  # somebody asked it to stop
    TOO_LARGE = "too-large"  # the model would need too much memory


NO_OPINION = (Verdict.OUT_OF_TIME, Verdict.TOO_LARGE)


@dataclass(frozen=True, slots=True)
class Reply:
    """What the solver says to a question."""

    verdict: Verdict  # what came of it
    stations: Stations = ()  # the plan that it found, when that is possible
    # whether it is impossible by counting alone, and the solver was not needed for that
    is_counted: bool = False
    least: int = 0  # proven of what was to be least: no plan has less
    is_least: bool = False  # whether the plan has no more than that


def ask_solver(
    problem: BalanceProblem,
    stations: int,
    limit: int,
    *,
    seconds: float,
    cores: int = 1,
    should_stop: Callable[[], bool] = lambda: False,
    wish: Wish | None = None,
    open_places: Sequence[tuple[int, int]] | None = None,
) -> Reply:
    """Ask whether at most so many stations can do the work of a line at a limit, in whole units.

    `wish` asks further for the plan that has least of something; `open_places` leaves each task
    no stations but those from its first to its last one, of a plan that is known to hold.

    A task is at one station of its window. For each station k a further yes-or-no variable says
    "at k or earlier"; along an arrow, that of the task before must be yes wherever that of the
    task after is. In this form impossible cases are refuted many times faster than with sums over
    the first variables. `seconds` go from writing the model to the answer.
    """
    counted = Reply(Verdict.IMPOSSIBLE, is_counted=True)
    times = problem.least_times
    if stations < 1 or limit < max(times, default=0):
        return counted
    from ortools.sat.python import cp_model

    # Not before: the first load takes seconds that are not the solver's.
    deadline = monotonic() + seconds
    order = tuple(TopologicalSorter(dict(enumerate(problem.predecessors))).static_order())
    first = _heads(times, limit, problem.predecessors, order)
    behind = _heads(times, limit, problem.successors, order[::-1])
    last = [stations + 1 - needed for needed in behind]
    has_no_window = any(b < a for a, b in zip(first, last, strict=True))
    is_counted = has_no_window or sum(times) > stations * limit
    if is_counted:  # the solver is asked all the same, for an opinion of its own
        deadline = min(deadline, monotonic() + COUNTED_S)
    if has_no_window:
        first, last = [1] * problem.size, [stations] * problem.size
    if open_places is not None:
        first, last = [a for a, _ in open_places], [b for _, b in open_places]
    choices = sum(b - a + 1 for a, b in zip(first, last, strict=True))
    if choices > MOST_CHOICES:
        reply = Reply(Verdict.TOO_LARGE)
    elif choices > (deadline - monotonic()) * CHOICES_PER_S:  # it would go into writing the model
        reply = Reply(Verdict.OUT_OF_TIME)
    elif should_stop():
        reply = Reply(Verdict.STOPPED)
    else:
        into = _model(cp_model, problem, first, last, limit)
        if wish is not None:
            wish(into)
        solver = cp_model.CpSolver()
        # With all that bounds a sum in its linear program, the least is proven many times faster.
        solver.parameters.linearization_level = 1 if wish is None else 2
        verdict, at = _solve(cp_model, solver, into, deadline, cores, should_stop)
        held: dict[int, list[int]] = {}
        for position in _in_turn(into, solver, order, at) if at else ():
            held.setdefault(at[position], []).append(position)
        places = range(1, max(held, default=0) + 1) if problem.forms.are_places else sorted(held)
        reply = Reply(verdict, tuple(tuple(held.get(k, ())) for k in places))
        if wish is not None and verdict == Verdict.POSSIBLE:
            least = max(0, ceil(solver.best_objective_bound - ROUNDED))
            reply = replace(reply, least=least, is_least=least >= solver.objective_value - ROUNDED)
    return counted if is_counted and reply.verdict in NO_OPINION else reply


def _heads(
    times: Sequence[int], limit: int, before: Sequence[Sequence[int]], order: Sequence[int]
) -> list[int]:
    """Return how many stations each task needs together with all tasks before it.

    The work must fit in; of the tasks longer than half the limit each needs a station
    of its own; two tasks in a row that do not fit together are a station apart.
    """
    sets, needed = [{position} for position in range(len(times))], [1] * len(times)
    for position in order:
        for other in before[position]:
            sets[position] |= sets[other]
            apart = times[other] + times[position] > limit
            needed[position] = max(needed[position], needed[other] + apart)
        held = [times[at] for at in sets[position]]
        by_work = -(-sum(held) // limit) if limit else 1
        needed[position] = max(needed[position], by_work, sum(2 * time > limit for time in held))
    return needed


def _model(
    cp_model: Any,
    problem: BalanceProblem,
    first: Sequence[int],
    last: Sequence[int],
    limit: int,
) -> SolverModel:
    """Return the model, with a variable for each task and station it can be at."""
    model = cp_model.CpModel()
    is_there: list[dict[int, Any]] = [
        {k: model.new_bool_var("") for k in range(a, b + 1)}
        for a, b in zip(first, last, strict=True)
    ]
    work: dict[int, list[Any]] = {}
    by_then: list[dict[int, Any]] = []
    for time, choices in zip(problem.times, is_there, strict=True):
        model.add_exactly_one(choices.values())
        chain: dict[int, Any] = {}
        earlier: Any = 0
        *most, final = choices
        for k in most:
            chain[k] = model.new_bool_var("")
            model.add(chain[k] - earlier == choices[k])
            earlier = chain[k]
        model.add(1 - earlier == choices[final])
        by_then.append(chain)
        for k, variable in choices.items():
            work.setdefault(k, []).append(time * variable)
    into = SolverModel(model, problem, is_there, limit, work=work)
    problem.forms.write(into)
    for terms in work.values():
        model.add(sum(terms) <= limit)
    # Windows are nested along an arrow: each k below is in both.
    for later, row in enumerate(problem.predecessors):
        for earliest in row:
            for k in range(first[later], last[earliest]):
                model.add_implication(by_then[later][k], by_then[earliest][k])
    return into


def _solve(
    cp_model: Any,
    solver: Any,
    into: SolverModel,
    deadline: float,
    cores: int,
    should_stop: Callable[[], bool],
) -> tuple[Verdict, list[int]]:
    """Run the solver until it is done, time is up, or somebody says stop; return the stations.

    The solver runs beside this thread, which, unlike a thread inside the solver,
    hears an interrupt from the keyboard.
    """
    left = deadline - monotonic()
    if left <= 0:
        return Verdict.OUT_OF_TIME, []
    solver.parameters.num_workers = cores
    solver.parameters.random_seed = 1
    solver.parameters.catch_sigint_signal = False
    solver.parameters.max_time_in_seconds = left
    ended: list[Any] = []

    def solve() -> None:
        try:
            ended.append(solver.solve(into.model))
        except BaseException as failure:  # carried over to the thread that waits
            ended.append(failure)

    thread = threading.Thread(target=solve, daemon=True)
    thread.start()
    stopped = False
    while thread.is_alive():
        thread.join(POLL_S)
        if should_stop():
            stopped = True
            solver.stop_search()
    status = ended[0]
    if isinstance(status, BaseException):
        raise status
    if status == cp_model.INFEASIBLE:
        return Verdict.IMPOSSIBLE, []
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Verdict.STOPPED if stopped else Verdict.OUT_OF_TIME, []
    return Verdict.POSSIBLE, [
        next(k for k, v in row.items() if solver.boolean_value(v)) for row in into.is_there
    ]


def _in_turn(
    into: SolverModel, solver: Any, order: Sequence[int], at: Sequence[int]
) -> Iterable[int]:
    """Return the tasks in an order in which times between them are as the solver counted."""
    if not into.is_before:
        return order
    arrows = {task: set(into.problem.predecessors[task]) for task in order}
    for (one, other), variable in into.is_before.items():
        if at[one] == at[other]:
            first, then = (one, other) if solver.boolean_value(variable) else (other, one)
            arrows[then].add(first)
    return TopologicalSorter(arrows).static_order()
