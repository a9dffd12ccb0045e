"""Why it cannot be less: the shortest true reason for a lower bound, in the engineer's words."""

from stationflow.balancing import bounds
from stationflow.balancing.explained.summary import stop_words
from stationflow.balancing.problem import BalanceProblem, balance_problem
from stationflow.balancing.task_check import shortened
from stationflow.balancing.time_words import TimeWords, count, time_words
from stationflow.balancing.work import LineWork, in_time_unit
from stationflow.model import BalanceResult, Ending, Goal
from stationflow.pace.figures import figure
from stationflow.units import exact

WORDS = {
    "LB1": "the work content",
    "LB2": "tasks of half the limit and more",
    "LB3": "tasks of a third of the limit and more",
    bounds.HEADS_AND_TAILS: "what comes before and after each task",
    "longest task": "the longest task",
    "work / stations": "work content / stations",
    "tasks that must share": "tasks that must share a station",
    bounds.LIMITS: "the limits entered for tasks and stations",
    "packing": "the tasks, in any order but never two together that cannot share a station,",
}
"""Each single bound in the engineer's words; a new bound needs a row here and is then named."""
THIRDS = (
    "longer than two thirds need a station each",
    "of exactly two thirds count 2/3",
    "longer than a third share stations two by two",
    "of exactly a third share stations three by three",
)
"""What LB3 says of each group of `thirds`."""


def why_not_less(
    work: LineWork,
    result: BalanceResult,
    words: TimeWords | None = None,
) -> str:
    """Return why no plan can have less, in a sentence or two.

    Of the single bounds that reach the lower bound the simplest to see is told. Where none
    does, the search itself is the reason. Where plan and bound have not met, it is said
    between which numbers the answer lies. Empty where nothing was proven: a plan from a file,
    or data with errors.
    """
    if result.ending is None or not result.proof.lower_bound or not work.numbers:
        return ""
    work = work.pinned(result.asked.pins)
    if clash := next((f.message for f in result.findings if f.code == "limits-clash"), ""):
        return f"No plan keeps all that is asked. {clash}"
    said = words or time_words(result.time_unit, work.shown)
    if result.goal in (Goal.FEWEST_STATIONS, Goal.FEASIBLE):
        return _why_stations(work, result, said)
    if result.goal == Goal.SHORTEST_CYCLE:
        return _why_cycle(work, result, said)
    return _why_efficiency(result, said)


def _why_stations(work: LineWork, result: BalanceResult, words: TimeWords) -> str:
    """Say why fewer stations are not possible, or that it is not decided."""
    limit, low, used = result.limit, int(result.proof.lower_bound), len(result.stations)
    if limit is None:
        return ""
    problem = bounds.at_best(balance_problem(work, limit))
    if problem.limit is None or problem.longest > problem.limit:
        longest = work.numbers[max(range(problem.size), key=lambda at: problem.times[at])]
        return f"No number of stations is enough: task {longest} is longer than the limit."
    named = {**dict(result.proof.bounds), **dict(bounds.bounds(problem))}
    reason = _station_reason(work, problem, named, low, limit, words)
    if bounds.LIMITS in named and reason == _need(bounds.LIMITS, low):
        reason += _kept(result)
    if not reason and low > 1:
        reason = (
            f"no simple reason; the search tried every way of filling {count(low - 1, 'station')} "
            f"and found none{_kept(result)}{_effort(result)}"
        )
    reason = reason or "there is work, so a station is needed"
    if result.ending == Ending.IMPOSSIBLE:
        return f"Not with {count(result.asked.stations or low - 1, 'station')}: {reason}."
    if used and low >= used:
        return f"Not fewer than {count(low, 'station')}: {reason}."
    least = f"At least {count(low, 'station')}: {reason}."
    if not used:
        return f"{least} Whether a plan keeps what is asked is not decided{_stop(result)}."
    if result.goal == Goal.FEASIBLE:
        return least
    return f"Between {low} and {count(used, 'station')} is not decided{_stop(result)}. {least}"


def _station_reason(
    work: LineWork,
    problem: BalanceProblem,
    named: dict[str, float],
    low: int,
    limit: float,
    words: TimeWords,
) -> str:
    """Return the simplest single bound that reaches `low`, as a clause; empty: none does."""
    reach = {name for name, bound in named.items() if bound >= low}
    if "LB1" in reach:
        return _content(work, problem, low, limit, words)
    if "LB2" in reach:
        return _halves(*halves(work, problem), words.show(limit))
    if "LB3" in reach:
        groups = zip(THIRDS, thirds(work, problem), strict=True)
        said = [f"{len(found)} {name} ({shortened(found)})" for name, found in groups if found]
        return f"of the tasks of a third of {words.show(limit)} and more, {', '.join(said)}"
    if bounds.HEADS_AND_TAILS in reach:
        number, early, tail = tightest(work, problem, low)
        return (
            f"with all that comes before it, task {number} is at station {early} or "
            f"later, and from it to the end {count(tail, 'station')} "
            f"{'is' if tail == 1 else 'are'} needed"
        )
    other = next((name for name in named if name in reach), "")
    return _need(other, low) if other else ""


def _need(name: str, stations: int) -> str:
    return f"{WORDS.get(name, name)} need {count(stations, 'station')}"


def _kept(result: BalanceResult) -> str:
    """Return the limits that were kept, as the end of a clause; empty: none was."""
    kept = result.proof.limits_kept
    return f" (kept: {', '.join(kept)})" if kept else ""


def halves(work: LineWork, problem: BalanceProblem) -> tuple[list[str], list[str]]:
    """Return the tasks longer than half the limit, and those of exactly half."""
    limit, times = problem.limit or 0, list(zip(work.numbers, problem.times, strict=True))
    return [n for n, t in times if 2 * t > limit], [n for n, t in times if 2 * t == limit]


def thirds(work: LineWork, problem: BalanceProblem) -> tuple[list[str], ...]:
    """Return the tasks above, at and below two thirds of the limit, and those at a third."""
    limit, times = problem.limit or 0, list(zip(work.numbers, problem.times, strict=True))
    return (
        [n for n, t in times if 3 * t > 2 * limit],
        [n for n, t in times if 3 * t == 2 * limit],
        [n for n, t in times if limit < 3 * t < 2 * limit],
        [n for n, t in times if 0 < 3 * t == limit],
    )


def tightest(work: LineWork, problem: BalanceProblem, least: int) -> tuple[str, int, int]:
    """Return the first task that needs so many stations: its first station, those to the end."""
    windows = bounds.reach(problem).windows(problem.limit or 0)
    rows = zip(work.numbers, windows.earliest, windows.tail, strict=True)
    return next(row for row in rows if row[1] + row[2] - 1 >= least)


def _content(
    work: LineWork, problem: BalanceProblem, low: int, limit: float, words: TimeWords
) -> str:
    """Say how many stations the work content needs, and what one fewer has room for."""
    said = f"the work content of {words.show(work.total)} needs {low} at {words.show(limit)}"
    if low == 1:
        return said
    fewer = f"{count(low - 1, 'station')} {'holds' if low == 2 else 'hold'} only"
    room = (low - 1) * exact(limit)
    if room < exact(work.total):
        return f"{said}; {fewer} {words.show(float(room))}"
    # What of the limit whole tasks can use: the largest multiple of their common step.
    usable = in_time_unit(work, (problem.limit or 0) * problem.scale)
    room = (low - 1) * exact(usable)
    return (
        f"{said}, of which times can fill {words.show(usable)}; {fewer} {words.show(float(room))}"
    )


def _halves(more: list[str], half: list[str], limit: str) -> str:
    """Name the tasks of which no two fit together."""
    said = []
    if more:
        tasks, need = ("task", "needs") if len(more) == 1 else ("tasks", "need")
        said.append(
            f"{tasks} {shortened(more)} {'is' if len(more) == 1 else 'are'} longer than half of "
            f"{limit} and {need} a station each ({len(more)})"
        )
    if half:
        takes = "takes" if len(half) == 1 else "take"
        said.append(f"{shortened(half)} {takes} exactly half, two to a station ({len(half)})")
    return "; ".join(said)


def _why_cycle(work: LineWork, result: BalanceResult, words: TimeWords) -> str:
    """Say why a shorter cycle is not possible, or that it is not decided."""
    problem = bounds.at_best(balance_problem(work))
    most = result.asked.stations or len(result.stations)
    unit = problem.scale / work.ticks
    named = {
        n: in_time_unit(work, b * problem.scale) for n, b in bounds.cycle_bounds(problem, most)
    }
    named = {**dict(result.proof.bounds), **named}
    low = result.proof.lower_bound
    shown, stations = words.show(low), count(most, "station")
    reach = [name for name, bound in named.items() if bound >= low - unit / 2]
    longest = work.numbers[max(range(problem.size), key=lambda at: problem.times[at])]
    share = work.total / most
    least = f"{words.show(share)}, and times add up to no less than {shown}"
    least = shown if abs(share - low) < unit / 2 else least
    simple = {
        "longest task": f"task {longest} takes {shown} and is not split",
        "work / stations": f"the work content of {words.show(work.total)} over {stations} is "
        f"{least}",
        "tasks that must share": f"of the longest tasks some must share one of {stations}, at best "
        f"{shown}",
        bounds.HEADS_AND_TAILS: f"below {shown} what comes before and after some task leaves it no "
        f"station among {most}",
    }
    for name in reach:  # after those that are simpler to see
        kept = _kept(result) if name == bounds.LIMITS else ""
        simple.setdefault(name, f"{WORDS.get(name, name)} need {shown}{kept}")
    searched = (
        f"no simple reason; the search tried every way of filling {stations} in less and found "
        f"none{_kept(result)}{_effort(result)}"
    )
    reason = next((said for name, said in simple.items() if name in reach), searched)
    least = f"Not under {shown}: {reason}."
    return f"{_open(result, low, result.cycle_time, words)}{least}"


def _why_efficiency(result: BalanceResult, words: TimeWords) -> str:
    """Say why stations x cycle time cannot be less over the range."""
    low = result.proof.lower_bound
    simple = min((bound for _, bound in result.proof.bounds), default=0.0)
    span = (
        f"from {result.asked.stations_from or 1} to {count(result.asked.stations or 1, 'station')}"
    )
    if simple >= low:
        nearest = next(name for name, bound in result.proof.bounds if bound == simple)
        reason = f"counting work and tasks allows no less {span}, {nearest} come closest"
    else:
        reason = f"no simple reason; the search ruled out less {span}{_effort(result)}"
    least = f"Stations x cycle time not under {words.show(low)}: {reason}."
    product = len(result.stations) * result.cycle_time if result.has_plan else 0
    return f"{_open(result, low, product, words)}{least}"


def _open(result: BalanceResult, low: float, reached: float, words: TimeWords) -> str:
    """Say between which times the answer lies; empty: the plan has met its bound."""
    if reached <= low:
        return ""
    return f"Between {words.show(low)} and {words.show(reached)} is not decided{_stop(result)}. "


def _effort(result: BalanceResult) -> str:
    """Return how much was searched, in brackets."""
    plans = f"{figure(result.effort.nodes)} partial plans in " if result.effort.nodes else ""
    return f" ({plans}{figure(result.effort.runtime_s, 2)} s)"


def _stop(result: BalanceResult) -> str:
    """Return why the proof is missing; empty: the method proves nothing by itself."""
    return "" if result.proof.stopped is None else f": {stop_words(result)}"
