"""A line made ready for the search: renumbered, arrows without detours, tails, exchanges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from stationflow.balancing.arrows import closure, members, topological_order
from stationflow.balancing.exact.kernel import LineArrays
from stationflow.balancing.exact.weights import Weights

if TYPE_CHECKING:
    import numpy.typing as npt

    from stationflow.balancing.problem import BalanceProblem

SPARING = 0.02
"""How much a station is worth to a task kept for later, in the key (Sewell and Jacobson 2012)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchLine:
    """A line seen from one end.

    Attributes
    ----------
    order
        Position in the problem of each task of the search.
    times
        Task times in that order.
    later
        For each task the tasks that wait for it, however far, as bits.
    direct
        For each task those that wait for it directly, detours left out.
    values
        Ranked positional weight of each task.
    """

    order: tuple[int, ...]
    times: npt.NDArray[np.int64]
    later: tuple[int, ...]
    direct: tuple[tuple[int, ...], ...]
    positional: npt.NDArray[np.float64]

    @property
    def size(self) -> int:
        """Number of tasks."""
        return len(self.order)

    def own(self, weights: Weights) -> Weights:
        """Return weights given in the order of the problem in that of the search."""
        return replace(weights, tasks=weights.tasks[list(self.order)])


def search_line(problem: BalanceProblem) -> SearchLine:
    """Return a problem as a line to be searched from its start.

    Tasks are renumbered by falling positional weight, which keeps the direction of arrows.
    """
    later = closure(problem.successors)
    depth = {task: at for at, task in enumerate(topological_order(problem.predecessors))}
    positional = [
        problem.times[task] + sum(problem.times[other] for other in members(later[task]))
        for task in range(problem.size)
    ]
    order = sorted(range(problem.size), key=lambda j: (-positional[j], depth[j]))
    place = {task: at for at, task in enumerate(order)}
    direct = []
    for task in order:
        after = set(problem.successors[task])
        detours = 0
        for other in after:
            detours |= later[other]
        direct.append(tuple(sorted(place[o] for o in after if not detours >> o & 1)))
    return SearchLine(
        order=tuple(order),
        times=np.array([problem.times[task] for task in order], dtype=np.int64),
        later=tuple(sum(1 << place[other] for other in members(later[task])) for task in order),
        direct=tuple(direct),
        positional=np.array([positional[task] for task in order], dtype=np.float64),
    )


def tails(line: SearchLine, limit: int, weights: Sequence[Weights]) -> npt.NDArray[np.int32]:
    """Return the stations from that of each task to the end of the line, at least.

    Two reasons are combined. What the task and all that wait for it weigh together needs so
    many stations. And tasks that wait are done one after another at best, each with its own
    tail behind it, on a line that never wastes (one machine with tails: Johnson 1988,
    Management Science 34(2), 240-253); a tail that cannot share the station of its task
    begins with a new station.
    """
    size, times = line.size, line.times
    needed = np.ones(size, dtype=np.int64)
    behind = np.zeros(size, dtype=np.int64)  # time at least after the task
    for task in range(size - 1, -1, -1):
        after = list(members(line.later[task]))
        own = int(times[task])
        if after:
            for each in weights:
                weight = int(each.tasks[after].sum() + each.tasks[task])
                needed[task] = max(needed[task], -(-weight // each.capacity))
            after.sort(key=lambda other: -int(behind[other]))
            done = 0
            for other in after:
                done += int(times[other])
                behind[task] = max(behind[task], done + behind[other])
            for other in line.direct[task]:
                apart = own + int(times[other]) > limit
                needed[task] = max(needed[task], needed[other] + apart)
        rest = int(behind[task]) % limit
        if rest and rest + own > limit:
            behind[task] += limit - rest
        needed[task] = max(needed[task], -(-(int(behind[task]) + own) // limit))
        behind[task] = max(int(behind[task]), (int(needed[task]) - 1) * limit)
    return needed.astype(np.int32)


def line_arrays(line: SearchLine, limit: int, weights: Sequence[Weights]) -> LineArrays:
    """Return the arrays of a line at a limit, with weights in the order of the search."""
    starts, followers = _packed(line.direct)
    better_starts, better = _packed(_exchanges(line))
    waits = np.bincount(followers, minlength=line.size).astype(np.int32)
    return LineArrays(
        limit=limit,
        times=line.times,
        starts=starts,
        followers=followers,
        waits=waits,
        tails=tails(line, limit, weights),
        better_starts=better_starts,
        better=better,
        weights=np.array([each.tasks for each in weights], dtype=np.int64),
        capacities=np.array([each.capacity for each in weights], dtype=np.int64),
        values=(line.times - SPARING * limit).astype(np.float32),
    )


def _packed(rows: Sequence[Sequence[int]]) -> tuple[npt.NDArray[np.int32], npt.NDArray[np.int32]]:
    """Return lists of positions as one array, and where each begins."""
    starts = np.cumsum([0] + [len(row) for row in rows]).astype(np.int32)
    return starts, np.array([each for row in rows for each in row], dtype=np.int32)


def _exchanges(line: SearchLine) -> list[list[int]]:
    """Return for each task those that may take its place in a load (Jackson 1956)."""
    times, later = line.times.tolist(), line.later
    rows: list[list[int]] = []
    for task in range(line.size):
        row = []
        for other in range(line.size):
            if other == task or times[other] < times[task] or later[task] & ~later[other]:
                continue
            if later[task] >> other & 1 or later[other] >> task & 1:
                continue
            if times[other] == times[task] and later[other] == later[task] and other > task:
                continue
            row.append(other)
        rows.append(row)
    return rows
