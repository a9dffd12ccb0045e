"""Lower bounds in the engineer's words: why no plan can do with less."""

import math
from collections.abc import Callable
from dataclasses import replace

from stationflow.balancing import bounds
from stationflow.balancing.explained.bound_reasons import WORDS, why_not_less
from stationflow.balancing.problem import BalanceProblem, balance_problem
from stationflow.balancing.task_check import shortened
from stationflow.balancing.time_words import TimeWords, count, time_words
from stationflow.balancing.work import LineWork
from stationflow.model import BalanceResult, Explained, Goal, cross_checked
from stationflow.model.terms import TERMS
from stationflow.pace.figures import figure
from stationflow.units import exact

SOURCE = (
    "Scholl, A. and Becker, C. (2006). State-of-the-art exact and heuristic solution procedures "
    "for simple assembly line balancing. European Journal of Operational Research 168(3), 666-693"
)
KEYS = {
    "LB1": "bound-work-content",
    "LB2": "bound-half-limit",
    "LB3": "bound-third-limit",
    bounds.HEADS_AND_TAILS: "bound-before-and-after",
    "longest task": "bound-longest-task",
    "work / stations": "bound-work-by-stations",
    "tasks that must share": "bound-sharing-tasks",
}


def bound_numbers(
    work: LineWork,
    result: BalanceResult,
    words: TimeWords | None = None,
) -> tuple[Explained, ...]:
    """Return the lower bound of a plan and each single bound behind it, opened.

    Parameters
    ----------
    work
        The work of the line the plan was made for.
    result
        The balanced line.
    words
        The unit in which the numbers speak; None: the result's own.

    Returns
    -------
    tuple of Explained
        The lower bound first; empty for a plan with a task longer than its limit.
    """
    words = words or time_words(result.time_unit)
    if result.goal in (Goal.FEWEST_STATIONS, Goal.FEASIBLE):
        singles = station_bounds(work, result.limit, words)
    elif result.goal == Goal.SHORTEST_CYCLE:
        singles = _cycle_bounds(work, result.asked.stations or len(result.stations), words)
    else:
        singles = ()
    named = dict(result.proof.bounds)
    if not named and not singles:
        return ()
    opened = lower_bound(result, words, singles)
    why = why_not_less(work, result, words)
    return (replace(opened, worked=f"{opened.worked}. {why}" if why else opened.worked), *singles)


def lower_bound(
    result: BalanceResult, words: TimeWords | None = None, singles: tuple[Explained, ...] = ()
) -> Explained:
    """Return the lower bound of a plan, opened.

    Parameters
    ----------
    result
        The balanced line.
    words
        The unit in which the numbers speak; None: the result's own.
    singles
        The single bounds computed again, for the cross-check; empty: those of the result.
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
    recomputed = max((b for name, b in result.proof.bounds if name in KEYS), default=0.0)
    if again is None or (
        result.proof.bounds and value > (recomputed if counts else words.number(recomputed))
    ):
        return opened  # the search, or a bound of its own, is the reason
    return cross_checked(opened, again, "each bound computed again from the tasks, the largest,")


def station_bounds(work: LineWork, takt: float | None, words: TimeWords) -> tuple[Explained, ...]:
    """Return the single bounds on the number of stations at a limit, opened.

    Nothing where there is no limit, or a task is longer than it.
    """
    if takt is None or not work.numbers:
        return ()
    problem = balance_problem(work, takt)
    if problem.limit is None or problem.longest > problem.limit:
        return ()
    named = dict(bounds.bounds(problem))
    line = _Said(work, problem, takt, words)
    worked = {
        "LB1": line.work_content(named["LB1"]),
        "LB2": line.halves(named["LB2"]),
        "LB3": line.thirds(named["LB3"]),
        bounds.HEADS_AND_TAILS: line.before_and_after(named[bounds.HEADS_AND_TAILS]),
    }
    formulas = {
        "LB1": "stations = work content / limit, rounded up (LB1)",
        "LB2": "stations = tasks longer than half the limit + half of those of exactly half, "
        "rounded up (LB2)",
        "LB3": "stations = 1 for each task above 2/3 of the limit, 2/3 at 2/3, 1/2 between, 1/3 at "
        "1/3, rounded up (LB3)",
        bounds.HEADS_AND_TAILS: "stations = first station a task can be at + stations from it to "
        "the end - 1, for the task where this is largest",
    }
    return tuple(
        Explained(
            name=f"bound by {WORDS[name]}",
            value=float(named[name]),
            unit="",
            formula=formulas[name],
            worked=text,
            source=SOURCE,
            key=KEYS[name],
            check=line.check_of_content(named["LB1"]) if name == "LB1" else "",
        )
        for name, text in worked.items()
    )


def rounded_up(work: float, takt: float, usable: float, bound: int, words: TimeWords) -> str:
    """Return a quotient rounded up in words, and why it is more than the limit alone would say."""
    said = f"{words.figure(work)} / {words.figure(takt)} = {figure(work / takt, 3)}"
    if math.ceil(exact(work) / exact(takt)) == bound:
        return f"{said}, rounded up {bound}"
    return (
        f"{said}; the times add up to {words.show(usable)} or to more than {words.show(takt)}, "
        f"so {words.figure(work)} / {words.figure(usable)} = {figure(work / usable, 3)}, "
        f"rounded up {bound}"
    )


class _Said:
    """The bounds on stations of one line in words."""

    def __init__(self, work: LineWork, problem: BalanceProblem, takt: float, words: TimeWords):
        self.work, self.problem, self.takt, self.words = work, problem, takt, words
        self.limit = problem.limit or 0

    @property
    def usable(self) -> float:
        """What of the limit whole tasks can use: the largest multiple of the smallest step."""
        return min(self.takt, self.limit * self.problem.scale / self.work.ticks)

    def work_content(self, bound: int) -> str:
        """Say how many stations the work content needs."""
        work = sum(self.work.times) / self.work.ticks
        said = rounded_up(work, self.takt, self.usable, bound, self.words)
        return f"the work content needs {count(bound, 'station')}: {said}"

    def check_of_content(self, bound: int) -> str:
        """Say that one station fewer has no room for the work content."""
        if bound <= 1:
            return ""
        room = exact(self.takt)
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
        if self.takt >= self.work.total:
            return f"the whole work fits into one station: {bound}"
        more = self._names(lambda t: 2 * t > self.limit)
        half = self._names(lambda t: 2 * t == self.limit)
        if not more and not half:
            return f"no task is half the limit or longer: {bound}"
        said = []
        if more:
            said.append(f"longer than half the limit, one station each: {_listed(more)}")
        if half:
            said.append(f"exactly half, two share one: {_listed(half)}")
        total = figure(len(more) + len(half) / 2, 1)
        return f"{'; '.join(said)}; {len(more)} + {len(half)} / 2 = {total}, rounded up {bound}"

    def thirds(self, bound: int) -> str:
        """Say how the tasks count by thirds of the limit."""
        if self.takt >= self.work.total:
            return f"the whole work fits into one station: {bound}"
        groups = (
            ("above 2/3", "1", self._names(lambda t: 3 * t > 2 * self.limit)),
            ("at 2/3", "2/3", self._names(lambda t: 3 * t == 2 * self.limit)),
            ("between", "1/2", self._names(lambda t: self.limit < 3 * t < 2 * self.limit)),
            ("at 1/3", "1/3", self._names(lambda t: 0 < 3 * t == self.limit)),
        )
        said = [f"{name}: {_listed(names)}" for name, _, names in groups if names]
        if not said:
            return f"no task is a third of the limit or longer: {bound}"
        sum_said = " + ".join(f"{len(names)} x {weight}" for _, weight, names in groups if names)
        return f"{'; '.join(said)}; {sum_said}, rounded up {bound}"

    def before_and_after(self, bound: int) -> str:
        """Name the task that has the least choice of stations."""
        windows = bounds.reach(self.problem).windows(self.limit)
        pairs = list(zip(windows.earliest, windows.tail, strict=True))
        at = next(i for i, (early, tail) in enumerate(pairs) if early + tail - 1 == bound)
        early, tail = pairs[at]
        return (
            f"task {self.work.numbers[at]}: with all that comes before it, it is at station "
            f"{early} or later; from it to the end, {count(tail, 'station')} "
            f"{'is' if tail == 1 else 'are'} needed; {early} + {tail} - 1 = {bound}"
        )

    def _names(self, is_meant: Callable[[int], bool]) -> list[str]:
        """Return the numbers of the tasks whose time in whole units is meant."""
        times = self.problem.times
        return [self.work.numbers[at] for at, time in enumerate(times) if is_meant(time)]


def _cycle_bounds(work: LineWork, stations: int, words: TimeWords) -> tuple[Explained, ...]:
    """Open the single bounds on the cycle time of a number of stations."""
    if not work.numbers:
        return ()
    problem = balance_problem(work)
    named = dict(bounds.cycle_bounds(problem, stations))
    show = {n: b * problem.scale / work.ticks for n, b in named.items()}
    longest = work.numbers[max(range(problem.size), key=lambda at: problem.times[at])]
    worked = {
        "longest task": f"task {longest} takes {words.show(show['longest task'])}",
        "work / stations": f"{words.figure(work.total)} / {stations} = "
        f"{words.figure(work.total / stations)}, rounded up to what times can add up to: "
        f"{words.show(show['work / stations'])}",
        "tasks that must share": _sharing(problem, stations, words, show["tasks that must share"]),
        bounds.HEADS_AND_TAILS: f"below {words.show(show[bounds.HEADS_AND_TAILS])} some task has "
        f"no station left among {stations}",
    }
    formulas = {
        "longest task": "cycle time >= longest task, which is not split",
        "work / stations": "cycle time >= work content / stations",
        "tasks that must share": "of k x stations + 1 longest tasks, k + 1 are at one station: at "
        "best the shortest of them",
        bounds.HEADS_AND_TAILS: "cycle time >= the smallest limit at which each task has a station "
        "after all before it and before all after it",
    }
    return tuple(
        Explained(
            name=f"bound by {WORDS[name]}",
            value=words.number(show[name]),
            unit=words.label,
            formula=formulas[name],
            worked=text,
            source=SOURCE,
            key=KEYS[name],
        )
        for name, text in worked.items()
    )


def _sharing(problem: BalanceProblem, stations: int, words: TimeWords, bound: float) -> str:
    """Say what the longest tasks that must share a station add up to."""
    if problem.size <= stations:
        return f"{count(problem.size, 'task')} at {count(stations, 'station')}: none must share"
    return f"{count(problem.size, 'task')} at {count(stations, 'station')}: {words.show(bound)}"


def _listed(names: list[str]) -> str:
    """Return task numbers shortened, with their count."""
    return f"{shortened(names)} ({len(names)})"
