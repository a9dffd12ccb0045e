"""The numbers of a task and of the order of a line, opened."""

from dataclasses import dataclass, replace
from fractions import Fraction

from stationflow.balancing.arrows import closure, members, order_strength
from stationflow.balancing.bounds import Windows, reach
from stationflow.balancing.explained.bounds_explained import SOURCE, rounded_up
from stationflow.balancing.methods.ranked_positional_weight import positional_weights
from stationflow.balancing.problem import BalanceProblem, balance_problem
from stationflow.balancing.task_check import shortened
from stationflow.balancing.time_words import TimeWords, count
from stationflow.balancing.work import LineWork, mean_time_ms
from stationflow.model import Explained, Product, Task, cross_checked
from stationflow.model.explanation import key_word
from stationflow.model.terms import TERMS
from stationflow.pace.figures import figure

WEIGHT_SOURCE = (
    "Helgeson, W. B. and Birnie, D. P. (1961). Assembly line balancing using the ranked positional "
    "weighting technique. Journal of Industrial Engineering 12(6), 394-398"
)
ORDER_SOURCE = (
    "Mastor, A. A. (1970). An experimental investigation and comparative evaluation of production "
    "line balancing techniques. Management Science 16(11), 728-746"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderFacts:
    """What the order of a line says of its tasks, computed once for all of them."""

    work: LineWork  # the work of the line
    problem: BalanceProblem
    weights: tuple[float, ...]  # positional weights in the time unit of the work, by position
    # before, after: sets of positions before and after each task, as bits
    before: tuple[int, ...]
    after: tuple[int, ...]
    takt: float = 0.0  # limit of a station in the time unit of the work; 0: none
    # earliest and latest stations at the limit; None: no limit, or a task is longer than it
    windows: Windows | None = None


def order_facts(work: LineWork, takt: float | None = None) -> OrderFacts:
    """Return what the order of a line says of its tasks.

    Parameters
    ----------
    work
        The work of the line, without a circle.
    takt
        Limit of a station in the time unit of the work; None: no windows.
    """
    problem = balance_problem(work, takt)
    limit = problem.limit
    has_windows = limit is not None and 0 < problem.longest <= limit
    return OrderFacts(
        work=work,
        problem=problem,
        weights=tuple(w * problem.scale / work.ticks for w in positional_weights(problem)),
        before=closure(problem.predecessors),
        after=closure(problem.successors),
        takt=takt or 0.0,
        windows=reach(problem).windows(limit) if has_windows and limit is not None else None,
    )


def order_number(work: LineWork) -> Explained:
    """Return the order strength of a line, opened."""
    size = len(work.numbers)
    pairs = size * (size - 1) // 2
    fixed = sum(s.bit_count() for s in closure(work.predecessors))
    value = order_strength(work.predecessors)
    return cross_checked(
        Explained(
            name="order strength",
            value=value,
            unit="",
            formula="order strength = pairs of tasks whose order is fixed / all pairs",
            worked=f"{fixed} / ({size} x {size - 1} / 2) = {figure(value, 4)}"
            if pairs
            else f"{count(size, 'task')}: no pair",
            source=ORDER_SOURCE,
            other=TERMS["order strength"].elsewhere,
        ),
        sum(_reached(work.predecessors, at) for at in range(size)) / pairs if pairs else None,
        "walking back along the arrows from each task and counting",
    )


def task_numbers(
    facts: OrderFacts,
    number: str,
    words: TimeWords,
    stations: int = 0,
    at_station: int | None = None,
) -> tuple[Explained, ...]:
    """Return positional weight, earliest and latest station of a task, opened.

    Parameters
    ----------
    facts
        What the order of the line says.
    number
        Number of the task.
    words
        The unit in which the numbers speak.
    stations
        Stations of the plan; 0: there is no plan and so no latest station.
    at_station
        The station the plan has the task at, for the cross-check; None: none.

    Raises
    ------
    ValueError
        If the line has no such task.
    """
    at = facts.work.numbers.index(number)
    opened = [_weight(facts, at, words)]
    if facts.windows is not None:
        opened.append(_earliest(facts, facts.windows, at, words))
        if stations:
            opened.append(_latest(facts, facts.windows, at, words, stations))
    kept = [_kept(e, at_station) for e in opened[1:]]
    return (opened[0], *kept)


def mean_time_number(product: Product, task: Task) -> Explained | None:
    """Return the mean time of a task over the mix, opened; None: no models, or not timed."""
    if not product.models or any(task.time_ms_for(m.name) is None for m in product.models):
        return None
    words = TimeWords(unit=product.time_unit)
    shares = [Fraction(str(model.share)) for model in product.models]
    shares = shares if sum(shares) else [Fraction(1)] * len(shares)
    times = [task.time_ms_for(model.name) or 0 for model in product.models]
    value = mean_time_ms(product, task) / 1000
    parts = [f"{figure(s)} x {words.figure(t / 1000)}" for s, t in zip(shares, times, strict=True)]
    named = ", ".join(model.name for model in product.models)
    divided = "" if sum(shares) == 1 else f" / {figure(sum(shares))}"
    joined = " + ".join(parts)
    exact_mean = sum((s * t for s, t in zip(shares, times, strict=True)), Fraction()) / sum(shares)
    again = Fraction(int(exact_mean + Fraction(1, 2)), 1000)
    return cross_checked(
        Explained(
            name="mean time over the mix",
            value=words.number(value),
            unit=words.label,
            formula="mean time = sum of share x time of each model / sum of shares, to the "
            "millisecond",
            worked=f"models {named}: {f'({joined})' if divided else joined}{divided} = "
            f"{words.show(value)}",
            source="definition of the weighted mean",
            other="Some balance the time of the longest model instead; each model over the limit "
            "is a finding here.",
            key=f"task-{_word(task.number)}-mean-time",
            where=f"task {task.number}",
        ),
        words.number(float(again)),
        "the mean in whole fractions",
    )


def _weight(facts: OrderFacts, at: int, words: TimeWords) -> Explained:
    """Open the positional weight of a task."""
    work = facts.work
    behind = [work.times[other] / work.ticks for other in members(facts.after[at])]
    own = work.times[at] / work.ticks
    names = shortened([work.numbers[other] for other in members(facts.after[at])])
    worked = f"{words.figure(own)} (task {work.numbers[at]}, none after it)"
    if behind:
        worked = f"{words.figure(own)} + {words.sum(behind)} (tasks {names})"
    walked = work.times[at] + sum(work.times[p] for p in _walk(facts.problem.successors, at))
    return cross_checked(
        Explained(
            name="positional weight",
            value=words.number(facts.weights[at]),
            unit=words.label,
            formula="positional weight = own time + times of all tasks that cannot start before it",
            worked=f"{worked} = {words.show(facts.weights[at])}",
            source=WEIGHT_SOURCE,
            other=TERMS["positional weight"].elsewhere,
            key=f"task-{_word(work.numbers[at])}-positional-weight",
            where=f"task {work.numbers[at]}",
        ),
        words.number(walked / work.ticks),
        "walking along the arrows from the task and adding each task once",
    )


def _earliest(facts: OrderFacts, windows: Windows, at: int, words: TimeWords) -> Explained:
    """Open the first station a task can be at."""
    return Explained(
        name="earliest station",
        value=float(windows.earliest[at]),
        unit="",
        formula="earliest station = stations that the task and all before it need together",
        worked=_needed(facts, facts.before[at], at, windows.earliest[at], words),
        source=SOURCE,
        key=f"task-{_word(facts.work.numbers[at])}-earliest-station",
        where=f"task {facts.work.numbers[at]}",
    )


def _latest(
    facts: OrderFacts, windows: Windows, at: int, words: TimeWords, stations: int
) -> Explained:
    """Open the last station a task can be at, on the plan's number of stations."""
    tail = windows.tail[at]
    needed = _needed(facts, facts.after[at], at, tail, words)
    return Explained(
        name="latest station",
        value=float(windows.latest(stations)[at]),
        unit="",
        formula="latest station = stations + 1 - stations that the task and all after it need",
        worked=f"{needed}; {stations} + 1 - {tail} = {stations + 1 - tail}",
        source=SOURCE,
        key=f"task-{_word(facts.work.numbers[at])}-latest-station",
        where=f"task {facts.work.numbers[at]}",
    )


def _needed(facts: OrderFacts, others: int, at: int, stations: int, words: TimeWords) -> str:
    """Say how many stations a task and a set of others need."""
    work = facts.work
    limit = (facts.problem.limit or 1) * facts.problem.scale
    ticks = work.times[at] + sum(work.times[other] for other in members(others))
    by_work = max(1, -(-ticks // limit))
    usable = min(facts.takt, limit / work.ticks)
    quotient = rounded_up(ticks / work.ticks, facts.takt, usable, by_work, words)
    said = f"{count(others.bit_count() + 1, 'task')}: {quotient}"
    if stations > by_work:
        said += f"; long tasks that do not fit together make it {stations}"
    return said


def _kept(explained: Explained, at_station: int | None) -> Explained:
    """Add whether the plan keeps the window."""
    if at_station is None or explained.value is None:
        return explained
    is_first = explained.name == "earliest station"
    holds = at_station >= explained.value if is_first else at_station <= explained.value
    said = "Agrees" if holds else "Differs"
    return replace(explained, check=f"{said}: the plan has the task at station {at_station}.")


def _walk(arrows: tuple[tuple[int, ...], ...], start: int) -> set[int]:
    """Return all positions that the arrows lead to from one."""
    seen: set[int] = set()
    waiting = list(arrows[start])
    while waiting:
        at = waiting.pop()
        if at not in seen:
            seen.add(at)
            waiting += arrows[at]
    return seen


def _reached(arrows: tuple[tuple[int, ...], ...], start: int) -> int:
    """Return how many positions the arrows lead to from one."""
    return len(_walk(arrows, start))


def _word(number: str) -> str:
    """Return a task number as part of a key."""
    return key_word(number) or "task"
