"""Compare plans: stored ones, from files, or made now by several methods."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from stationflow.actions.opening.chosen_plan import read_given_plan
from stationflow.actions.opening.opened import Opened
from stationflow.actions.plans.opened_balancing import balance_opened
from stationflow.actions.plans.plan_upkeep import ListedPlan
from stationflow.balancing.compare.comparison import (
    Figure,
    LabelledPlan,
    TimeWords,
    assumptions,
    figures,
)
from stationflow.balancing.compare.difference_words import settings_differences, station_differences
from stationflow.balancing.compare.station_pairs import TaskMove, pair_stations, task_moves
from stationflow.balancing.plan_age import plan_differences
from stationflow.files.plan_document import plan_document
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    Plan,
    Product,
    has_errors,
)
from stationflow.units import TimeUnit, show_seconds


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanDifferences:
    """How one plan differs from the base plan.

    Attributes
    ----------
    settings
        What was asked differently.
    inputs
        What differs between the product versions the two were made from.
    stations
        What the stations hold instead, first how many tasks sit elsewhere.
    pairs
        Station numbers of the base plan and of this one that are the same place.
    moves
        The tasks that sit elsewhere.
    """

    settings: tuple[str, ...]
    inputs: tuple[str, ...]
    stations: tuple[str, ...]
    pairs: tuple[tuple[int, int], ...]
    moves: tuple[TaskMove, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedTask:
    """A task that does not sit at the same station in all plans.

    Attributes
    ----------
    stations
        Its station in each plan; None: the plan does not have the task, or no stations.
    moved
        Whether it sits elsewhere than in the base plan, for each plan.
    """

    task: str
    stations: tuple[int | None, ...]
    moved: tuple[bool, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Plans of one line side by side.

    Attributes
    ----------
    plans
        The plans with their labels.
    base
        Position of the plan the others are measured against.
    figures
        The rows of the table.
    assumptions
        What the plans do not share and should be known first.
    differences
        In words, for each plan; None for the base plan and where there are no stations.
    moved
        The tasks that sit elsewhere in any plan.
    """

    plans: tuple[LabelledPlan, ...]
    base: int
    figures: tuple[Figure, ...]
    assumptions: tuple[str, ...]
    differences: tuple[PlanDifferences | None, ...]
    moved: tuple[MovedTask, ...]

    @property
    def labels(self) -> tuple[str, ...]:
        """What the plans are called."""
        return tuple(each.label for each in self.plans)


def compare(
    plans: Sequence[LabelledPlan],
    base: int,
    time_words: TimeWords,
    made_from: Sequence[Product | None] = (),
) -> Comparison:
    """Put plans of one line side by side.

    Parameters
    ----------
    plans
        At least one.
    base
        Position of the plan the others are measured against.
    time_words
        Writes a time.
    made_from
        The product each was made from, where it is known and may differ.
    """
    products = made_from or [None] * len(plans)
    differences = tuple(
        None if at == base else _differences(plans[base], each, products[base], product, time_words)
        for at, (each, product) in enumerate(zip(plans, products, strict=True))
    )
    return Comparison(
        plans=tuple(plans),
        base=base,
        figures=figures(plans, base, time_words),
        assumptions=assumptions(plans, time_words),
        differences=differences,
        moved=_moved(plans, base, differences),
    )


def compare_stored(plans: Sequence[ListedPlan], base: int, product: Product) -> Comparison:
    """Put stored plans of a line side by side, with version and state of each.

    Parameters
    ----------
    plans
        Plans of one line.
    base
        Position of the plan the others are measured against.
    product
        The product as it is now.
    """
    labelled = [LabelledPlan(label=f"Plan {each.plan.plan_id}", plan=each.plan) for each in plans]
    found = compare(
        labelled, base, time_words(product.time_unit), [each.state.made_from for each in plans]
    )
    rows = (
        Figure(name="name", texts=tuple(each.plan.name for each in plans)),
        Figure(name="state", texts=tuple(_state(each) for each in plans)),
        Figure(
            name="product version", texts=tuple(str(each.plan.product_version) for each in plans)
        ),
        Figure(
            name="up to date",
            texts=tuple("no, out of date" if e.state.is_out_of_date else "yes" for e in plans),
        ),
        Figure(
            name="holds as the product is now",
            texts=tuple("no" if has_errors(e.state.verdict) else "yes" for e in plans),
        ),
    )
    return replace(found, figures=(*rows[:2], *found.figures, *rows[2:]))


def compare_methods(
    opened: Opened, line: str | None, settings: Sequence[BalanceSettings]
) -> Comparison:
    """Balance one line by several methods and put what came out side by side."""
    name = opened.line(line)
    results = [balance_opened(opened, name, each) for each in settings]
    plans = [
        LabelledPlan(label=result.method, plan=Plan(product=opened.name, result=result))
        for result in results
    ]
    return compare(plans, 0, _words(opened))


def compare_plans(opened: Opened, files: Sequence[Path]) -> Comparison:
    """Put the plans of several files side by side, measured on the source's times.

    A plan that does not hold is shown without stations, and its findings say why.
    """
    compared = [LabelledPlan(label=file.stem, plan=_given(opened, file)) for file in files]
    return compare(compared, 0, _words(opened))


def _given(opened: Opened, file: Path) -> Plan:
    """Return the plan of a file with what is proven about it."""
    plan, findings = read_given_plan(opened, None, file)
    if plan is not None and not has_errors(findings):
        return plan
    result = BalanceResult(
        line=plan.line if plan else "",
        asked=BalanceSettings(method="given", limit=1.0, stations=1),
        findings=tuple(findings),
    )
    return Plan(product=opened.name, result=result)


def time_words(unit: TimeUnit) -> TimeWords:
    """Return what writes times of a product, kept in seconds, in its unit."""
    return lambda time_s: show_seconds(time_s, unit)


def _words(opened: Opened) -> TimeWords:
    """Return what writes times: an instance has no unit."""
    unit = opened.unit
    return time_words(unit) if isinstance(unit, TimeUnit) else lambda time: f"{time:.10g}"


def _differences(
    base: LabelledPlan,
    other: LabelledPlan,
    was: Product | None,
    is_now: Product | None,
    time_words: TimeWords,
) -> PlanDifferences | None:
    """Return how a plan differs from the base plan; None where one has no stations."""
    first, second = base.plan.result.stations, other.plan.result.stations
    if not first or not second:
        return None
    pairs = pair_stations(first, second)
    moves = task_moves(first, second, pairs)
    inputs: tuple[str, ...] = ()
    if was is not None and is_now is not None and was is not is_now:
        inputs = plan_differences(was, is_now, base.plan.line)
    return PlanDifferences(
        settings=settings_differences(base.plan, other.plan, time_words),
        inputs=inputs,
        stations=station_differences(base.plan, other.plan, pairs, moves, base.label),
        pairs=pairs,
        moves=moves,
    )


def _moved(
    plans: Sequence[LabelledPlan],
    base: int,
    differences: Sequence[PlanDifferences | None],
) -> tuple[MovedTask, ...]:
    """Return the tasks that sit elsewhere in any plan, in the order of the base plan."""
    at = [
        {task: station.number for station in each.plan.result.stations for task in station.tasks}
        for each in plans
    ]
    moved = [{move.task for move in each.moves} if each else set[str]() for each in differences]
    every = dict.fromkeys([*at[base], *(task for stations in at for task in stations)])
    return tuple(
        MovedTask(
            task=task,
            stations=tuple(stations.get(task) for stations in at),
            moved=tuple(task in each for each in moved),
        )
        for task in every
        if any(task in each for each in moved)
    )


def _state(listed: ListedPlan) -> str:
    """Return whether a plan is in force."""
    if listed.plan.in_force:
        return "in force"
    return "archived" if listed.archived else "kept"


def comparison_document(source: str, compared: Comparison) -> dict[str, Any]:
    """Return the comparison, ready for JSON.

    Returns
    -------
    dict
        ``source``; ``base``: name of the plan the others are measured against;
        ``plans``: for each its ``name`` and the document of its balance (`plan_document`);
        ``assumptions``: sentences; ``figures``: rows with ``name``, ``kind`` ("count",
        "share", "time" or null), ``better`` ("less", "more" or null), ``values`` and ``texts``
        by plan, ``differences`` by plan (null, or ``absolute``, ``relative`` and ``text``) and
        ``best``, the names of the best plans; ``differences``: by plan null or ``settings``,
        ``inputs`` and ``stations`` in sentences, ``station_pairs`` as [base, this] and
        ``moves`` with ``task``, ``base`` and ``other`` (station numbers or null).
    """
    return {
        "source": source,
        "base": compared.labels[compared.base],
        "plans": [
            {"name": each.label, **plan_document(source, each.plan.result)}
            for each in compared.plans
        ],
        "assumptions": list(compared.assumptions),
        "figures": [_figure_document(figure) for figure in compared.figures],
        "differences": [_differences_document(each) for each in compared.differences],
    }


def _figure_document(figure: Figure) -> dict[str, Any]:
    """Return one row, ready for JSON."""
    return {
        "name": figure.name,
        "kind": figure.kind.value if figure.kind else None,
        "better": figure.better.value if figure.better else None,
        "values": list(figure.values),
        "texts": list(figure.texts),
        "differences": [
            None if d is None else {"absolute": d.absolute, "relative": d.relative, "text": d.text}
            for d in figure.differences
        ],
        "best": list(figure.best),
    }


def _differences_document(differences: PlanDifferences | None) -> dict[str, Any] | None:
    """Return the differences of one plan, ready for JSON."""
    if differences is None:
        return None
    return {
        "settings": list(differences.settings),
        "inputs": list(differences.inputs),
        "stations": list(differences.stations),
        "station_pairs": [list(pair) for pair in differences.pairs],
        "moves": [
            {"task": move.task, "base": move.base, "other": move.other}
            for move in differences.moves
        ],
    }
