# ruff: noqa: T201 (a script that prints a table)
"""Lines of 40 tasks with five kinds of limit at once: the exact method beside a plain CP-SAT model.

Run from the root of the repository:

    python -m tests.benchmarks.limits_exact [--problems 200] [--seconds 10] [--out FILE.json]
    python -m tests.benchmarks.limits_exact --tasks 250 --problems 20 --alone

Each line has tasks fixed or bound to some stations, tasks kept apart, a measure (width at the
line), target loads and distances in stations. A plan that was hidden first keeps them, so that
most have one. Every plan is checked by code of its own here. Times are by the clock, on one core;
the search is compiled and CP-SAT loaded before.
"""

import argparse
import json
import math
import random
from collections.abc import Sequence
from pathlib import Path
from time import monotonic, perf_counter
from typing import Any

from stationflow.balancing.arrows import turned
from stationflow.balancing.goals import reach_goal
from stationflow.balancing.limits.forms import (
    WHOLE_LIMIT,
    AnyForm,
    Distance,
    Measure,
    Pairs,
    StationSet,
    Target,
    forms_in,
    from_station,
    station_set,
    up_to_station,
)
from stationflow.balancing.methods.easy_lines import EasyLines
from stationflow.balancing.methods.exact import Exact, prepare_exact
from stationflow.balancing.methods.method import Options, Watch
from stationflow.balancing.problem import BalanceProblem
from stationflow.model import BalanceSettings, Ending

TASKS = 40
PROVEN = (Ending.OPTIMAL, Ending.IMPOSSIBLE)
Plan = Sequence[Sequence[int]]


def main() -> None:
    """Ask both about every line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--problems", type=int, default=200)
    parser.add_argument("--first", type=int, default=1, help="seed of the first")
    parser.add_argument("--seconds", type=float, default=10)
    parser.add_argument("--tasks", type=int, default=TASKS, help="of a line; limits grow with it")
    parser.add_argument("--alone", action="store_true", help="do not ask CP-SAT")
    parser.add_argument("--out", type=Path)
    asked = parser.parse_args()
    prepare_exact(lambda: None)
    ours(made_line(0), 60)
    solvers = {"ours": ours} if asked.alone else {"ours": ours, "cp-sat": plain_cp_sat}
    if not asked.alone:
        plain_cp_sat(made_line(0), 60)
    rows = []
    for seed in range(asked.first, asked.first + asked.problems):
        line = made_line(seed, asked.tasks)
        row = {"seed": seed}
        for name, solve in solvers.items():
            began = perf_counter()
            is_proven, plan, bound = solve(line, asked.seconds)
            row[name] = {
                "proven": is_proven,
                "stations": len(plan),
                "bound": bound,
                "seconds": round(perf_counter() - began, 4),
                "fault": fault(line, plan) if plan else "",
            }
        rows.append(row)
        if asked.out:
            asked.out.write_text(json.dumps(rows, indent=1))
    print("\n".join(told(rows)))


def told(rows: Sequence[dict[str, Any]]) -> list[str]:
    """Return the figures in words."""
    words = []
    for name in [name for name in ("ours", "cp-sat") if name in rows[0]]:
        of = [row[name] for row in rows]
        total = sum(each["seconds"] for each in of)
        words.append(
            f"{name}: {sum(each['proven'] for each in of)} of {len(of)} proven, "
            f"{sum(not (each['proven'] or each['stations']) for each in of)} with nothing found, "
            f"{sum(bool(each['fault']) for each in of)} plans with a fault, "
            f"{total:.1f} s together, longest {max(each['seconds'] for each in of):.2f} s"
        )
    if "cp-sat" not in rows[0]:
        return words
    both = [row for row in rows if row["ours"]["proven"] and row["cp-sat"]["proven"]]
    ratios = [row["cp-sat"]["seconds"] / row["ours"]["seconds"] for row in both]
    spent = [sum(row[name]["seconds"] for row in both) for name in ("cp-sat", "ours")]
    if ratios:
        mean = math.exp(sum(map(math.log, ratios)) / len(ratios))
        words.append(
            f"both proven: {len(both)}, ours {mean:.1f} times as fast (geometric mean), "
            f"{spent[0] / spent[1]:.1f} times in all, slower in {sum(r < 1 for r in ratios)}"
        )
    apart = [r["seed"] for r in both if r["ours"]["stations"] != r["cp-sat"]["stations"]]
    words.append(f"answers that differ: {apart or 'none'}")
    return words


def made_line(seed: int, size: int = TASKS) -> BalanceProblem:
    """Return a line with five kinds of limit, the same for the same seed and size."""
    chance, grown = random.Random(seed), size / TASKS
    times = tuple(chance.randint(5, 60) for _ in range(size))
    limit = chance.randint(90, 160)
    before = tuple(
        tuple(b for b in range(max(0, task - 12), task) if chance.random() < 0.12)
        for task in range(size)
    )
    hidden, left = [1], 0.93 * limit - times[0]
    for time in times[1:]:
        hidden.append(hidden[-1] + (time > left))
        left = (0.93 * limit if time > left else left) - time
    last = hidden[-1]
    forms: list[AnyForm] = []
    for task in chance.sample(range(size), int(5 * grown)):
        own = hidden[task]
        some = station_set([own, *(k for k in range(1, last + 3) if chance.random() < 0.5)])
        sets = (1 << own, from_station(own - 1), up_to_station(own + 1), some)
        forms.append(StationSet(task, chance.choice(sets), "its place"))
    while len(forms) < int(13 * grown):
        one, other = chance.sample(range(size), 2)
        if hidden[one] != hidden[other]:
            forms.append(Pairs((one,), (other,), "kept apart"))
    widths = tuple(chance.choice((0, 0, chance.randint(100, 900))) for _ in range(size))
    needed = max(sum(w for w, k in zip(widths, hidden, strict=True) if k == at) for at in hidden)
    forms.append(Measure(widths, int(needed * chance.uniform(1, 1.15)), (), "width at the line"))
    learners = tuple((at, 950_000) for at in chance.sample(range(1, last + 1), int(2 * grown)))
    forms.append(Target(learners, "a learner's load"))
    while len(forms) < int(20 * grown):
        one, other = sorted(chance.sample(range(size), 2))
        between = hidden[other] - hidden[one]
        if between <= 4 and chance.random() < 0.5:
            forms.append(Distance(one, other, chance.randint(0, between), None, "it cures"))
        elif between <= 4:
            forms.append(Distance(one, other, None, between + chance.randint(0, 1), "it is hot"))
    return BalanceProblem(
        times=times,
        predecessors=before,
        successors=turned(before),
        limit=limit,
        forms=forms_in(forms),
    )


def ours(line: BalanceProblem, seconds: float) -> tuple[bool, Plan, int]:
    """Ask the exact method as `balance` does: first what is easy, then the search."""
    settings = BalanceSettings(method="exact", limit=float(line.limit or 0))
    found = reach_goal(line, settings, EasyLines(), Watch())
    if found.ending not in PROVEN:
        watch = Watch(deadline=monotonic() + seconds)
        found = reach_goal(line, settings, Exact(Options(seconds=seconds)), watch)
    return found.ending in PROVEN, found.answer.stations, found.answer.lower_bound


def plain_cp_sat(line: BalanceProblem, seconds: float) -> tuple[bool, Plan, int]:
    """Ask CP-SAT with a model as one writes it down first: a variable by task and station."""
    from ortools.sat.python import cp_model

    model, size = cp_model.CpModel(), len(line.times)
    forms, limit = line.forms, line.limit or 0
    stations = range(1, 1 + -(-line.total // limit) * 2)
    is_at = [{k: model.new_bool_var("") for k in stations} for _ in range(size)]
    number = [model.new_int_var(1, stations[-1], "") for _ in range(size)]
    for task in range(size):
        model.add_exactly_one(is_at[task].values())
        model.add(number[task] == sum(k * there for k, there in is_at[task].items()))
        for other in line.predecessors[task]:
            model.add(number[other] <= number[task])
    for form in forms.stations:
        for k in stations:
            if not form.stations >> k & 1:
                model.add(is_at[form.task][k] == 0)
    for pairs in forms.pairs:
        for k in stations:
            model.add(is_at[pairs.tasks[0]][k] + is_at[pairs.others[0]][k] <= 1)
    shares = dict(pair for form in forms.targets for pair in form.at)
    for k in stations:
        most = limit * shares.get(k, WHOLE_LIMIT) // WHOLE_LIMIT
        model.add(sum(t * is_at[task][k] for task, t in enumerate(line.times)) <= most)
        for measure in forms.measures:
            held = sum(a * is_at[task][k] for task, a in enumerate(measure.amounts))
            model.add(held <= (measure.usual or 0))
    for form in forms.distances:
        if form.least is not None:
            model.add(number[form.after] - number[form.before] >= form.least)
        if form.most is not None:
            model.add(number[form.after] - number[form.before] <= form.most)
    last = model.new_int_var(1, stations[-1], "")
    model.add_max_equality(last, number)
    model.minimize(last)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(model)
    is_proven = status in (cp_model.OPTIMAL, cp_model.INFEASIBLE)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return is_proven, (), round(solver.best_objective_bound)
    at = [solver.value(each) for each in number]
    plan = [[t for t in range(size) if at[t] == k] for k in range(1, max(at) + 1)]
    return is_proven, plan, round(solver.best_objective_bound)


def fault(line: BalanceProblem, plan: Plan) -> str:
    """Return what is wrong with a plan; empty: nothing."""
    at = {task: k for k, tasks in enumerate(plan, 1) for task in tasks}
    if sorted(at) != list(range(len(line.times))) or sum(map(len, plan)) != len(at):
        return "tasks missing or twice"
    if any(at[b] > at[task] for task, row in enumerate(line.predecessors) for b in row):
        return "order"
    forms, limit = line.forms, line.limit or 0
    shares = dict(pair for form in forms.targets for pair in form.at)
    for k, tasks in enumerate(plan, 1):
        if sum(line.times[t] for t in tasks) * WHOLE_LIMIT > limit * shares.get(k, WHOLE_LIMIT):
            return f"load of station {k}"
        if any(sum(m.amounts[t] for t in tasks) > (m.usual or 0) for m in forms.measures):
            return f"width at station {k}"
    if any(not form.stations >> at[form.task] & 1 for form in forms.stations):
        return "place"
    if any(at[p.tasks[0]] == at[p.others[0]] for p in forms.pairs):
        return "apart"
    for form in forms.distances:
        between = at[form.after] - at[form.before]
        is_near = form.least is not None and between < form.least
        if is_near or (form.most is not None and between > form.most):
            return "distance"
    return ""


if __name__ == "__main__":
    main()
