"""Lower bounds in the engineer's words: why no plan can do with less."""

import math
from dataclasses import replace
from fractions import Fraction

from stationflow.balancing import bounds
from stationflow.balancing.explained.bound_reasons import (
    WORDS,
    halves,
    thirds,
    tightest,
    why_not_less,
)
from stationflow.balancing.problem import BalanceProblem, balance_problem
from stationflow.balancing.task_check import shortened
from stationflow.balancing.time_words import TimeWords, count, time_words
from stationflow.balancing.work import LineWork
from stationflow.model import BalanceResult, Explained, Goal, cross_checked
from stationflow.model.terms import TERMS
from stationflow.pace.figures import figure
from stationflow.pace.formula import Formula, plain
from stationflow.units import exact

SOURCE = (
    "Scholl, A. and Becker, C. (2006). State-of-the-art exact and heuristic solution procedures "
    "for simple assembly line balancing. European Journal of Operational Research 168(3), 666-693"
)
QUOTIENT = Formula(name="stations", right="work / room", source=SOURCE)
HEADS = bounds.HEADS_AND_TAILS
FORMULAS = {
    "LB1": ("bound-work-content", "stations = work content / limit, rounded up (LB1)"),
    "LB2": (
        "bound-half-limit",
        "stations = tasks longer than half the limit + half of those of exactly half, rounded up "
        "(LB2)",
    ),
    "LB3": (
        "bound-third-limit",
        "stations = 1 for each task above 2/3 of the limit, 2/3 at 2/3, 1/2 between, 1/3 at 1/3, "
        "rounded up (LB3)",
    ),
    HEADS: (
        "bound-before-and-after",
        "stations = first station a task can be at + stations from it to the end - 1, for the task "
        "where this is largest",
    ),
    "longest task": ("bound-longest-task", "cycle time >= longest task, which is not split"),
    "work / stations": ("bound-work-by-stations", "cycle time >= work content / stations"),
    "tasks that must share": (
        "bound-sharing-tasks",
        "of k x stations + 1 longest tasks, k + 1 are at one station: at best the shortest of them",
    ),
}
"""Key and formula of each single bound."""
THIRDS = (("above 2/3", "1"), ("at 2/3", "2/3"), ("between", "1/2"), ("at 1/3", "1/3"))
"""Words and weights in LB3, in the order of `thirds`."""
CYCLE_WINDOWS = (
    "cycle time >= the smallest limit at which each task has a station after all before it and "
    "before all after it"
)


def _single(name: str, value: float, worked: str, unit: str = "", check: str = "") -> Explained:
    """Return a single bound, opened: on the cycle time where it has a unit."""
    key, formula = FORMULAS[name]
    is_cycle = unit and name == HEADS
    return Explained(
        name=f"bound by {WORDS[name]}", value=float(value), unit=unit, worked=worked, source=SOURCE,
        formula=CYCLE_WINDOWS if is_cycle else formula, key=key, check=check,
    )  # fmt: skip


def bound_numbers(
    work: LineWork,
    result: BalanceResult,
    words: TimeWords | None = None,
) -> tuple[Explained, ...]:
    """Return the lower bound of a plan and each single bound behind it, opened.

    Empty for a plan with a task longer than its limit. `words` None: the result's own unit.
    """
    words = words or time_words(result.time_unit)
    if result.goal in (Goal.FEWEST_STATIONS, Goal.FEASIBLE):
        singles = station_bounds(work, result.limit, words)
    elif result.goal == Goal.SHORTEST_CYCLE:
        singles = _cycle_bounds(work, result.asked.stations or len(result.stations), words)
    else:
        singles = ()
    if not result.proof.bounds and not singles:
        return ()
    opened = lower_bound(result, words, singles)
    why = why_not_less(work, result, words)
    return (replace(opened, worked=f"{opened.worked}. {why}" if why else opened.worked), *singles)


def lower_bound(
    result: BalanceResult, words: TimeWords | None = None, singles: tuple[Explained, ...] = ()
) -> Explained:
    """Return the lower bound of a plan, opened.

    `singles` are the single bounds computed again, for the cross-check; empty: those of the result.
    """
    words = words or time_words(result.time_unit)
    counts = result.goal in (Goal.FEWEST_STATIONS, Goal.FEASIBLE)
    shown = [(WORDS.get(n, n), b if counts else words.number(b)) for n, b in result.proof.bounds]
    shown = shown or [(s.name.removeprefix("bound by "), s.value or 0.0) for s in singles]
    is_least = result.goal == Goal.BEST_EFFICIENCY
    simple = (min if is_least else max)((b for _, b in shown), default=0.0)
    value = result.proof.lower_bound if counts else words.number(result.proof.lower_bound)
    value = value or simple  # a plan from a file brings no bound
    listed = ", ".join(f"{figure(b, 6)} ({name})" for name, b in shown)
    worked = f"{'least' if is_least else 'largest'} of {listed} = {figure(simple, 6)}"
    if value > simple:
        worked += f"; the search of the method {result.method} proved {figure(value, 6)}"
    opened = Explained(
        name="lower bound",
        value=value,
        unit="" if counts else words.label,
        formula="lower bound = smallest of stations x shortest cycle thinkable, over the range"
        if is_least
        else "lower bound = largest of what no plan can do without",
        worked=worked,
        source=SOURCE,
        other=TERMS["lower bound"].elsewhere,
    )
    again = max((s.value or 0.0 for s in singles), default=None)
    recomputed = max((b for name, b in result.proof.bounds if name in FORMULAS), default=0.0)
    if again is None or (
        result.proof.bounds and value > (recomputed if counts else words.number(recomputed))
    ):
        return opened  # the search, or a bound of its own, is the reason
    return cross_checked(opened, again, "each bound computed again from the tasks, the largest,")


def station_bounds(work: LineWork, limit: float | None, words: TimeWords) -> tuple[Explained, ...]:
    """Return the single bounds on the number of stations at a limit, opened.

    Nothing where there is no limit, or a task is longer than it.
    """
    if limit is None or not work.numbers:
        return ()
    problem = balance_problem(work, limit)
    if problem.limit is None or problem.longest > problem.limit:
        return ()
    named, line = dict(bounds.bounds(problem)), _Said(work, problem, limit, words)
    check = line.check_of_content(named["LB1"])
    said = {"LB1": line.work_content, "LB2": line.halves, "LB3": line.thirds}
    said[HEADS] = line.before_and_after
    return tuple(
        _single(name, named[name], tell(named[name]), check=check if name == "LB1" else "")
        for name, tell in said.items()
    )


def rounded_up(work: float, limit: float, usable: float, bound: int, words: TimeWords) -> str:
    """Return a quotient rounded up in words, and why it is more than the limit alone would say."""
    if not work:
        return f"no task takes time: {bound}"
    values = {"work": words.value(work), "room": words.value(limit)}
    up = replace(QUOTIENT, is_rounded_up=True)
    if math.ceil(exact(work) / exact(limit)) == bound:
        return up.worked(values)
    so = up.worked({**values, "room": words.value(usable)})
    return (
        f"{QUOTIENT.worked(values)}; the times add up to {words.show(usable)} or to more than "
        f"{words.show(limit)}, so {so}"
    )


class _Said:
    """The bounds on stations of one line in words."""

    def __init__(self, work: LineWork, problem: BalanceProblem, limit: float, words: TimeWords):
        self.work, self.problem, self.limit, self.words = work, problem, limit, words
        # What of the limit whole tasks can use: the largest multiple of the smallest step.
        self.usable = min(limit, (problem.limit or 0) * problem.scale / work.ticks)

    def work_content(self, bound: int) -> str:
        """Say how many stations the work content needs."""
        work = sum(self.work.times) / self.work.ticks
        said = rounded_up(work, self.limit, self.usable, bound, self.words)
        return f"the work content needs {count(bound, 'station')}: {said}"

    def check_of_content(self, bound: int) -> str:
        """Say that one station fewer has no room for the work content."""
        if bound <= 1:
            return ""
        room = exact(self.limit)
        if bound * room < exact(self.work.total) or (bound - 1) * room >= exact(self.work.total):
            room = exact(self.usable)
        holds = (bound - 1) * room < exact(self.work.total) <= bound * room
        fewer = "1 station has" if bound == 2 else f"{bound - 1} stations have"
        return (
            f"{'Agrees' if holds else 'Differs'}: {fewer} room for "
            f"{self.words.show(float((bound - 1) * room))}, {bound} for "
            f"{self.words.show(float(bound * room))}; the work is "
            f"{self.words.show(self.work.total)}."
        )

    def halves(self, bound: int) -> str:
        """Name the tasks that need a station each, and those of which two share one."""
        more, half = halves(self.work, self.problem)
        if self.limit >= self.work.total:
            return f"the whole work fits into one station: {bound}"
        if not more and not half:
            return f"no task is half the limit or longer: {bound}"
        named = {"longer than half the limit, one station each": more}
        named["exactly half, two share one"] = half
        said = "; ".join(f"{name}: {_listed(tasks)}" for name, tasks in named.items() if tasks)
        total = figure(len(more) + len(half) / 2, 1)
        return f"{said}; {len(more)} + {len(half)} / 2 = {total}, rounded up {bound}"

    def thirds(self, bound: int) -> str:
        """Say how the tasks count by thirds of the limit."""
        if self.limit >= self.work.total:
            return f"the whole work fits into one station: {bound}"
        named = zip(THIRDS, thirds(self.work, self.problem), strict=True)
        groups = [(name, weight, tasks) for (name, weight), tasks in named if tasks]
        if not groups:
            return f"no task is a third of the limit or longer: {bound}"
        said = "; ".join(f"{name}: {_listed(tasks)}" for name, _, tasks in groups)
        sum_said = " + ".join(f"{len(tasks)} x {weight}" for _, weight, tasks in groups)
        total = sum(len(tasks) * Fraction(weight) for _, weight, tasks in groups)
        return f"{said}; {sum_said} = {figure(total, 3)}, rounded up {bound}"

    def before_and_after(self, bound: int) -> str:
        """Name the task that has the least choice of stations."""
        number, early, tail = tightest(self.work, self.problem, bound)
        return (
            f"task {number}: with all that comes before it, it is at station "
            f"{early} or later; from it to the end, {count(tail, 'station')} "
            f"{'is' if tail == 1 else 'are'} needed; {early} + {tail} - 1 = {bound}"
        )


def _cycle_bounds(work: LineWork, stations: int, words: TimeWords) -> tuple[Explained, ...]:
    """Open the single bounds on the cycle time of a number of stations."""
    if not work.numbers:
        return ()
    problem = balance_problem(work)
    named = dict(bounds.cycle_bounds(problem, stations))
    show = {n: b * problem.scale / work.ticks for n, b in named.items()}
    longest = work.numbers[max(range(problem.size), key=lambda at: problem.times[at])]
    tasks = f"{count(problem.size, 'task')} at {count(stations, 'station')}"
    shared = show["tasks that must share"]
    even = QUOTIENT.worked(
        {"work": words.value(work.total), "room": plain(stations)}, words.written
    )
    worked = {
        "longest task": f"task {longest} takes {words.show(show['longest task'])}",
        "work / stations": f"{even}, rounded up to what times can add up to: "
        f"{words.show(show['work / stations'])}",
        "tasks that must share": f"{tasks}: "
        + ("none must share" if problem.size <= stations else words.show(shared)),
        HEADS: f"below {words.show(show[HEADS])} some task has no station left among {stations}",
    }
    return tuple(
        _single(name, words.number(show[name]), text, words.label) for name, text in worked.items()
    )


def _listed(names: list[str]) -> str:
    """Return task numbers shortened, with their count."""
    return f"{shortened(names)} ({len(names)})"
