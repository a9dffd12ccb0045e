"""Plans side by side: their figures, the differences from one of them, and the best value."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from stationflow.balancing.methods import METHODS
from stationflow.balancing.metrics import (
    balance_delay,
    balance_efficiency,
    gap,
    idle_time,
    smoothness_index,
)
from stationflow.model import BalanceResult, Ending, Goal, Plan
from stationflow.units import half_up

TimeWords = Callable[[float], str]
"""Writes a time of the plans' unit with its unit: "27.0 s"."""

ENDINGS = {
    Ending.OPTIMAL: "proven best",
    Ending.FOUND: "valid, not proven best",
    Ending.IMPOSSIBLE: "impossible, proven",
    Ending.NOTHING_FOUND: "nothing found",
}
ALIKE = "all alike"
LIMITS_DIFFER = "limits differ"
NOBODY = "-"


class Kind(StrEnum):
    """What a figure counts."""

    COUNT = "count"
    SHARE = "share"  # 0.91 is shown as 91.0 %
    TIME = "time"  # in the plans' time unit


class Better(StrEnum):
    """Which value of a figure is the better one."""

    LESS = "less"
    MORE = "more"


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelledPlan:
    """A plan under the short name it has in the comparison: "Plan 3", "comsoal"."""

    label: str
    plan: Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """How far a figure is from that of the base plan."""

    absolute: float  # value less the base plan's; of a share: a share too (0.02: two points)
    relative: float | None  # the same as a share of the base plan's value; None where that is 0
    text: str  # both in words with their signs: "-1 (-16.7 %)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One row of the comparison."""

    name: str  # the trade's word
    kind: Kind | None = None  # what `values` count; None: the row has words only
    values: tuple[float | None, ...] = ()  # one for each plan; None: the plan has none
    texts: tuple[str, ...] = ()  # the values as they are read
    # from the base plan; None for the base plan itself and where a value is missing
    differences: tuple[Difference | None, ...] = ()
    # labels of the plans with the best value; empty where none is better or they cannot be compared
    best: tuple[str, ...] = ()
    best_words: str = ""  # the same in words, with the reason where there is no best
    better: Better | None = None  # which value is better; None: neither


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """How a figure is computed; `needs_limit`: it is of one base only at one limit."""

    name: str
    kind: Kind
    better: Better | None
    of: Callable[[BalanceResult], float | None]
    needs_limit: bool = False


def figures(plans: Sequence[LabelledPlan], base: int, time_words: TimeWords) -> tuple[Figure, ...]:
    """Return the rows of the comparison: what was asked, what came out, how good it is.

    Parameters
    ----------
    plans
        Plans of one line.
    base
        Position of the plan the others are measured against.
    time_words
        Writes a time.

    Notes
    -----
    A figure that is taken on the limit (and the number of stations, which a longer limit
    lowers by itself) has a best value only where all plans have one limit. Where limits
    differ, the efficiency is also given on the limit of the base plan, for every plan
    that keeps it.
    """
    results = [each.plan.result for each in plans]
    rows = _asked(plans)
    rows += [_figure(row, plans, base, time_words) for row in ROWS[:4]]
    rows.append(Figure(name="lower bound", texts=tuple(_bound(r, time_words) for r in results)))
    rows += [_figure(row, plans, base, time_words) for row in ROWS[4:]]
    if has_other_limits(results) and results[base].limit is not None:
        rows.append(_on_base_limit(plans, base, time_words))
    return (*rows, *_how_made(plans))


def has_other_limits(results: Sequence[BalanceResult]) -> bool:
    """Return whether the plans do not all have the same limit."""
    return len({result.limit for result in results if result.has_plan}) > 1


def assumptions(plans: Sequence[LabelledPlan], time_words: TimeWords) -> tuple[str, ...]:
    """Return, in words, what the plans do not share and a reader should know of first."""
    held = [each for each in plans if each.plan.result.has_plan]
    said = []
    if has_other_limits([each.plan.result for each in held]):
        limits = ", ".join(
            f"{e.label} {_limit(e.plan.result, time_words, 'no limit')}" for e in held
        )
        said.append(
            f"The limits differ ({limits}): the number of stations and figures on the limit are "
            "not of one base; compare those on the cycle time."
        )
    goals = {each.plan.result.goal for each in held}
    if len(goals) > 1:
        said.append(
            "The goals differ: "
            + ", ".join(f"{e.label} {e.plan.result.goal.value.replace('-', ' ')}" for e in held)
            + "."
        )
    contents = [round(_content(each.plan.result), 6) for each in held]
    if len(set(contents)) > 1:
        said.append(
            "The work content differs: "
            + ", ".join(f"{e.label} {time_words(_content(e.plan.result))}" for e in held)
            + "; the plans were made from different times or tasks."
        )
    for each in plans:
        if not each.plan.result.has_plan:
            said.append(f"{each.label} has no stations; its findings say why.")
    return tuple(said)


def _content(result: BalanceResult) -> float:
    """Return the work content."""
    return sum(result.loads)


def _on_limit(
    of: Callable[[Sequence[float], float | None], float],
) -> Callable[[BalanceResult], float | None]:
    """Return a metric on the limit; None where a plan has no limit."""
    return lambda r: None if r.limit is None else of(r.loads, r.limit)


ROWS = (
    _Row(name="limit of a station", kind=Kind.TIME, better=None, of=lambda r: r.limit),
    _Row(name="work content", kind=Kind.TIME, better=None, of=_content),
    _Row(
        name="stations",
        kind=Kind.COUNT,
        better=Better.LESS,
        of=lambda r: len(r.stations),
        needs_limit=True,
    ),
    _Row(name="cycle time", kind=Kind.TIME, better=Better.LESS, of=lambda r: r.cycle_time),
    _Row(name="gap above the lower bound", kind=Kind.SHARE, better=Better.LESS, of=gap,
         needs_limit=True),
    _Row(name="balance efficiency on the limit", kind=Kind.SHARE, better=Better.MORE,
         of=_on_limit(balance_efficiency), needs_limit=True),
    _Row(name="balance efficiency on the cycle time", kind=Kind.SHARE, better=Better.MORE,
         of=lambda r: balance_efficiency(r.loads)),
    _Row(name="balance delay on the limit", kind=Kind.SHARE, better=Better.LESS,
         of=_on_limit(balance_delay), needs_limit=True),
    _Row(name="balance delay on the cycle time", kind=Kind.SHARE, better=Better.LESS,
         of=lambda r: balance_delay(r.loads)),
    _Row(name="smoothness index on the cycle time", kind=Kind.TIME, better=Better.LESS,
         of=lambda r: smoothness_index(r.loads)),
    _Row(name="idle time on the limit", kind=Kind.TIME, better=Better.LESS,
         of=_on_limit(idle_time), needs_limit=True),
    _Row(name="idle time on the cycle time", kind=Kind.TIME, better=Better.LESS,
         of=lambda r: idle_time(r.loads)),
)  # fmt: skip


def _figure(row: _Row, plans: Sequence[LabelledPlan], base: int, time_words: TimeWords) -> Figure:
    """Return one row of numbers."""
    results = [each.plan.result for each in plans]
    values = [row.of(r) if r.has_plan or row.name == ROWS[0].name else None for r in results]
    is_fair = not (row.needs_limit and has_other_limits(results))
    return _row_of(row.name, row.kind, row.better, values, plans, base, time_words, is_fair=is_fair)


def _row_of(
    name: str,
    kind: Kind,
    better: Better | None,
    values: Sequence[float | None],
    plans: Sequence[LabelledPlan],
    base: int,
    time_words: TimeWords,
    *,
    is_fair: bool = True,
    missing: str = NOBODY,
) -> Figure:
    """Return a row of numbers from its values."""
    best, words = _best(values, [each.label for each in plans], better if is_fair else None)
    if better is not None and not is_fair:
        words = LIMITS_DIFFER
    start = values[base]
    return Figure(
        name=name,
        kind=kind,
        values=tuple(values),
        texts=tuple(missing if v is None else shown(v, kind, time_words) for v in values),
        differences=tuple(
            None
            if at == base or value is None or start is None
            else difference(start, value, kind, time_words)
            for at, value in enumerate(values)
        ),
        best=best,
        best_words=words,
        better=better,
    )


def shown(value: float, kind: Kind, time_words: TimeWords) -> str:
    """Return a figure as it is read."""
    if kind == Kind.TIME:
        return time_words(value)
    return f"{half_up(100 * value, 1)} %" if kind == Kind.SHARE else f"{value:g}"


def difference(start: float, value: float, kind: Kind, time_words: TimeWords) -> Difference:
    """Return how far a value is from the base plan's, in words with signs.

    >>> difference(6, 5, Kind.COUNT, str).text
    '-1 (-16.7 %)'
    >>> difference(0.8, 0.82, Kind.SHARE, str).text
    '+2.0 points (+2.5 %)'
    """
    absolute = value - start
    relative = absolute / start if start else None
    if abs(absolute) <= 1e-9 * max(abs(start), abs(value)):
        return Difference(absolute=0.0, relative=0.0, text="same")
    sign = "+" if absolute > 0 else "-"
    if kind == Kind.SHARE:
        said = f"{sign}{half_up(100 * abs(absolute), 1)} points"
    else:
        said = sign + shown(abs(absolute), kind, time_words)
    if relative is not None:
        said += f" ({sign}{half_up(100 * abs(relative), 1)} %)"
    return Difference(absolute=absolute, relative=relative, text=said)


def _best(
    values: Sequence[float | None], labels: Sequence[str], better: Better | None
) -> tuple[tuple[str, ...], str]:
    """Return the labels of the best values, and the same in words."""
    known = [
        (value, label) for value, label in zip(values, labels, strict=True) if value is not None
    ]
    if better is None or len(known) < 2:
        return (), ""
    numbers = [value for value, _ in known]
    top = min(numbers) if better == Better.LESS else max(numbers)
    near = 1e-9 * max(abs(n) for n in numbers)
    best = tuple(label for value, label in known if abs(value - top) <= near)
    return best, ALIKE if len(best) == len(known) == len(values) else ", ".join(best)


def _on_base_limit(plans: Sequence[LabelledPlan], base: int, time_words: TimeWords) -> Figure:
    """Return the efficiency of every plan on the base plan's limit, where it keeps that."""
    limit = plans[base].plan.result.limit
    assert limit is not None
    values = [
        balance_efficiency(r.loads, limit)
        if r.has_plan and r.cycle_time <= limit * (1 + 1e-12)
        else None
        for r in (each.plan.result for each in plans)
    ]
    name = f"balance efficiency on the limit of {plans[base].label}"
    return _row_of(
        name, Kind.SHARE, Better.MORE, values, plans, base, time_words, missing="over the limit"
    )


def _asked(plans: Sequence[LabelledPlan]) -> list[Figure]:
    """Return what was asked, in words."""
    results = [each.plan.result for each in plans]
    titles = [METHODS[r.method].title if r.method in METHODS else r.method for r in results]
    goals = [r.goal.value.replace("-", " ") for r in results]
    return [
        Figure(name="method", texts=tuple(titles)),
        Figure(
            name="direction",
            texts=tuple(
                r.effort.direction.value if r.effort.direction else NOBODY for r in results
            ),
        ),
        Figure(name="goal", texts=tuple(goals)),
        Figure(
            name="ending",
            texts=tuple(ENDINGS[r.ending] if r.ending else "not tried" for r in results),
        ),
    ]


def _how_made(plans: Sequence[LabelledPlan]) -> list[Figure]:
    """Return how the plans were made: seed, trials, partial plans, time taken."""
    results = [each.plan.result for each in plans]
    return [
        Figure(
            name="seed",
            texts=tuple(NOBODY if r.asked.seed is None else str(r.asked.seed) for r in results),
        ),
        Figure(
            name="trials",
            texts=tuple(str(r.effort.trials) if r.effort.trials else NOBODY for r in results),
        ),
        Figure(
            name="partial plans",
            texts=tuple(str(r.effort.nodes) if r.effort.nodes else NOBODY for r in results),
        ),
        Figure(
            name="time taken", texts=tuple(f"{half_up(r.effort.runtime_s, 2)} s" for r in results)
        ),
    ]


def _limit(result: BalanceResult, time_words: TimeWords, none: str = NOBODY) -> str:
    """Return the limit in words."""
    return none if result.limit is None else time_words(result.limit)


def _bound(result: BalanceResult, time_words: TimeWords) -> str:
    """Return the lower bound in words: stations or a time, as the goal says."""
    if result.ending is None or not result.proof.lower_bound:
        return NOBODY
    if result.goal in (Goal.FEWEST_STATIONS, Goal.FEASIBLE):
        return (
            f"{result.proof.lower_bound:g} stations"
            if result.proof.lower_bound != 1
            else "1 station"
        )
    return time_words(result.proof.lower_bound)
