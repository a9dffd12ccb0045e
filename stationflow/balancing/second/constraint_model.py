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
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from time import monotonic
from typing import Any

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


def ask_solver(
    problem: BalanceProblem,
    stations: int,
    limit: int,
    *,
    seconds: float,
    cores: int = 1,
    should_stop: Callable[[], bool] = lambda: False,
) -> Reply:
    """Ask whether at most so many stations can do the work of a line at a limit.

    A task is at one station of its window. For each station k a further yes-or-no
    variable says "at k or earlier"; along an arrow, that of the task before must be
    yes wherever that of the task after is. In this form impossible cases are
    refuted many times faster than with sums over the first variables.

    Parameters
    ----------
    problem
        The line; its own limit plays no part.
    stations
        How many stations are allowed.
    limit
        Limit of a station in whole units of the problem.
    seconds
        Time limit, from writing the model to the answer.
    cores
        Processor cores the solver may use.
    should_stop
        Asked every now and then; True ends the search.
    """
    counted = Reply(Verdict.IMPOSSIBLE, is_counted=True)
    if stations < 1 or limit < problem.longest:
        return counted
    deadline = monotonic() + seconds
    first = _heads(problem.times, limit, problem.predecessors, problem.successors)
    behind = _heads(problem.times, limit, problem.successors, problem.predecessors)
    last = [stations + 1 - needed for needed in behind]
    has_no_window = any(b < a for a, b in zip(first, last, strict=True))
    if has_no_window or problem.total > stations * limit:
        # The solver is asked all the same, for an opinion of its own.
        if has_no_window:
            first, last = [1] * problem.size, [stations] * problem.size
        deadline = min(deadline, monotonic() + COUNTED_S)
        reply = _search(problem, first, last, stations, limit, deadline, cores, should_stop)
        return counted if reply.verdict in NO_OPINION else reply
    return _search(problem, first, last, stations, limit, deadline, cores, should_stop)


def _search(
    problem: BalanceProblem,
    first: Sequence[int],
    last: Sequence[int],
    stations: int,
    limit: int,
    deadline: float,
    cores: int,
    should_stop: Callable[[], bool],
) -> Reply:
    """Write the model, unless it is too large, and put it to the solver."""
    choices = sum(b - a + 1 for a, b in zip(first, last, strict=True))
    if choices > MOST_CHOICES:
        return Reply(Verdict.TOO_LARGE)
    if (
        choices > (deadline - monotonic()) * CHOICES_PER_S
    ):  # the time would go into writing the model
        return Reply(Verdict.OUT_OF_TIME)
    if should_stop():
        return Reply(Verdict.STOPPED)
    model, is_there = _model(problem, first, last, stations, limit)
    return _solve(problem, model, is_there, deadline, cores, should_stop)


def _heads(
    times: Sequence[int],
    limit: int,
    before: Sequence[Sequence[int]],
    after: Sequence[Sequence[int]],
) -> list[int]:
    """Return how many stations each task needs together with all tasks before it.

    The work must fit in; of the tasks longer than half the limit each needs a station
    of its own; two tasks in a row that do not fit together are a station apart.
    """
    sets, needed = [0] * len(times), [1] * len(times)
    for position in _in_order(before, after):
        together = 1 << position
        for other in before[position]:
            together |= sets[other]
            apart = times[other] + times[position] > limit
            needed[position] = max(needed[position], needed[other] + apart)
        sets[position] = together
        held = [times[at] for at in _members(together)]
        by_work = -(-sum(held) // limit) if limit else 1
        needed[position] = max(needed[position], by_work, sum(2 * time > limit for time in held))
    return needed


def _members(bits: int) -> Iterator[int]:
    """Yield the positions in a set of positions."""
    while bits:
        lowest = bits & -bits
        yield lowest.bit_length() - 1
        bits ^= lowest


def _in_order(before: Sequence[Sequence[int]], after: Sequence[Sequence[int]]) -> list[int]:
    """Return the positions so that each comes after those before it."""
    missing = [len(set(row)) for row in before]
    order = [position for position, count in enumerate(missing) if not count]
    for position in order:  # grows on the way
        for other in set(after[position]):
            missing[other] -= 1
            if not missing[other]:
                order.append(other)
    return order


def _model(
    problem: BalanceProblem, first: Sequence[int], last: Sequence[int], stations: int, limit: int
) -> tuple[Any, list[dict[int, Any]]]:
    """Return the model, and for each task the variable of each station it can be at."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    is_there: list[dict[int, Any]] = [
        {k: model.new_bool_var("") for k in range(a, b + 1)}
        for a, b in zip(first, last, strict=True)
    ]
    at_station: list[list[tuple[int, Any]]] = [[] for _ in range(stations)]
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
            at_station[k - 1].append((time, variable))
    for times_there in at_station:
        if times_there:
            model.add(sum(time * variable for time, variable in times_there) <= limit)
    for form in problem.forms:
        form.write(model, is_there)
    # Windows are nested along an arrow: each k below is in both.
    for later, row in enumerate(problem.predecessors):
        for earliest in row:
            for k in range(first[later], last[earliest]):
                model.add_implication(by_then[later][k], by_then[earliest][k])
    return model, is_there


def _solve(
    problem: BalanceProblem,
    model: Any,
    is_there: Sequence[dict[int, Any]],
    deadline: float,
    cores: int,
    should_stop: Callable[[], bool],
) -> Reply:
    """Run the solver until it is done, time is up, or somebody says stop.

    The solver runs beside this thread, which, unlike a thread inside the solver,
    hears an interrupt from the keyboard.
    """
    from ortools.sat.python import cp_model

    left = deadline - monotonic()
    if left <= 0:
        return Reply(Verdict.OUT_OF_TIME)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = cores
    solver.parameters.random_seed = 1
    solver.parameters.catch_sigint_signal = False
    solver.parameters.max_time_in_seconds = left
    ended: list[Any] = []

    def solve() -> None:
        try:
            ended.append(solver.solve(model))
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
        return Reply(Verdict.IMPOSSIBLE)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Reply(Verdict.STOPPED if stopped else Verdict.OUT_OF_TIME)
    at: dict[int, list[int]] = {}
    for position in _in_order(problem.predecessors, problem.successors):
        station = next(k for k, v in is_there[position].items() if solver.boolean_value(v))
        at.setdefault(station, []).append(position)
    places = range(1, max(at) + 1) if problem.forms.stations else sorted(at)
    return Reply(Verdict.POSSIBLE, tuple(tuple(at.get(k, ())) for k in places))
