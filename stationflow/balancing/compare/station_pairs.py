"""Which station of one plan is which station of another, so that moves can be told.

Numbers alone do not say it: a station put in at the front shifts all numbers behind
it, and no task has moved. Two stations are therefore paired by what they hold. Each
station has at most one partner, partners share at least one task, and the pairs
together keep as many tasks as possible in place; of equally good pairings the one
whose numbers differ least is taken. A task *sits elsewhere* when its stations in the
two plans are not partners. This is the assignment problem, solved by shortest
augmenting paths, each connected group of stations by itself.

References
----------
.. [1] Kuhn, H. W. (1955). "The Hungarian method for the assignment problem". Naval
   Research Logistics Quarterly 2(1-2), 83-97.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf

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

    Parameters
    ----------
    base, other
        The stations of two plans of one line.

    Returns
    -------
    tuple of tuple
        Stations without a partner are left out.

    Examples
    --------
    A station in front shifts the others by one:

    >>> def plan(*rows):
    ...     return [
    ...         Station(number=n, operators=(OperatorWork(tasks=tuple((t, 0) for t in row)),))
    ...         for n, row in enumerate(rows, 1)
    ...     ]
    >>> pair_stations(plan(("a", "b"), ("c",)), plan(("a",), ("b",), ("c",)))
    ((1, 1), (2, 3))
    """
    at = {task: j for j, station in enumerate(other) for task in station.tasks}
    shared = Counter(
        (i, at[task]) for i, station in enumerate(base) for task in station.tasks if task in at
    )
    distance = {pair: abs(base[pair[0]].number - other[pair[1]].number) for pair in shared}
    # One shared task outweighs all distances together.
    task_worth = 1 + (len(base) + 1) * max(distance.values(), default=0)
    worth = {pair: count * task_worth - distance[pair] for pair, count in shared.items()}
    pairs = [pair for group in _groups(worth) for pair in _assigned(group)]
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


Worth = Mapping[tuple[int, int], int]


def _groups(worth: Worth) -> Sequence[Worth]:
    """Return the pairs that could be, parted into groups that share no station."""
    of_base: dict[int, list[tuple[int, int]]] = {}
    of_other: dict[int, list[tuple[int, int]]] = {}
    for pair in worth:
        of_base.setdefault(pair[0], []).append(pair)
        of_other.setdefault(pair[1], []).append(pair)
    groups, seen = [], set[tuple[int, int]]()
    for first in worth:
        if first in seen:
            continue
        seen.add(first)
        group = [first]
        for i, j in group:  # grows while it is read
            for pair in (*of_base[i], *of_other[j]):
                if pair not in seen:
                    seen.add(pair)
                    group.append(pair)
        groups.append({pair: worth[pair] for pair in group})
    return groups


def _assigned(worth: Worth) -> list[tuple[int, int]]:
    """Return the pairs of greatest worth together; each station in one pair at most."""
    rows = sorted({i for i, _ in worth})
    columns = sorted({j for _, j in worth})
    if len(rows) == 1 or len(columns) == 1:
        return [max(worth, key=lambda pair: (worth[pair], -pair[0], -pair[1]))]
    is_turned = len(rows) > len(columns)
    if is_turned:
        rows, columns = columns, rows
        worth = {(j, i): value for (i, j), value in worth.items()}
    costs = [[-worth.get((i, j), 0) for j in columns] for i in rows]
    chosen = [(rows[i], columns[j]) for i, j in enumerate(_cheapest(costs))]
    kept = [pair for pair in chosen if pair in worth]
    return [(j, i) for i, j in kept] if is_turned else kept


def _cheapest(costs: Sequence[Sequence[int]]) -> list[int]:
    """Return the column of each row, all different, at the smallest sum of costs.

    There are at least as many columns as rows. Rows are taken in one after the
    other along a shortest augmenting path; the prices keep all reduced costs at
    zero or above (rows and columns count from 1, 0 is the row just taken in).
    """
    rows, columns = len(costs), len(costs[0])
    row_price, column_price = [0] * (rows + 1), [0] * (columns + 1)
    row_of, came_from = [0] * (columns + 1), [0] * (columns + 1)
    for row in range(1, rows + 1):
        row_of[0], at = row, 0
        shortest: list[float] = [inf] * (columns + 1)
        is_done = [False] * (columns + 1)
        while row_of[at]:
            is_done[at] = True
            here, step, following = row_of[at], inf, 0
            for column in range(1, columns + 1):
                if is_done[column]:
                    continue
                reduced = costs[here - 1][column - 1] - row_price[here] - column_price[column]
                if reduced < shortest[column]:
                    shortest[column], came_from[column] = reduced, at
                if shortest[column] < step:
                    step, following = shortest[column], column
            for column in range(columns + 1):
                if is_done[column]:
                    row_price[row_of[column]] += int(step)
                    column_price[column] -= int(step)
                else:
                    shortest[column] -= step
            at = following
        while at:
            row_of[at] = row_of[came_from[at]]
            at = came_from[at]
    column_of = {row_of[column]: column - 1 for column in range(1, columns + 1) if row_of[column]}
    return [column_of[row] for row in range(1, rows + 1)]
