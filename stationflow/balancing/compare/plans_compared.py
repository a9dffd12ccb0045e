"""Plans of one line side by side: figures, what differs in words, tasks that sit elsewhere."""

from collections.abc import Sequence
from dataclasses import dataclass

from stationflow.balancing.compare.comparison import (
    Figure,
    LabelledPlan,
    TimeWords,
    assumptions,
    elsewhere,
    figures,
)
from stationflow.balancing.compare.difference_words import settings_differences, station_differences
from stationflow.balancing.compare.station_pairs import TaskMove, pair_stations, task_moves
from stationflow.balancing.plan_inputs import plan_differences
from stationflow.model import Product


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanDifferences:
    """How one plan differs from the base plan."""

    settings: tuple[str, ...]  # what was asked differently
    inputs: tuple[str, ...]  # what differs between the product versions the two were made from
    stations: tuple[str, ...]  # what the stations hold instead, first how many tasks sit elsewhere
    # station numbers of the base plan and of this one that are the same place
    pairs: tuple[tuple[int, int], ...]
    moves: tuple[TaskMove, ...]  # the tasks that sit elsewhere


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedTask:
    """A task that does not sit at the same station in all plans."""

    task: str
    # its station in each plan; None: the plan does not have the task, or no stations
    stations: tuple[int | None, ...]
    moved: tuple[bool, ...]  # whether it sits elsewhere than in the base plan, for each plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Plans of one line side by side."""

    plans: tuple[LabelledPlan, ...]  # the plans with their labels
    base: int  # position of the plan the others are measured against
    figures: tuple[Figure, ...]  # the rows of the table
    assumptions: tuple[str, ...]  # what the plans do not share and should be known first
    # in words, for each plan; None for the base plan and where there are no stations
    differences: tuple[PlanDifferences | None, ...]
    moved: tuple[MovedTask, ...]  # the tasks that sit elsewhere in any plan

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

    `made_from` is the product each was made from, where it is known and may differ.
    """
    products = made_from or [None] * len(plans)
    differences = tuple(
        None if at == base else _differences(plans[base], each, products[base], product, time_words)
        for at, (each, product) in enumerate(zip(plans, products, strict=True))
    )
    return Comparison(
        plans=tuple(plans),
        base=base,
        figures=(
            *figures(plans, base, time_words),
            elsewhere([None if d is None else len(d.moves) for d in differences], base),
        ),
        assumptions=assumptions(plans, time_words),
        differences=differences,
        moved=_moved(plans, base, differences),
    )


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
