"""The line as a model for a constraint solver, and one run of it that can be stopped."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from typing import Any

from stationflow.balancing import station_rule
from stationflow.balancing.arrows import topological_order
from stationflow.balancing.bounds import Windows
from stationflow.balancing.methods.method import Options, Stations, Watch
from stationflow.balancing.problem import BalanceProblem

POLL_S = 0.05
"""How often a running solver is asked whether it should stop, in seconds."""

MOST_CHOICES = 400_000
"""Largest number of yes-or-no choices a model may have: about 2 GB of memory."""

CHOICES_PER_S = 10_000
"""Choices for each second of the time left: writing the model then takes about half of it."""


@dataclass(frozen=True, slots=True)
class Model:
    """A model of one line.

    Attributes
    ----------
    solver_model
        The CP-SAT model.
    is_there
        For each task the yes-or-no variable of each station of its window.
    cycle
        The variable of the cycle time; None: the limit is fixed.
    """

    solver_model: Any
    is_there: tuple[dict[int, Any], ...]
    cycle: Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """What a run of the solver came to.

    Attributes
    ----------
    stations
        The assignment, or empty.
    is_closed
        Whether nothing is left to prove: the plan is best, or there is none.
    bound
        Proven lower bound on the objective, if there is one.
    """

    stations: Stations
    is_closed: bool
    bound: int = 0


def build_model(
    problem: BalanceProblem,
    windows: Windows,
    stations: int,
    limit: int,
    watch: Watch,
    low: int | None = None,
    hint: Stations = (),
) -> Model | None:
    """Return the model of at most `stations` stations at a limit.

    A task is at one station of its window. For each station k a further yes-or-no
    variable says "at k or earlier"; along an arrow, that of the task before must be
    yes wherever that of the task after is. In this form impossible cases are
    refuted many times faster than with sums over the first variables.

    Parameters
    ----------
    problem, windows, stations
        The line; the windows hold at the limit.
    limit
        Limit in whole units.
    watch
        Says how much time is left.
    low
        If given, the largest load is to be small, and is not below this.
    hint
        An assignment to start from.

    Returns
    -------
    Model or None
        None if the model would be too large for the memory or the time left.
    """
    from ortools.sat.python import cp_model

    first, last = windows.earliest, windows.latest(stations)
    choices_needed = sum(b - a + 1 for a, b in zip(first, last, strict=True))
    left = watch.seconds_left
    in_time = choices_needed if left is None else int(left * CHOICES_PER_S)
    if choices_needed > min(MOST_CHOICES, in_time):
        return None
    model = cp_model.CpModel()
    is_there: tuple[dict[int, Any], ...] = tuple(
        {k: model.new_bool_var("") for k in range(first[j], last[j] + 1)}
        for j in range(problem.size)
    )
    for choices in is_there:
        model.add_exactly_one(choices.values())
    cycle = None if low is None else model.new_int_var(low, limit, "cycle")
    at_station: list[list[tuple[int, Any]]] = [[] for _ in range(stations)]
    for time, choices in zip(problem.times, is_there, strict=True):
        for k, variable in choices.items():
            at_station[k - 1].append((time, variable))
    station_rule.add_to_model(model, at_station, limit if cycle is None else cycle)
    _add_precedence(model, problem, is_there)
    if cycle is not None:
        model.minimize(cycle)
    for k, station in enumerate(hint, 1):
        for position in station:
            for at, variable in is_there[position].items():
                model.add_hint(variable, at == k)
    return Model(model, is_there, cycle)


def _add_precedence(
    model: Any, problem: BalanceProblem, is_there: tuple[dict[int, Any], ...]
) -> None:
    """Let no task be at an earlier station than its predecessors."""
    by_then: list[dict[int, Any]] = []
    for choices in is_there:
        stations = sorted(choices)
        chain: dict[int, Any] = {}
        earlier: Any = 0
        for k in stations[:-1]:
            chain[k] = model.new_bool_var("")
            model.add(chain[k] - earlier == choices[k])
            earlier = chain[k]
        model.add(1 - earlier == choices[stations[-1]])
        by_then.append(chain)
    # Windows are nested along an arrow: each k below is in both.
    for after, row in enumerate(problem.predecessors):
        for before in row:
            for k in range(min(is_there[after]), max(is_there[before])):
                model.add_implication(by_then[after][k], by_then[before][k])


def solve_model(problem: BalanceProblem, model: Model, options: Options, watch: Watch) -> Solved:
    """Run the solver until it is done, or the watch says stop.

    The solver runs beside this thread, which passes on progress and, unlike a
    thread inside the solver, hears an interrupt from the keyboard.
    """
    run = _Run(problem, model, options, watch.seconds_left)
    thread = threading.Thread(target=run.solve, daemon=True)
    thread.start()
    told_value, told_bound = None, None
    while thread.is_alive():
        thread.join(POLL_S)
        if watch.is_over():
            run.solver.stop_search()
        if model.cycle is not None and run.value is not None and run.value != told_value:
            told_value = run.value
            watch.better(run.used, told_value)
        if model.cycle is not None and run.bound is not None and run.bound != told_bound:
            told_bound = run.bound
            watch.cycle_bound(told_bound)
    return run.solved()


class _Run:
    """One run of the solver."""

    def __init__(
        self, problem: BalanceProblem, model: Model, options: Options, seconds: float | None
    ) -> None:
        from ortools.sat.python import cp_model

        self.solver = cp_model.CpSolver()
        self.value: int | None = None
        self.bound: int | None = None
        self.used = 0
        self._problem, self._model = problem, model
        self._status: Any = None
        self._failure: BaseException | None = None
        parameters = self.solver.parameters
        parameters.num_workers = options.cores
        parameters.random_seed = options.seed
        parameters.catch_sigint_signal = False
        if seconds is not None:
            parameters.max_time_in_seconds = seconds

    def solve(self) -> None:
        """Run the solver; meant for a thread of its own."""
        from ortools.sat.python import cp_model

        run = self

        class Listener(cp_model.CpSolverSolutionCallback):  # type: ignore[misc]
            """Notes each better plan."""

            def on_solution_callback(self) -> None:
                """Note the value and the stations used."""
                used = {
                    k
                    for row in run._model.is_there
                    for k, v in row.items()
                    if self.boolean_value(v)
                }
                run.used, run.value = len(used), round(self.objective_value)

        def note_bound(bound: float) -> None:
            run.bound = round(bound)

        try:
            if self._model.cycle is None:
                self._status = self.solver.solve(self._model.solver_model)
            else:
                self.solver.best_bound_callback = note_bound
                self._status = self.solver.solve(self._model.solver_model, Listener())
        except BaseException as failure:  # carried over to the thread that waits
            self._failure = failure

    def solved(self) -> Solved:
        """Return what came out."""
        from ortools.sat.python import cp_model

        if self._failure is not None:
            raise self._failure
        has_plan = self._status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
        bound = 0
        if self._model.cycle is not None and self._status != cp_model.INFEASIBLE:
            bound = round(self.solver.best_objective_bound)
        return Solved(
            stations=self._stations() if has_plan else (),
            is_closed=self._status in (cp_model.OPTIMAL, cp_model.INFEASIBLE),
            bound=bound,
        )

    def _stations(self) -> Stations:
        """Return the assignment, empty stations left out, in an order that keeps precedence."""
        at: dict[int, list[int]] = {}
        for position in topological_order(self._problem.predecessors):
            choices = self._model.is_there[position]
            station = next(k for k, v in choices.items() if self.solver.boolean_value(v))
            at.setdefault(station, []).append(position)
        return tuple(tuple(at[k]) for k in sorted(at))
