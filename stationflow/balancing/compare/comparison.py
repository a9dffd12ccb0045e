"""Plans side by side: their figures, the differences from one of them, and the best value."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from stationflow.balancing.methods import method_title
from stationflow.balancing.metrics import (
    balance_delay,
    balance_efficiency,
    gap,
    idle_time,
    smoothness_index,
)
from stationflow.balancing.time_words import count
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
ELSEWHERE = "tasks that sit elsewhere"
DECISIVE = (
    "stations",
    "cycle time",
    "balance efficiency on the cycle time",
    "smoothness index",
    ELSEWHERE,
)
"""What decides between plans: people, pace, waste, evenness, and what has to be learned anew."""
NOBODY = "-"
BASE = "base plan"


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
    """A plan under the short name it has in the comparison: "Exact, 7 stations", "comsoal"."""

    label: str
    plan: Plan
    holds: bool = True  # whether it holds today; one that does not is never the best


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """How far a figure is from that of the base plan."""

    absolute: float  # value less the base plan's; of a share: a share too (0.02: two points)
    relative: float | None  # the same as a share of the base plan's value; None where that is 0
    text: str  # both in words with their signs: "-1 (-16.7 %)"

    @property
    def short(self) -> str:
        """The first of them alone: "-1"."""
        return self.text.partition(" (")[0]


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


@dataclass(frozen=True, slots=True)
class _Row:
    """How a figure is computed; `needs_limit`: it is of one base only at one limit."""

    name: str
    kind: Kind
    better: Better | None
    of: Callable[[BalanceResult], float | None]
    needs_limit: bool = False
    missing: str = NOBODY  # what a plan without the figure says


def figures(plans: Sequence[LabelledPlan], base: int, time_words: TimeWords) -> tuple[Figure, ...]:
    """Return the rows of the comparison: what was asked, what came out, how good it is.

    A figure that is taken on the limit (and the number of stations, which a longer limit
    lowers by itself) has a best value only where all plans have one limit. Where limits
    differ, the efficiency is also given on the limit of the base plan, for every plan
    that keeps it.
    """
    results = [each.plan.result for each in plans]
    told = {name: tuple(say(r) for r in results) for name, say in SAID.items()}
    said = [Figure(name=name, texts=texts) for name, texts in told.items()]
    bound = Figure(name="lower bound", texts=tuple(_bound(r, time_words) for r in results))
    rows, limit = list(ROWS), results[base].limit
    if has_other_limits(results) and limit is not None:
        rows.append(_on_limit_of(plans[base].label, limit))
    counted = [_figure(row, plans, base, time_words) for row in rows]
    return (*said[:4], *counted[:4], bound, *counted[4:], *said[4:])


def elsewhere(moves: Sequence[int | None], base: int) -> Figure:
    """Return the row of how many tasks sit elsewhere than in the base plan (None: not counted)."""
    texts = tuple(
        BASE if at == base else NOBODY if many is None else str(many)
        for at, many in enumerate(moves)
    )
    return Figure(name=ELSEWHERE, kind=Kind.COUNT, values=tuple(moves), texts=texts)


def has_other_limits(results: Sequence[BalanceResult]) -> bool:
    """Return whether the plans do not all have the same limit."""
    return len({result.limit for result in results if result.has_plan}) > 1


def assumptions(plans: Sequence[LabelledPlan], time_words: TimeWords) -> tuple[str, ...]:
    """Return, in words, what the plans do not share and a reader should know of first."""
    held = [(each.label, each.plan.result) for each in plans if each.plan.result.has_plan]
    said = []

    def each(words: Callable[[BalanceResult], str]) -> str:
        return ", ".join(f"{label} {words(result)}" for label, result in held)

    if has_other_limits([result for _, result in held]):
        limits = each(lambda r: "no limit" if r.limit is None else time_words(r.limit))
        said.append(
            f"The limits differ ({limits}): the number of stations and figures on the limit are "
            "not of one base; compare those on the cycle time."
        )
    if len({result.goal for _, result in held}) > 1:
        said.append(f"The goals differ: {each(SAID['goal'])}.")
    if len({round(_content(result), 6) for _, result in held}) > 1:
        contents = each(lambda r: time_words(_content(r)))
        said.append(
            f"The work content differs: {contents}; the plans were made from different times or "
            "tasks."
        )
    labels = [plan.label for plan in plans if not plan.plan.result.has_plan]
    return (*said, *(f"{label} has no stations; its findings say why." for label in labels))


def _content(result: BalanceResult) -> float:
    """Return the work content."""
    return sum(result.loads)


def _on_both(
    name: str,
    kind: Kind,
    better: Better,
    of: Callable[[Sequence[float], float | None], float],
) -> tuple[_Row, _Row]:
    """Return a measure on the limit, where a plan has one, and on the cycle time."""
    return (
        _Row(f"{name} on the limit", kind, better,
             lambda r: None if r.limit is None else of(r.loads, r.limit), needs_limit=True),
        _Row(f"{name} on the cycle time", kind, better, lambda r: of(r.loads, None)),
    )  # fmt: skip


ROWS = (
    _Row("limit of a station", Kind.TIME, None, lambda r: r.limit),
    _Row("work content", Kind.TIME, None, _content),
    _Row("stations", Kind.COUNT, Better.LESS, lambda r: len(r.stations), needs_limit=True),
    _Row("cycle time", Kind.TIME, Better.LESS, lambda r: r.cycle_time),
    _Row("gap above the lower bound", Kind.SHARE, Better.LESS, gap, needs_limit=True),
    *_on_both("balance efficiency", Kind.SHARE, Better.MORE, balance_efficiency),
    *_on_both("balance delay", Kind.SHARE, Better.LESS, balance_delay),
    _Row("smoothness index", Kind.TIME, Better.LESS, lambda r: smoothness_index(r.loads)),
    *_on_both("idle time", Kind.TIME, Better.LESS, idle_time),
)
SAID: dict[str, Callable[[BalanceResult], str]] = {
    "method": lambda r: method_title(r.method),
    "direction": lambda r: r.effort.direction.value if r.effort.direction else NOBODY,
    "goal": lambda r: r.goal.value.replace("-", " "),
    "ending": lambda r: ENDINGS[r.ending] if r.ending else "not tried",
    "seed": lambda r: NOBODY if r.asked.seed is None else str(r.asked.seed),
    "trials": lambda r: str(r.effort.trials or NOBODY),
    "partial plans": lambda r: str(r.effort.nodes or NOBODY),
    "time taken": lambda r: f"{half_up(r.effort.runtime_s, 2)} s",
}
"""Rows in words: first what was asked and how it ended, then how the plan was made."""


def _on_limit_of(label: str, limit: float) -> _Row:
    """Return the efficiency on the limit of one plan, for every plan that keeps it."""

    def efficiency(result: BalanceResult) -> float | None:
        keeps = result.cycle_time <= limit * (1 + 1e-12)
        return balance_efficiency(result.loads, limit) if keeps else None

    name = f"balance efficiency on the limit of {label}"
    return _Row(name, Kind.SHARE, Better.MORE, efficiency, missing="over the limit")


def _figure(row: _Row, plans: Sequence[LabelledPlan], base: int, time_words: TimeWords) -> Figure:
    """Return one row of numbers."""
    results = [each.plan.result for each in plans]
    values = [row.of(r) if r.has_plan or row is ROWS[0] else None for r in results]
    if row.needs_limit and has_other_limits(results):
        best, words = tuple[str, ...](), LIMITS_DIFFER
    else:
        held = [v if each.holds else None for v, each in zip(values, plans, strict=True)]
        best, words = _best(held, [each.label for each in plans], row.better)
    start = values[base]
    return Figure(
        name=row.name,
        kind=row.kind,
        values=tuple(values),
        texts=tuple(row.missing if v is None else shown(v, row.kind, time_words) for v in values),
        differences=tuple(
            None
            if at == base or value is None or start is None
            else difference(start, value, row.kind, time_words)
            for at, value in enumerate(values)
        ),
        best=best,
        best_words=words,
        better=row.better,
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


def _bound(result: BalanceResult, time_words: TimeWords) -> str:
    """Return the lower bound in words: stations or a time, as the goal says."""
    if result.ending is None or not result.proof.lower_bound:
        return NOBODY
    if result.goal in (Goal.FEWEST_STATIONS, Goal.FEASIBLE):
        return count(result.proof.lower_bound, "station")
    return time_words(result.proof.lower_bound)
