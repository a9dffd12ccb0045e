"""The numbers of a task and of the order of a line, opened."""

from dataclasses import dataclass, replace
from fractions import Fraction

from stationflow.balancing.arrows import closure, members, order_strength
from stationflow.balancing.bounds import Windows, reach
from stationflow.balancing.explained.bounds_explained import SOURCE, rounded_up
from stationflow.balancing.methods.rules import positional_weights
from stationflow.balancing.problem import BalanceProblem, balance_problem
from stationflow.balancing.time_words import TimeWords, count
from stationflow.balancing.work import LineWork, mean_time_ms
from stationflow.model import Explained, Product, Task, cross_checked
from stationflow.model.explanation import key_word
from stationflow.model.terms import TERMS
from stationflow.pace.figures import figure
from stationflow.pace.formula import Formula, Result, Written, plain

WEIGHT_SOURCE = (
    "Helgeson, W. B. and Birnie, D. P. (1961). Assembly line balancing using the ranked positional "
    "weighting technique. Journal of Industrial Engineering 12(6), 394-398"
)
ORDER_SOURCE = (
    "Mastor, A. A. (1970). An experimental investigation and comparative evaluation of production "
    "line balancing techniques. Management Science 16(11), 728-746"
)
STRENGTH = Formula(
    name="order strength",
    right="pairs of tasks whose order is fixed / all pairs",
    source=ORDER_SOURCE,
    other=TERMS["order strength"].elsewhere,
    how="walking back along the arrows from each task and counting",
)
WEIGHT = Formula(
    name="positional weight",
    right="own time + times of all tasks that cannot start before it",
    source=WEIGHT_SOURCE,
    other=TERMS["positional weight"].elsewhere,
    how="walking along the arrows from the task and adding each task once",
)
EARLIEST = Formula(
    name="earliest station",
    right="stations that the task and all before it need together",
    source=SOURCE,
)
LATEST = Formula(
    name="latest station",
    right="stations + 1 - stations that the task and all after it need",
    source=SOURCE,
)
MEAN = Formula(
    name="mean time over the mix",
    left="mean time",
    right="sum of share x time of each model / sum of shares, to the millisecond",
    source="definition of the weighted mean",
    other="Some balance the time of the longest model instead; each model over the limit is a "
    "finding here.",
    how="the mean in whole fractions",
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
    limit: float = 0.0  # limit of a station in the time unit of the work; 0: none
    # earliest and latest stations at the limit; None: no limit, or a task is longer than it
    windows: Windows | None = None


def order_facts(work: LineWork, limit: float | None = None) -> OrderFacts:
    """Return what the order of a line without a circle says of its tasks.

    `limit` is the limit of a station in the time unit of the work; None: no windows.
    """
    problem = balance_problem(work, limit)
    most = problem.limit
    has_windows = most is not None and 0 < problem.longest <= most
    return OrderFacts(
        work=work,
        problem=problem,
        weights=tuple(w * problem.scale / work.ticks for w in positional_weights(problem)),
        before=closure(problem.predecessors),
        after=closure(problem.successors),
        limit=limit or 0.0,
        windows=reach(problem).windows(most) if has_windows and most is not None else None,
    )


def order_number(work: LineWork) -> Explained:
    """Return the order strength of a line, opened."""
    size = len(work.numbers)
    pairs = size * (size - 1) // 2
    fixed = sum(s.bit_count() for s in closure(work.predecessors))
    value = order_strength(work.predecessors)
    worked = f"{fixed} / ({size} x {size - 1} / 2) = {figure(value, 4)}"
    opened = STRENGTH.told(value, worked if pairs else f"{count(size, 'task')}: no pair")
    walked = sum(len(_walk(work.predecessors, at)) for at in range(size))
    return cross_checked(opened, walked / pairs if pairs else None, STRENGTH.how)


def task_numbers(
    facts: OrderFacts,
    number: str,
    words: TimeWords,
    stations: int = 0,
    at_station: int | None = None,
) -> tuple[Explained, ...]:
    """Return positional weight, earliest and latest station of a task, opened.

    Without `stations` (there is no plan) there is no latest station. `at_station` is the station
    the plan has the task at, for the cross-check; None: none.

    Raises
    ------
    ValueError
        If the line has no such task.
    """
    at = facts.work.numbers.index(number)
    opened = [_weight(facts, at, words)]
    if windows := facts.windows:
        early, tail = windows.earliest[at], windows.tail[at]
        needed = _needed(facts, facts.before[at], at, early, words)
        check = _kept(at_station, at_station is not None and at_station >= early)
        opened.append(_of_task(EARLIEST, number, early, needed, check=check))
        if stations:
            latest = stations + 1 - tail
            needed = _needed(facts, facts.after[at], at, tail, words)
            worked = f"{needed}; {stations} + 1 - {tail} = {latest}"
            check = _kept(at_station, at_station is not None and at_station <= latest)
            opened.append(_of_task(LATEST, number, latest, worked, check=check))
    return tuple(opened)


def _of_task(
    row: Formula, number: str, value: float, worked: str, unit: str = "", check: str = ""
) -> Explained:
    """Return a number of a task, opened."""
    key = f"task-{key_word(number) or 'task'}-{key_word(row.left or row.name)}"
    opened = row.told(float(value), worked)
    return replace(opened, unit=unit, key=key, where=f"task {number}", check=check)


def _kept(at_station: int | None, holds: bool) -> str:
    """Say whether the plan keeps the window."""
    if at_station is None:
        return ""
    return f"{'Agrees' if holds else 'Differs'}: the plan has the task at station {at_station}."


def mean_time_number(product: Product, task: Task) -> Explained | None:
    """Return the mean time of a task over the mix, opened; None: no models, or not timed."""
    if not product.models or any(task.time_ms_for(m.name) is None for m in product.models):
        return None
    words = TimeWords(unit=product.time_unit)
    shares = [Fraction(str(model.share)) for model in product.models]
    shares = shares if sum(shares) else [Fraction(1)] * len(shares)
    times = [task.time_ms_for(model.name) or 0 for model in product.models]
    value = mean_time_ms(product, task) / 1000
    values = {f"share {n}.": plain(share) for n, share in enumerate(shares)}
    values |= {f"time {n}.": plain(Fraction(time, 1000)) for n, time in enumerate(times)}
    values |= {"shares": plain(sum(shares))}
    named = ", ".join(model.name for model in product.models)
    joined = " + ".join(f"share {n}. x time {n}." for n in range(len(shares)))
    joined = joined if sum(shares) == 1 else f"({joined}) / shares"
    exact_mean = sum((s * t for s, t in zip(shares, times, strict=True)), Fraction()) / sum(shares)
    again = Fraction(int(exact_mean + Fraction(1, 2)), 1000)
    mean_s = Result(again, Written(unit="s"), product.time_unit).text()
    put_in, *_ = replace(MEAN, right=joined).worked(values).rpartition(" = ")
    worked = f"models {named}: {put_in} = {mean_s}"
    mean = _of_task(MEAN, task.number, words.number(value), worked, words.label)
    return cross_checked(mean, words.number(float(again)), MEAN.how)


def _weight(facts: OrderFacts, at: int, words: TimeWords) -> Explained:
    """Open the positional weight of a task."""
    work = facts.work
    chain = [at, *members(facts.after[at])]
    times = [(f"task {work.numbers[other]}", work.times[other] / work.ticks) for other in chain]
    if len(times) == 1:
        times = [(f"{times[0][0]}, none after it", times[0][1])]
    walked = work.times[at] + sum(work.times[p] for p in _walk(facts.problem.successors, at))
    weight, worked = words.number(facts.weights[at]), words.sum(times, "tasks")
    opened = _of_task(WEIGHT, work.numbers[at], weight, worked, words.label)
    return cross_checked(opened, words.number(walked / work.ticks), WEIGHT.how)


def _needed(facts: OrderFacts, others: int, at: int, stations: int, words: TimeWords) -> str:
    """Say how many stations a task and a set of others need."""
    work = facts.work
    held = (facts.problem.limit or 1) * facts.problem.scale
    ticks = work.times[at] + sum(work.times[other] for other in members(others))
    by_work = max(1, -(-ticks // held))
    usable = min(facts.limit, held / work.ticks)
    quotient = rounded_up(ticks / work.ticks, facts.limit, usable, by_work, words)
    said = f"{count(others.bit_count() + 1, 'task')}: {quotient}"
    if stations > by_work:
        said += f"; long tasks that do not fit together make it {stations}"
    return said


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
