"""The peers of the exact benchmark: CABS, CP-SAT and HiGHS, and the check of every plan.

Each peer is given tasks, arrows and limit, and one core. Its libraries are imported
before the clock starts; writing its model counts as its time.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from time import perf_counter
from typing import Any

from tests.benchmarks.exact_questions import before_sets

MOST_CHOICES = 40_000
"""Above so many yes-or-no choices CP-SAT gets whole numbers and one cumulative rule instead."""

Arrows = tuple[tuple[int, ...], ...]
Plan = list[int]
"""Station of each task, from 1; empty: no plan."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What a solver came to; `nodes` None: it does not say."""

    plan: Plan
    bound: float
    is_proved: bool
    nodes: int | None = None
    note: str = ""


def fault(times: tuple[int, ...], predecessors: Arrows, plan: Plan, limit: float) -> str:
    """Return what is wrong with a plan, or nothing. Shares no code with any solver."""
    if len(plan) != len(times) or min(plan) < 1:
        return "a task has no station"
    load: dict[int, int] = {}
    for task, station in enumerate(plan):
        load[station] = load.get(station, 0) + times[task]
        if any(plan[before] > station for before in predecessors[task]):
            return f"task {task + 1} is before one of its predecessors"
    if set(load) != set(range(1, max(plan) + 1)):
        return "a station is empty"
    return f"a station holds {max(load.values())}" if max(load.values()) > limit else ""


def cabs(times: tuple[int, ...], predecessors: Arrows, limit: int, seconds: float) -> Answer:
    """Ask CABS of didppy.

    The model is that of Kuroiwa, R. and Beck, J. C. (2023), "Domain-independent dynamic
    programming: generic state space search for combinatorial optimization", ICAPS 33,
    236-244: the state is the set of tasks left and the idle time of the station being
    filled; a task is placed in it if it fits, and a new one is opened only if none fits.
    """
    import didppy

    started = perf_counter()
    size = len(times)
    model = didppy.Model()
    task = model.add_object_type(number=size)
    left = model.add_set_var(object_type=task, target=list(range(size)))
    idle = model.add_int_resource_var(target=0, less_is_better=False)
    time_of = model.add_int_table(list(times))
    model.add_base_case([left.is_empty()])
    nothing_fits = []
    for i in range(size):
        before = model.create_set_const(object_type=task, value=list(predecessors[i]))
        is_free = (left & before).is_empty()
        model.add_transition(
            didppy.Transition(
                name=str(i),
                cost=didppy.IntExpr.state_cost(),
                preconditions=[left.contains(i), idle >= times[i], is_free],
                effects=[(left, left.remove(i)), (idle, idle - times[i])],
            )
        )
        nothing_fits.append(~left.contains(i) | (idle < times[i]) | ~is_free)
    model.add_transition(
        didppy.Transition(
            name="open",
            cost=1 + didppy.IntExpr.state_cost(),
            preconditions=nothing_fits,
            effects=[(idle, limit)],
        ),
        forced=True,
    )
    # LB1 to LB3 in whole numbers: halves and sixths.
    halves = model.add_int_table([2 if 2 * t > limit else int(2 * t == limit) for t in times])
    sixths = model.add_int_table([_sixths(t, limit) for t in times])
    model.add_dual_bound((time_of[left] - idle + limit - 1) // limit)
    model.add_dual_bound((halves[left] + 1) // 2 - (2 * idle >= limit).if_then_else(1, 0))
    model.add_dual_bound((sixths[left] + 5) // 6 - (3 * idle >= limit).if_then_else(1, 0))
    rest = seconds - (perf_counter() - started)
    if rest <= 0:
        return Answer(plan=[], bound=0, is_proved=False, note="out of time before the search")
    solution = didppy.CABS(model, time_limit=rest, quiet=True, threads=1).search()
    plan = [0] * size if solution.transitions else []
    station = 0
    for step in solution.transitions:
        if step.name == "open":
            station += 1
        else:
            plan[int(step.name)] = station
    bound = solution.cost if solution.is_optimal else solution.best_bound
    return Answer(
        plan=plan,
        bound=bound or 0,
        is_proved=solution.is_optimal,
        nodes=solution.expanded,
    )


def _sixths(time: int, limit: int) -> int:
    """Return the weight of a task in LB3, in sixths of a station."""
    if 3 * time > 2 * limit:
        return 6
    if 3 * time == 2 * limit:
        return 4
    if 3 * time > limit:
        return 3
    return 2 if 3 * time == limit else 0


def first_plan(times: tuple[int, ...], predecessors: Arrows, limit: int) -> Plan:
    """Return a plan by ranked positional weight, forwards or backwards, for windows and hints."""
    size = len(times)
    successors: list[list[int]] = [[] for _ in range(size)]
    for task, row in enumerate(predecessors):
        for before in row:
            successors[before].append(task)
    turned = tuple(tuple(row) for row in successors)
    forwards = _filled(times, predecessors, turned, limit)
    backwards = _filled(times, turned, predecessors, limit)
    if max(forwards) <= max(backwards):
        return forwards
    return [max(backwards) + 1 - station for station in backwards]


def _filled(times: tuple[int, ...], before: Arrows, after: Arrows, limit: int) -> Plan:
    """Fill station after station with the heaviest task that fits."""
    size = len(times)
    weight = [
        times[j] + sum(times[k] for k in range(size) if bits >> k & 1)
        for j, bits in enumerate(before_sets(after))
    ]
    waiting = [len(row) for row in before]
    plan, station, room = [0] * size, 1, limit
    for _ in range(size):
        ready = [j for j in range(size) if not plan[j] and not waiting[j]]
        fits = [j for j in ready if times[j] <= room]
        if not fits:
            station, room, fits = station + 1, limit, ready
        task = max(fits, key=lambda j: (weight[j], -j))
        plan[task] = station
        room -= times[task]
        for other in after[task]:
            waiting[other] -= 1
    return plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """What a model needs: a first plan, the least count, and each task's window of stations."""

    plan: Plan
    least: int
    first: list[int]
    last: list[int]

    @property
    def most(self) -> int:
        """Stations of the first plan."""
        return max(self.plan)


def frame(times: tuple[int, ...], predecessors: Arrows, limit: int) -> Frame:
    """Return first plan, least count (LB1 to LB3) and windows."""
    plan = first_plan(times, predecessors, limit)
    before = before_sets(predecessors)
    size, most = len(times), max(plan)
    head, tail = list(times), list(times)
    for j, bits in enumerate(before):
        for k in range(size):
            if bits >> k & 1:
                head[j] += times[k]
                tail[k] += times[j]
    halves = sum(2 if 2 * t > limit else int(2 * t == limit) for t in times)
    least = max(
        -(-sum(times) // limit),
        -(-halves // 2),
        -(-sum(_sixths(t, limit) for t in times) // 6),
    )
    return Frame(
        plan=plan,
        least=least,
        first=[max(1, -(-h // limit)) for h in head],
        last=[most + 1 - max(1, -(-t // limit)) for t in tail],
    )


def cp_sat(times: tuple[int, ...], predecessors: Arrows, limit: int, seconds: float) -> Answer:
    """Ask CP-SAT for the fewest stations, with windows, a first plan as a hint, one worker.

    While the model has at most 40,000 choices: a yes or no for each task and station of
    its window, and arrows between "at this station or earlier", which propagates best.
    Above, each task's station is a whole number, the limit one cumulative rule.
    """
    from ortools.sat.python import cp_model

    started = perf_counter()
    at = frame(times, predecessors, limit)
    if at.least == at.most:
        return Answer(plan=at.plan, bound=at.least, is_proved=True, nodes=0, note="first plan")
    model = cp_model.CpModel()
    count = model.new_int_var(at.least, at.most, "")
    choices = sum(b - a + 1 for a, b in zip(at.first, at.last, strict=True))
    write = _choices if choices <= MOST_CHOICES else _whole_numbers
    station_of = write(model, at, times, predecessors, limit, count)
    model.minimize(count)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = max(0.01, seconds - (perf_counter() - started))
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Answer(plan=at.plan, bound=at.least, is_proved=False, note="first plan")
    return Answer(
        plan=packed([station_of(solver, j) for j in range(len(times))]),
        bound=max(at.least, round(solver.best_objective_bound)),
        is_proved=status == cp_model.OPTIMAL,
        nodes=solver.num_branches,
    )


def _choices(
    model: Any, at: Frame, times: tuple[int, ...], predecessors: Arrows, limit: int, count: Any
) -> Callable[[Any, int], int]:
    """Write the model of yes-or-no choices."""
    there: list[dict[int, Any]] = []
    by_then: list[dict[int, Any]] = []
    for first, last, own in zip(at.first, at.last, at.plan, strict=True):
        there.append({k: model.new_bool_var("") for k in range(first, last + 1)})
        by_then.append({k: model.new_bool_var("") for k in range(first, last)})
        model.add_exactly_one(there[-1].values())
        for k in range(first, last):
            earlier = by_then[-1][k - 1] if k > first else 0
            model.add(by_then[-1][k] == earlier + there[-1][k])
        for k, choice in there[-1].items():
            model.add_hint(choice, k == own)
    used = {k: model.new_bool_var("") for k in range(at.least + 1, at.most + 1)}
    for k in range(1, at.most + 1):
        load = sum(times[j] * row[k] for j, row in enumerate(there) if k in row)
        model.add(load <= (limit * used[k] if k in used else limit))
        if k - 1 in used:
            model.add_implication(used[k], used[k - 1])
    model.add(count == at.least + sum(used.values()))
    for row, last in zip(there, at.last, strict=True):
        for k, choice in row.items():
            if k + at.most - last in used:  # the tasks after it need so many stations
                model.add_implication(choice, used[k + at.most - last])
    for j, all_before in enumerate(predecessors):
        for before in all_before:
            for k in range(at.first[j], at.last[before]):
                model.add_implication(by_then[j][k], by_then[before][k])
    return lambda solver, j: next(k for k, choice in there[j].items() if solver.value(choice))


def _whole_numbers(
    model: Any, at: Frame, times: tuple[int, ...], predecessors: Arrows, limit: int, count: Any
) -> Callable[[Any, int], int]:
    """Write the model of whole numbers and one cumulative rule."""
    station = [model.new_int_var(a, b, "") for a, b in zip(at.first, at.last, strict=True)]
    spans = [model.new_fixed_size_interval_var(start, 1, "") for start in station]
    model.add_cumulative(spans, list(times), limit)
    for variable, own, last in zip(station, at.plan, at.last, strict=True):
        model.add_hint(variable, own)
        model.add(variable + (at.most - last) <= count)  # the tasks after it need so many
    for j, row in enumerate(predecessors):
        for before in row:
            model.add(station[before] <= station[j])
    return lambda solver, j: int(solver.value(station[j]))


def packed(plan: Plan) -> Plan:
    """Return a plan without empty stations."""
    place = {station: k for k, station in enumerate(sorted(set(plan)), 1)}
    return [place[station] for station in plan]


def highs(times: tuple[int, ...], predecessors: Arrows, limit: int, seconds: float) -> Answer:
    """Ask HiGHS with the usual 0-1 model with windows, one thread.

    Patterson, J. H. and Albracht, J. J. (1975), "Assembly-line balancing: zero-one
    programming with Fibonacci search", Operations Research 23, 166-172.
    """
    import highspy

    started = perf_counter()
    at = frame(times, predecessors, limit)
    if at.least == at.most:
        return Answer(plan=at.plan, bound=at.least, is_proved=True, nodes=0, note="first plan")
    solver = highspy.Highs()
    solver.silent()
    solver.setOptionValue("threads", 1)
    there = [
        {k: solver.addBinary() for k in range(first, last + 1)}
        for first, last in zip(at.first, at.last, strict=True)
    ]
    used = {k: solver.addBinary(obj=1) for k in range(at.least + 1, at.most + 1)}
    for row in there:
        solver.addConstr(solver.qsum(row.values()) == 1)
    for k in range(1, at.most + 1):
        load = solver.qsum(times[j] * row[k] for j, row in enumerate(there) if k in row)
        solver.addConstr(load <= limit * used[k] if k in used else load <= limit)
        if k - 1 in used:
            solver.addConstr(used[k] <= used[k - 1])
    for j, all_before in enumerate(predecessors):
        for before in all_before:
            if at.last[before] > at.first[j]:
                sooner = solver.qsum(k * choice for k, choice in there[before].items())
                later = solver.qsum(k * choice for k, choice in there[j].items())
                solver.addConstr(sooner <= later)
    solver.setOptionValue("time_limit", max(0.01, seconds - (perf_counter() - started)))
    solver.run()
    info = solver.getInfo()
    is_proved = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    bound = at.least
    if math.isfinite(info.mip_dual_bound):
        bound = max(bound, at.least + math.ceil(info.mip_dual_bound - 1e-6))
    if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return Answer(plan=at.plan, bound=bound, is_proved=False, note="first plan")
    values = solver.getSolution().col_value
    plan = [next(k for k, v in row.items() if values[v.index] > 0.5) for row in there]
    return Answer(plan=packed(plan), bound=bound, is_proved=is_proved, nodes=info.mip_node_count)


PEERS = {"cabs": cabs, "cp-sat": cp_sat, "highs": highs}
