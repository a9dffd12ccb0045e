"""A line made ready for the search: renumbered, arrows without detours, exchanges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stationflow.balancing.arrows import members, topological_order
from stationflow.balancing.exact.arrays import LineArrays
from stationflow.balancing.exact.compiled import kernels
from stationflow.balancing.exact.weights import Weights

if TYPE_CHECKING:
    import numpy.typing as npt

    from stationflow.balancing.problem import BalanceProblem

    Small = npt.NDArray[np.int32]

POSITIONAL, SPARING = 0.25, 0.2
"""In the key of a partial plan, in stations: what the work content as positional weight is worth,
and what each task kept for later is (after Sewell and Jacobson 2012; numbers by trial)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchLine:
    """A line seen from one end, tasks renumbered by falling positional weight."""

    order: npt.NDArray[np.int64]  # position in the problem of each task of the search
    times: npt.NDArray[np.int64]  # task times in that order
    # for each task the tasks that wait for it, however far, as rows of bits
    later: npt.NDArray[np.uint64]
    # starts, followers: direct followers without detours: of task j, `followers[starts[j]:starts[j
    # + 1]]`
    starts: Small
    followers: Small
    # better_starts, better: tasks that may take the place of task j in a load, shortest first
    # (Jackson 1956)
    better_starts: Small
    better: Small
    positional: npt.NDArray[np.float64]  # ranked positional weight of each task


def search_line(problem: BalanceProblem, after: Sequence[int]) -> SearchLine:
    """Return a problem to be searched from its start; `after`: who waits for each task, as bits.

    Falling positional weight keeps the direction of the arrows.
    """
    depth = {task: at for at, task in enumerate(topological_order(problem.predecessors))}
    positional = [
        problem.times[task] + sum(problem.times[other] for other in members(after[task]))
        for task in range(problem.size)
    ]
    order = sorted(range(problem.size), key=lambda j: (-positional[j], depth[j]))
    place = {task: at for at, task in enumerate(order)}
    direct = []
    for task in order:
        detours = 0
        for other in problem.successors[task]:
            detours |= after[other]
        direct.append(sorted(place[o] for o in problem.successors[task] if not detours >> o & 1))
    times = [problem.times[task] for task in order]
    later = [sum(1 << place[other] for other in members(after[task])) for task in order]
    starts, followers = packed_rows(direct)
    better_starts, better = packed_rows(_exchanges(times, later))
    return SearchLine(
        order=np.array(order, dtype=np.int64),
        times=np.array(times, dtype=np.int64),
        later=bit_rows(later),
        starts=starts,
        followers=followers,
        better_starts=better_starts,
        better=better,
        positional=np.array([positional[task] for task in order], dtype=np.float64),
    )


def line_arrays(line: SearchLine, limit: int, weights: Sequence[Weights]) -> LineArrays:
    """Return the arrays of a line at a limit; weights are by position of the problem."""
    own = np.array([each.tasks[line.order] for each in weights], dtype=np.int64)
    capacities = np.array([each.capacity for each in weights], dtype=np.int64)
    tails = kernels().stations_to_the_end(
        limit, line.times, line.later, line.starts, line.followers, own, capacities
    )
    worth = POSITIONAL * line.positional / max(1, int(line.times.sum()))
    return LineArrays(
        limit=limit,
        times=line.times,
        starts=line.starts,
        followers=line.followers,
        waits=np.bincount(line.followers, minlength=line.times.size).astype(np.int32),
        tails=tails,
        better_starts=line.better_starts,
        better=line.better,
        weights=own,
        capacities=capacities,
        hits=np.zeros(capacities.size, np.int64),
        values=(line.times + (worth - SPARING) * limit).astype(np.float32),
    )


def bit_rows(sets: Sequence[int]) -> npt.NDArray[np.uint64]:
    """Return sets of positions as rows of 64-bit words."""
    words = max(1, (len(sets) + 63) // 64)
    raw = b"".join(each.to_bytes(8 * words, "little") for each in sets)
    return np.frombuffer(raw, dtype="<u8").astype(np.uint64).reshape(len(sets), words)


def packed_rows(rows: Sequence[Sequence[int]]) -> tuple[Small, Small]:
    """Return lists of positions as one array, and where each begins."""
    starts = np.cumsum([0] + [len(row) for row in rows]).astype(np.int32)
    return starts, np.array([each for row in rows for each in row], dtype=np.int32)


def _exchanges(times: Sequence[int], later: Sequence[int]) -> list[list[int]]:
    """Return for each task those that may take its place in a load (Jackson 1956).

    They are at least as long, and at least the same tasks wait for them.
    """
    by_time = sorted(range(len(times)), key=lambda task: times[task])
    rows: list[list[int]] = [[] for _ in times]
    for place, task in enumerate(by_time):
        waiting = later[task]
        start = place
        while start and times[by_time[start - 1]] == times[task]:
            start -= 1
        for other in by_time[start:]:
            if other == task or waiting & ~later[other] or later[other] >> task & 1:
                continue
            is_twin = times[other] == times[task] and later[other] == waiting
            if not (waiting >> other & 1 or (is_twin and other > task)):
                rows[task].append(other)
    return rows
