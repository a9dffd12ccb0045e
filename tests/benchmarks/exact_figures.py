"""Figures from the lines of the exact benchmark. Nothing is printed or read here."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Any

from tests.benchmarks.exact_questions import Question

Line = dict[str, Any]
"""One line of the results file."""

Lines = dict[str, Line]
"""Lines of one solver, version, limit and number of cores, by instance."""

GRACE_S = 1.0
"""How far over its limit a proof may come and still count, in seconds."""

TIE_S = 0.1
"""Where the slower of two needs less, the two are called equally quick, in seconds."""

LEAST_S = 0.001
"""Times below are taken as this in ratios, in seconds."""


def chosen(
    lines: Iterable[Line], solver: str, limit_s: float, cores: int = 1, version: str | None = None
) -> Lines:
    """Return the lines of a solver at a limit; the last one of an instance counts.

    With `version` None the version of the solver's last line is taken.
    """
    of_solver = [
        line
        for line in lines
        if line["solver"] == solver and line["limit_s"] == limit_s and line["cores"] == cores
    ]
    if version is None and of_solver:
        version = of_solver[-1]["version"]
    return {line["instance"]: line for line in of_solver if line["version"] == version}


def value(line: Line) -> int | None:
    """Return stations, or the cycle, of the plan; None: there is none that holds."""
    if line["status"] == "wrong":
        return None
    found = line.get("stations", line.get("cycle"))
    return None if found is None else int(found)


def is_late(line: Line) -> bool:
    """Return whether the answer came after the limit."""
    return bool(line["wall_s"] > line["limit_s"] + GRACE_S)


def is_proved(line: Line | None) -> bool:
    """Return whether the answer is proved, and was in time."""
    return line is not None and line["status"] == "proved" and not is_late(line)


def gap(plan: float, bound: float) -> float:
    """Return how far a plan may be from the best, as a share of the plan."""
    return (plan - bound) / plan


def mean_gap(
    questions: Sequence[Question], lines: Lines, *, with_published: bool = False
) -> float | None:
    """Return the mean gap of plan to bound; a line without a plan counts as a gap of 1.

    Parameters
    ----------
    questions, lines
        What was asked, and what came out; questions without a line are left out.
    with_published
        Whether the best published bound is used where it is higher than the solver's own.
    """
    gaps = []
    for question in questions:
        if (line := lines.get(question.name)) is None:
            continue
        plan, bound = value(line), float(line.get("bound") or 0)
        if with_published:
            bound = max(bound, question.lower or 0)
        gaps.append(1.0 if plan is None else gap(plan, bound))
    return sum(gaps) / len(gaps) if gaps else None


def contradictions(questions: Sequence[Question], lines: Lines) -> list[str]:
    """Return what cannot be true beside the published bounds, or is wrong in itself."""
    found = []
    for question in questions:
        if (line := lines.get(question.name)) is None:
            continue
        plan, bound = value(line), line.get("bound")
        at = f"{question.name} ({line['solver']}, {line['limit_s']:g} s)"
        if line["status"] == "wrong":
            found.append(f"{at}: {line.get('note', 'plan does not hold')}")
        if plan is not None and bound is not None and bound > plan:
            found.append(f"{at}: bound {bound} is above the plan's {plan}")
        if line["status"] == "proved" and (plan is None or bound is None or bound < plan):
            found.append(f"{at}: called proved with plan {plan} and bound {bound}")
        if question.lower is not None and plan is not None and plan < question.lower:
            found.append(f"{at}: {plan} is below the published lower bound {question.lower}")
        if question.upper is not None and bound is not None and bound > question.upper:
            found.append(f"{at}: bound {bound} is above the published plan's {question.upper}")
    return found


def worse(questions: Sequence[Question], lines: Lines) -> list[str]:
    """Return the instances whose plan is above the best published one, or that have none."""
    found = []
    for question in questions:
        line = lines.get(question.name)
        if line is None or question.upper is None:
            continue
        plan = value(line)
        if plan is None or plan > question.upper:
            found.append(f"{question.name}: {plan} ({question.upper})")
    return found


def cycle_contradictions(cycles: Lines, cases: Sequence[tuple[str, int, int]]) -> list[str]:
    """Return proved shortest cycles that contradict the fewest stations published for limits.

    A graph whose shortest cycle for m stations is c needs at most m stations at every
    limit from c on, and more than m at every limit below.

    Parameters
    ----------
    cycles
        Lines of the shortest cycles, instances named "Buxey m=7".
    cases
        Graph, limit and fewest stations.
    """
    found = []
    for name, line in cycles.items():
        if line["status"] != "proved":
            continue
        graph, _, m = name.rpartition(" m=")
        for other, limit, fewest in cases:
            if other == graph and (limit >= line["cycle"]) != (fewest <= int(m)):
                found.append(f"{name}: cycle {line['cycle']}, but {fewest} at limit {limit}")
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Duel:
    """Two solvers on the instances both were asked.

    Attributes
    ----------
    asked, both
        Instances both were asked; those both proved.
    ratio
        Geometric mean of their time to our time where the slower needed 0.1 s or
        more; None: there is no such instance.
    measured, ties
        Instances in the ratio; those both proved more quickly.
    slower
        Instances in the ratio for which we needed longer.
    only_ours, only_theirs
        Instances proved by one of the two.
    """

    asked: int
    both: int
    ratio: float | None
    measured: int
    ties: int
    slower: tuple[str, ...]
    only_ours: tuple[str, ...]
    only_theirs: tuple[str, ...]


def duel(names: Sequence[str], ours: Lines, peers: Sequence[Lines]) -> Duel:
    """Return ours beside the better of some peers, the one that proved first.

    Parameters
    ----------
    names
        The instances of the sample.
    ours, peers
        The lines of each; an instance counts if we and all the peers were asked it.
    """
    asked = both = ties = 0
    ratios: list[float] = []
    slower, only_ours, only_theirs = [], [], []
    for name in names:
        if name not in ours or not peers or any(name not in peer for peer in peers):
            continue
        asked += 1
        mine = ours[name]
        theirs = [peer[name]["wall_s"] for peer in peers if is_proved(peer[name])]
        if not is_proved(mine):
            only_theirs += [name] if theirs else []
            continue
        if not theirs:
            only_ours.append(name)
            continue
        both += 1
        if max(mine["wall_s"], min(theirs)) < TIE_S:
            ties += 1
            continue
        ratios.append(max(LEAST_S, min(theirs)) / max(LEAST_S, mine["wall_s"]))
        if ratios[-1] < 1:
            slower.append(name)
    return Duel(
        asked=asked,
        both=both,
        ratio=math.exp(sum(map(math.log, ratios)) / len(ratios)) if ratios else None,
        measured=len(ratios),
        ties=ties,
        slower=tuple(slower),
        only_ours=tuple(only_ours),
        only_theirs=tuple(only_theirs),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Growth:
    """The median time at one size; `is_proved` False: the median question was not proved.

    `proved` of `asked` questions were; those that were not count as longer than any.
    """

    tasks: int
    seconds: float
    is_proved: bool
    proved: int
    asked: int
    is_made: bool


def growth(questions: Sequence[Question], lines: Lines) -> list[Growth]:
    """Return the median time for each number of tasks."""
    sizes: dict[int, list[Question]] = {}
    for question in questions:
        if question.name in lines:
            sizes.setdefault(len(question.work.times), []).append(question)
    found = []
    for size, asked in sorted(sizes.items()):
        own = [lines[question.name] for question in asked]
        times = [line["wall_s"] if is_proved(line) else math.inf for line in own]
        middle = median(times)
        found.append(
            Growth(
                tasks=size,
                seconds=middle if math.isfinite(middle) else own[0]["limit_s"],
                is_proved=math.isfinite(middle),
                proved=sum(map(is_proved, own)),
                asked=len(own),
                is_made=asked[0].group == "growth",
            )
        )
    return found
