"""Which station of one plan is which station of another, so that moves can be told.

Numbers alone do not say it: a station put in at the front shifts all numbers behind
it, and no task has moved. Two stations are therefore paired by what they hold. Each
station has at most one partner, partners share at least one task, and the pairs
together keep as many tasks as possible in place; of equally good pairings the one
whose numbers differ least is taken. A task *sits elsewhere* when its stations in the
two plans are not partners. This is a matching of greatest weight (the assignment problem).
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from stationflow.model import Station


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskMove:
    """A task that sits elsewhere in the other plan."""

    task: str  # number of the task
    # base, other: number of its station in either plan; None: the plan does not have the task
    base: int | None
    other: int | None


def pair_stations(base: Sequence[Station], other: Sequence[Station]) -> tuple[tuple[int, int], ...]:
    """Return pairs of station numbers, those of `base` first and in their order.

    Stations without a partner are left out. A station in front shifts the others by one:

    >>> from stationflow.model import OperatorWork
    >>> def plan(*rows):
    ...     return [
    ...         Station(number=n, operators=(OperatorWork(tasks=tuple((t, 0) for t in row)),))
    ...         for n, row in enumerate(rows, 1)
    ...     ]
    >>> pair_stations(plan(("a", "b"), ("c",)), plan(("a",), ("b",), ("c",)))
    ((1, 1), (2, 3))
    """
    from ortools.graph.python import min_cost_flow

    at = {task: j for j, station in enumerate(other) for task in station.tasks}
    shared = Counter(
        (i, at[task]) for i, station in enumerate(base) for task in station.tasks if task in at
    )
    distance = {pair: abs(base[pair[0]].number - other[pair[1]].number) for pair in shared}
    # One shared task outweighs all distances together.
    task_worth = 1 + (len(base) + 1) * max(distance.values(), default=0)
    # A flow of one from each station of `base`, to a station of `other` or to none (the end).
    flow, end = min_cost_flow.SimpleMinCostFlow(), len(base) + len(other)
    for (i, j), count in shared.items():
        worth = count * task_worth - distance[i, j]
        flow.add_arc_with_capacity_and_unit_cost(i, len(base) + j, 1, -worth)
    for node in range(end):
        flow.add_arc_with_capacity_and_unit_cost(node, end, 1, 0)
        flow.set_node_supply(node, int(node < len(base)))
    flow.set_node_supply(end, -len(base))
    flow.solve()
    chosen = zip(shared, flow.flows(range(len(shared))), strict=True)
    pairs = [pair for pair, is_used in chosen if is_used]
    return tuple((base[i].number, other[j].number) for i, j in sorted(pairs))


def task_moves(
    base: Sequence[Station],
    other: Sequence[Station],
    pairs: Sequence[tuple[int, int]],
) -> tuple[TaskMove, ...]:
    """Return the tasks that sit elsewhere in the other plan, in the order of `base`.

    Tasks that only the other plan has come last.
    """
    partner = dict(pairs)
    before = {task: station.number for station in base for task in station.tasks}
    after = {task: station.number for station in other for task in station.tasks}
    moved = [
        TaskMove(task=task, base=number, other=after.get(task))
        for task, number in before.items()
        if task not in after or partner.get(number) != after[task]
    ]
    added = [
        TaskMove(task=task, base=None, other=number)
        for task, number in after.items()
        if task not in before
    ]
    return (*moved, *added)
