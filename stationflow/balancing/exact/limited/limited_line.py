"""A line with limits made ready for its search, for so many stations at a limit of time."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from stationflow.balancing.arrows import closure, members, turned
from stationflow.balancing.exact.compiled import kernels
from stationflow.balancing.exact.limited.limited_arrays import LimitedArrays
from stationflow.balancing.exact.limited.restrictions import WHOLE, Restrictions, restrictions
from stationflow.balancing.exact.search_line import (
    POSITIONAL,
    SPARING,
    SearchLine,
    packed_rows,
    search_line,
)
from stationflow.balancing.exact.weights import Weights, strongest, time_weights

if TYPE_CHECKING:
    import numpy.typing as npt

    from stationflow.balancing.problem import BalanceProblem

    Whole = npt.NDArray[np.int64]

KINDS = 8
"""Vectors of weights at most, besides the times and each measure."""


@dataclass(frozen=True, slots=True)
class LimitedLine:
    """A line seen from one end, whatever the limit of time.

    Tasks are in the order of the search, but for `limits`, where they are positions.
    """

    line: SearchLine
    limits: Restrictions
    stations: int
    before: list[list[tuple[int, int]]]  # those before each task, and how many stations at least
    foes: list[list[int]]
    near: list[list[int]]  # those that may not be far behind each task
    back: list[tuple[int, int, int]]  # arcs (x, y, w): x no more than w stations after y
    slots: list[tuple[int, bool, list[tuple[int, int]]]]
    better: list[list[int]]
    is_before: npt.NDArray[np.bool_]


def limited_line(problem: BalanceProblem, stations: int) -> LimitedLine:
    """Return a problem without groups to be searched from its start, for so many stations."""
    limits = restrictions(problem)
    rows = [list(row) for row in problem.predecessors]
    for x, y, w in limits.arcs:
        if w >= 0 and x not in rows[y]:
            rows[y].append(x)
    predecessors = tuple(tuple(row) for row in rows)
    told = replace(problem, predecessors=predecessors, successors=turned(predecessors))
    line = search_line(told, closure(told.successors))
    size = problem.size
    place = {int(task): at for at, task in enumerate(line.order)}
    starts, followers = line.starts.tolist(), line.followers.tolist()
    before: list[list[tuple[int, int]]] = [[] for _ in range(size)]
    for task in range(size):
        for after in followers[starts[task] : starts[task + 1]]:
            before[after].append((task, 0))
    near: list[list[int]] = [[] for _ in range(size)]
    back, firsts, lasts = [], dict[int, list[tuple[int, int]]](), dict[int, list[tuple[int, int]]]()
    for x, y, w in limits.arcs:
        own, other = place[x], place[y]
        if w > 0:
            before[other].append((own, w))
            firsts.setdefault(other, []).append((own, w))
        elif w < 0:
            near[other].append(own)
            back.append((own, other, -w))
            lasts.setdefault(own, []).append((other, -w))
    later = closure(told.successors)
    is_before = np.zeros((size, size), np.bool_)
    for task, at in place.items():
        is_before[[place[other] for other in members(later[task])], at] = True
    return LimitedLine(
        line=line,
        limits=limits,
        stations=stations,
        before=before,
        foes=[[place[foe] for foe in members(limits.foes[int(task)])] for task in line.order],
        near=near,
        back=back,
        slots=[(task, False, rows) for task, rows in firsts.items()]
        + [(task, True, rows) for task, rows in lasts.items()],
        better=_better(line, limits),
        is_before=is_before,
    )


def _better(line: SearchLine, limits: Restrictions) -> list[list[int]]:
    """Return for each task those that may replace it in a load, with all its limits.

    Of Jackson's exchanges those remain where the other task is at least as large in every
    measure, has every foe of the task and is of its kinds, and the task can be wherever the other
    can; where places of tasks depend on each other, or times on the station, there are none.
    """
    order = [int(task) for task in line.order]
    fixed = {task for x, y, _ in limits.arcs for task in (x, y)} | {t for t, _ in limits.times}
    rows: list[list[int]] = []
    starts, better = line.better_starts.tolist(), line.better.tolist()
    for at, task in enumerate(order):
        row = []
        for place in better[starts[at] : starts[at + 1]]:
            other = order[place]
            if (
                task not in fixed
                and other not in fixed
                and not limits.stations[other] & ~limits.stations[task]
                and not limits.foes[task] & ~limits.foes[other]
                and limits.kinds[task] == limits.kinds[other]
                and all(a[task] <= a[other] for a in limits.amounts)
            ):
                row.append(place)
        rows.append(row)
    return rows


def limited_arrays(ready: LimitedLine, limit: int) -> LimitedArrays | None:
    """Return the arrays at a limit; None: some task, or some work, finds no station."""
    line, limits, most = ready.line, ready.limits, ready.stations
    order = [int(task) for task in line.order]
    size = len(order)
    place = {task: at for at, task in enumerate(order)}
    allowed = np.zeros((most + 2, size), np.bool_)
    for at, task in enumerate(order):
        for station in range(1, most + 1):
            allowed[station, at] = limits.stations[task] >> station & 1
    time_at = np.tile(line.times, (most + 1, 1))
    for (task, station), time in limits.times.items():
        if station <= most:
            time_at[station, place[task]] = time
    room = np.zeros((1 + len(limits.amounts), most + 1), np.int64)
    for station in range(1, most + 1):
        room[0, station] = limit * limits.shares.get(station, WHOLE) // WHOLE
        for row, (of_tasks, usual, at_stations) in enumerate(limits.measures, 1):
            own, all_of_them = at_stations.get(station, usual), sum(of_tasks)
            room[row, station] = all_of_them if own is None else min(own, all_of_them)
        for row, (of_tasks, lost) in enumerate(limits.rates, 1 + len(limits.measures)):
            room[row, station] = min(limit + lost, sum(of_tasks))
    amounts = np.array([[a[task] for task in order] for a in limits.amounts], dtype=np.int64)
    amounts = amounts.reshape(len(limits.amounts), size)
    allowed[: most + 1] &= time_at <= room[0][:, None]
    for row in range(len(limits.amounts)):
        allowed[: most + 1] &= amounts[row][None, :] <= room[row + 1][:, None]
    if size and not allowed.any(axis=0).all():
        return None
    large = np.iinfo(np.int64).max
    times = np.where(allowed[: most + 1], time_at, large).min(axis=0)
    weights, rooms = _weights(ready, times, amounts, room)
    widest = room.max(axis=1)
    cannot = _cannot_share(ready, times, amounts, widest)
    rows = [
        [(other, max(gap, int(cannot[task, other]))) for other, gap in row]
        for task, row in enumerate(ready.before)
    ]
    before_starts, before = packed_rows([[other for other, _ in row] for row in rows])
    gaps = np.array([gap for row in rows for _, gap in row], dtype=np.int32)
    earliest = np.ones(size, np.int32)
    latest = np.full(size, most, np.int32)
    back = np.array(ready.back, dtype=np.int32).reshape(len(ready.back), 3)
    if not kernels().narrow_windows(
        rooms,
        weights,
        allowed,
        before_starts,
        before,
        gaps,
        ready.is_before,
        back,
        earliest,
        latest,
    ):
        return None
    after = np.zeros((len(weights), most + 3), np.int64)
    after[:, 1 : most + 1] = np.cumsum(rooms[:, :0:-1], axis=1)[:, ::-1]
    stations = np.arange(most + 2)[:, None]
    allowed &= (stations >= earliest[None, :]) & (stations <= latest[None, :])
    foe_starts, foes = packed_rows(ready.foes)
    near_starts, near = packed_rows(ready.near)
    better_starts, better = packed_rows(ready.better)
    slot_starts, slot_from = packed_rows([[t for t, _ in row] for _, _, row in ready.slots])
    kind_starts, kinds = packed_rows([limits.kinds[task] for task in order])
    worth = POSITIONAL * line.positional / max(1, int(line.times.sum()))
    return LimitedArrays(
        times=times,
        time_at=time_at,
        amounts=amounts,
        room=room,
        allowed=allowed,
        earliest=earliest,
        latest=latest,
        starts=line.starts,
        followers=line.followers,
        waits=np.bincount(line.followers, minlength=size).astype(np.int32),
        before_starts=before_starts,
        before=before,
        gaps=gaps,
        foe_starts=foe_starts,
        foes=foes,
        near_starts=near_starts,
        near=near,
        better_starts=better_starts,
        better=better,
        slot_task=np.array([task for task, _, _ in ready.slots], dtype=np.int32),
        slot_is_last=np.array([is_last for _, is_last, _ in ready.slots], dtype=np.bool_),
        slot_starts=slot_starts,
        slot_from=slot_from,
        kind_starts=kind_starts,
        kinds=kinds,
        kind_form=np.array(
            [form for form, (rows, _) in enumerate(limits.turns) for _ in rows], dtype=np.int32
        ),
        turn_time=np.array([time for _, time in limits.turns], dtype=np.int64),
        slot_gap=np.array([gap for _, _, row in ready.slots for _, gap in row], dtype=np.int32),
        weights=weights,
        after=after,
        hits=np.zeros(len(weights), np.int64),
        values=(line.times + (worth - SPARING) * limit).astype(np.float32),
        are_alike=limits.are_stations_alike,
    )


def _weights(ready: LimitedLine, times: Whole, amounts: Whole, room: Whole) -> tuple[Whole, Whole]:
    """Return vectors of weights, and what each station can weigh: times and measures first."""
    own = [times, *amounts]
    found: list[Weights] = []
    for measure, each in enumerate(own):
        widest = int(room[measure].max())
        if widest and each.any():
            found += time_weights(each, widest)[1:]
    cannot = _cannot_share(ready, times, amounts, room.max(axis=1))
    found += [Weights(alone, 1) for alone in _cliques(cannot)]
    kept = strongest([Weights(times, max(1, int(room[0].max()))), *found], KINDS)[1:]
    weights = np.vstack([*own, *(each.tasks for each in kept)])
    flat = [np.full(room.shape[1], each.capacity, np.int64) for each in kept]
    rooms = np.vstack([*room, *flat])
    rooms[:, 0] = 0
    return weights, rooms


def _cannot_share(
    ready: LimitedLine, times: Whole, amounts: Whole, widest: Whole
) -> npt.NDArray[np.bool_]:
    """Return which tasks can never be at one station, by foes and by what they take together."""
    cannot: npt.NDArray[np.bool_] = times[:, None] + times[None, :] > widest[0]
    for row, most in zip(amounts, widest[1:], strict=True):
        cannot |= row[:, None] + row[None, :] > most
    for task, foes in enumerate(ready.foes):
        cannot[task, foes] = True
    for task, row in enumerate(ready.before):
        for other, gap in row:
            if gap:
                cannot[task, other] = cannot[other, task] = True
    np.fill_diagonal(cannot, val=False)
    return cannot


def _cliques(cannot: npt.NDArray[np.bool_]) -> list[Whole]:
    """Return sets of tasks of which each needs a station of its own, grown from the busiest."""
    degree = cannot.sum(axis=1)
    found = []
    for first in np.argsort(-degree, kind="stable")[:3]:
        inside = [int(first)]
        open_to = cannot[first].copy()
        while open_to.any():
            task = int(np.argmax(np.where(open_to, degree, -1)))
            inside.append(task)
            open_to &= cannot[task]
        if len(inside) > 2:
            alone = np.zeros(degree.size, np.int64)
            alone[inside] = 1
            found.append(alone)
    return found
