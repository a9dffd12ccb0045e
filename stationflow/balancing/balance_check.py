"""What can be said before, and instead of, balancing: settings and impossible work."""

from dataclasses import replace
from decimal import ROUND_CEILING
from math import isfinite

from stationflow.balancing import bounds
from stationflow.balancing.arrows import circles
from stationflow.balancing.methods import METHODS
from stationflow.balancing.problem import BalanceProblem
from stationflow.balancing.task_check import circle_finding, shortened
from stationflow.balancing.time_words import count
from stationflow.balancing.work import LineWork, in_time_unit
from stationflow.model import BalanceSettings, Finding, Goal, error
from stationflow.units import exact

OPTIONS = {
    "direction": "direction",
    "seconds": "seconds",
    "trials": "trials",
    "seed": "seed",
    "cores": "cores",
    "memory_mb": "memory",
    "nodes": "nodes",
}
"""The options of methods, each with the word that people read for it."""

LEAST_MEMORY_MB = 64
"""Least bound on the memory of a search, in MiB: the tables of a line must fit."""

MOST_TICKS = 2**53
"""Above this sum of times, whole numbers are no longer exact in matrix products (285 000 years)."""


def check_settings(settings: BalanceSettings) -> list[str]:
    """Return what is wrong with the settings, as sentences; empty: nothing.

    An option that the method does not use is wrong, and so is a value out of range.
    """
    method = METHODS.get(settings.method)
    if method is None:
        return [f"There is no method {settings.method!r}; choose from: {', '.join(METHODS)}."]
    wrong = [
        f"The method {method.name} does not use {word}; leave it out."
        for option, word in OPTIONS.items()
        if getattr(settings, option) is not None and option not in method.uses
    ]
    return wrong + _out_of_range(settings) + _goal_problems(settings)


def settings_problems(settings: BalanceSettings) -> list[str]:
    """Return the same of settings that leave the limit to the source, which is known later."""
    if settings.limit is None and settings.stations is None:
        settings = replace(settings, limit=1.0)
    return check_settings(settings)


def _out_of_range(settings: BalanceSettings) -> list[str]:
    wrong = []
    for name, number in (("limit", settings.limit), ("seconds", settings.seconds)):
        if number is not None and not (isfinite(number) and number > 0):
            wrong.append(f"{name} must be a number above zero, got {number}.")
    counts = (
        ("stations", settings.stations, 1),
        ("stations_from", settings.stations_from, 1),
        ("trials", settings.trials, 1),
        ("seed", settings.seed, 0),
        ("cores", settings.cores, 1),
        ("nodes", settings.nodes, 1),
        ("memory", settings.memory_mb, LEAST_MEMORY_MB),
    )
    for name, number, least in counts:
        if number is not None and number < least:
            unit = " MiB" if name == "memory" else ""
            wrong.append(f"{name} must be at least {least}{unit}, got {number}.")
    return wrong


def _goal_problems(settings: BalanceSettings) -> list[str]:
    if settings.goal == Goal.BEST_EFFICIENCY:
        if settings.limit is not None:
            return ["Best efficiency finds its own cycle time; leave the limit out."]
        if settings.stations is None or settings.stations < (settings.stations_from or 1):
            return ["Best efficiency needs a range of stations, such as 3..6."]
    elif settings.limit is None and settings.stations is None:
        return ["Give a limit, a number of stations, or both."]
    return []


def work_findings(work: LineWork) -> tuple[Finding, ...]:
    """Return why this work cannot be balanced at all; empty: it can."""
    where = f"Line {work.line}"
    if not work.numbers:
        return (error("empty-line", where, "It has no tasks."),)
    if found := circles(work.predecessors):
        return tuple(circle_finding([work.numbers[at] for at in circle]) for circle in found)
    if sum(work.times) > MOST_TICKS:
        longest = max(range(len(work.times)), key=lambda at: work.times[at])
        message = (
            f"Its work adds up to {sum(work.times):.2e} units of time, more than the "
            f"{MOST_TICKS:.2e} that can be counted exactly; "
            f"the longest task is {work.numbers[longest]}."
        )
        return (error("time-too-long", where, message),)
    return ()


def tasks_longer_than(
    work: LineWork, limit: float, *, by_demand: bool = False
) -> tuple[Finding, ...]:
    """Return a finding for each task that is longer than the limit, in the time unit of the work.

    `by_demand`: whether demand sets the limit; else it was given by hand.
    """
    most, words = exact(limit) * work.ticks, work.words
    last = "lower the demand so that the takt grows" if by_demand else "allow a longer limit"
    findings = []
    for number, time in zip(work.numbers, work.times, strict=True):
        if time > most:
            copies = int((time / most).to_integral_value(rounding=ROUND_CEILING))
            message = (
                f"Its time {words.show(in_time_unit(work, time))} is longer than the limit of a "
                f"station, {words.show(limit)}{', which the demand sets' if by_demand else ''}."
            )
            hint = f"Split the task, shorten it, plan {copies} parallel stations for it, or {last}."
            findings.append(error("task-longer-than-limit", f"Task {number}", message, hint))
    return tuple(findings)


def impossible(
    work: LineWork, problem: BalanceProblem, limit: float, most: int, low: int
) -> Finding:
    """Return the finding that says why `most` stations cannot do at this limit.

    `limit` is in the time unit of the work; `low` is the proven number of stations needed.
    """
    message = (
        f"{count(most, 'station')} at {work.words.show(limit)} cannot do "
        f"the work: {_clash(work, problem, limit, most)} "
        f"At least {count(low, 'station')} {'is' if low == 1 else 'are'} needed."
    )
    return error("line-impossible", f"Line {work.line}", message)


def _clash(work: LineWork, problem: BalanceProblem, limit: float, most: int) -> str:
    units, words = problem.limit or 0, work.words
    if bounds.lb1(problem.times, units) > most:
        return (
            f"{most} x {words.figure(limit)} = {words.show(float(exact(limit) * most))}, but the "
            f"work content is {words.show(work.total)} in tasks that are not split."
        )
    long = [n for n, time in zip(work.numbers, problem.times, strict=True) if 2 * time > units]
    if len(long) > most:
        return f"no two of the tasks {shortened(long)} fit into one station."
    windows = bounds.reach(problem).windows(units)
    narrow = [at for at, last in enumerate(windows.latest(most)) if last < windows.earliest[at]]
    if narrow:
        at = narrow[0]
        number, early, tail = work.numbers[at], windows.earliest[at], windows.tail[at]
        return (
            f"with all that comes before it, task {number} is at station {early} or later; with "
            f"all that comes after it, it needs {count(tail, 'station')} to the end."
        )
    if bounds.lb3(problem.times, units) > most:
        third = [
            n for n, time in zip(work.numbers, problem.times, strict=True) if 3 * time >= units
        ]
        return f"the long tasks {shortened(third)} do not fit together well enough."
    return "every way of sharing out the tasks was ruled out."
