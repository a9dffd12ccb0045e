"""Where the tasks of a precedence diagram stand: layers folded into bands, like lines of text."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise
from typing import NamedTuple

from stationflow.balancing.arrows import columns, topological_order

Rows = tuple[tuple[int, ...], ...]
Near = tuple[list[list[int]], list[list[int]]]  # drawn predecessors and successors by position
WISHED_ASPECT = 1.6  # width over height that a page or screen holds best
ROW_GAP = 14.0  # usual space between two nodes one above the other, in points
COLUMN_GAP = 30.0  # usual space between two columns, with the arrows in it, in points
BAND_GAP = 28.0  # usual space between two bands, in points
FOLD_COST = 0.07  # a band more must make the picture this share smaller to be worth the turn
ARROW_COST = 0.6  # if all arrows ran over folds, the picture would have to be this share smaller
FITS_AS_IT_IS = 680.0  # width in points (900 pixels) that fits a page without being made smaller
TOO_WIDE = 3  # how much worse it is to be too wide than too tall where one is moved down
MOST_BANDS = 40
SLACK = 0.12  # how far a fold may move from where it would be in even bands, as a share of a band
SWEEPS = 6


class Cell(NamedTuple):
    """The place of a task: band, column within the band, row within the column; all from 0."""

    band: int
    column: int
    row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """The places of all tasks."""

    cells: tuple[Cell, ...]  # place of each task, by position
    columns: tuple[int, ...]  # how many columns each band has
    rows: tuple[int, ...]  # how many rows each band has


@dataclass(frozen=True, slots=True)
class Room:
    """The space on a screen that a diagram is read in, in points as they are drawn."""

    width: float
    height: float
    is_moved_down: bool = True  # what is too tall is moved up and down, never sideways


PAGE = Room(FITS_AS_IT_IS, FITS_AS_IT_IS / WISHED_ASPECT, is_moved_down=False)


def task_grid(
    before: Rows,
    arrows: Sequence[tuple[int, int]],
    size: tuple[float, float],
    room: Room = PAGE,
) -> Grid:
    """Return a place for every task.

    A task stands in a later column than all its predecessors. A layer of many
    tasks takes several columns, and the columns are folded into bands, so
    that the picture is large in the shape of a page, or of another `room`.

    `before` has no circle; `arrows` are those drawn; `size` is that of a node in points.
    """
    near = _neighbours(len(before), arrows)
    layers = _layers(before, near)
    height, breaks = _shape(layers, arrows, size, room)
    stacks = _stacks(layers, height, near)
    ends = [0, *breaks, len(stacks)]
    folded = [stacks[a:b] for a, b in pairwise(ends)]
    rows = [max(len(stack) for stack in band) for band in folded]
    row = _rows_of_tasks(folded, rows, near)
    cells = {
        task: Cell(band=b, column=c, row=row[task])
        for b, band in enumerate(folded)
        for c, stack in enumerate(band)
        for task in stack
    }
    return Grid(
        cells=tuple(cells[task] for task in range(len(before))),
        columns=tuple(len(band) for band in folded),
        rows=tuple(rows),
    )


def _neighbours(tasks: int, arrows: Sequence[tuple[int, int]]) -> Near:
    left: list[list[int]] = [[] for _ in range(tasks)]
    right: list[list[int]] = [[] for _ in range(tasks)]
    for a, b in arrows:
        left[b].append(a)
        right[a].append(b)
    return left, right


def _layers(before: Rows, near: Near) -> list[list[int]]:
    """Return the tasks layer by layer.

    A task with more arrows leaving than coming stands as late as it can: its
    arrows are shorter so, and fewer tasks crowd the first layer.
    """
    left, right = near
    layer = list(columns(before))
    for task in reversed(topological_order(before)):
        if len(right[task]) > len(left[task]):
            layer[task] = min(layer[after] for after in right[task]) - 1
    used = {number: at for at, number in enumerate(sorted(set(layer)))}
    layers: list[list[int]] = [[] for _ in used]
    for task, number in enumerate(layer):
        layers[used[number]].append(task)
    return layers


def _shape(
    layers: Sequence[list[int]],
    arrows: Sequence[tuple[int, int]],
    size: tuple[float, float],
    room: Room,
) -> tuple[int, list[int]]:
    """Return the rows of the tallest column, and the columns before which a new band begins.

    The picture is the larger on a page, the smaller max(width, aspect x height) is;
    one that fits a page as it is need not be smaller.
    """
    aspect = room.width / room.height
    across, down = size[0] + COLUMN_GAP, size[1] + ROW_GAP
    layer_of = {task: at for at, layer in enumerate(layers) for task in layer}
    spans = [sorted((layer_of[a], layer_of[b])) for a, b in arrows]
    best: tuple[float, int, list[int]] = (float("inf"), 1, [])
    for height in range(max(map(len, layers)), 0, -1):
        counts = [-(-len(layer) // height) for layer in layers]
        stacked = [min(len(layer), height) for layer, n in zip(layers, counts, strict=True)
                   for _ in range(n)]  # fmt: skip
        over = _arrows_over(counts, spans)
        for bands in range(1, min(len(stacked), MOST_BANDS) + 1):
            breaks = _breaks(over, bands)
            ends = [0, *breaks, len(stacked)]
            parts = [stacked[a:b] for a, b in pairwise(ends)]
            wide = max(map(len, parts)) * across
            tall = sum(map(max, parts)) * down + len(breaks) * BAND_GAP
            if tall * aspect > best[0]:
                break  # more bands are taller still
            cost = max(wide, aspect * tall, room.width) * (1 + FOLD_COST * len(breaks))
            if room.is_moved_down:
                cost *= max(wide / room.width, 1) ** TOO_WIDE
            cost *= 1 + ARROW_COST * sum(over[at] for at in breaks) / max(len(arrows), 1)
            if cost < 0.99 * best[0]:
                best = (cost, height, breaks)
    return best[1], best[2]


def _arrows_over(counts: Sequence[int], spans: Sequence[Sequence[int]]) -> list[int]:
    """Return how many arrows run over the left edge of each column, if each layer has so many."""
    starts = [0, *accumulate(counts)]
    change = [0] * (starts[-1] + 1)
    for a, b in spans:
        change[starts[a + 1]] += 1  # leaves the last column of its layer at the latest
        change[starts[b] + 1] -= 1
    return list(accumulate(change))


def _breaks(over: Sequence[int], bands: int) -> list[int]:
    """Return where to fold into equal bands, each fold moved to where few arrows run over it."""
    columns_of_all = len(over) - 1
    even = columns_of_all / bands
    slack = int(even * SLACK)
    breaks: list[int] = []
    for n in range(1, bands):
        middle = round(n * even)
        near = range(max(middle - slack, (breaks[-1] if breaks else 0) + 1),
                     min(middle + slack, columns_of_all - (bands - n)) + 1)  # fmt: skip
        breaks.append(min(near, key=lambda at: (over[at], abs(at - middle)), default=middle))
    return breaks


def _stacks(layers: Sequence[list[int]], height: int, near: Near) -> list[list[int]]:
    """Return the columns: each layer cut into as many as its tasks need, like tasks together."""
    left, right = near
    rank: dict[int, float] = {}
    stacks = []
    for layer in layers:
        order = sorted(layer, key=lambda t: (_mean([rank[p] for p in left[t]]), right[t], t))
        rank |= {task: (at + 0.5) / len(order) for at, task in enumerate(order)}
        count = -(-len(order) // height)
        ends = [len(order) * n // count for n in range(count + 1)]
        stacks += [order[a:b] for a, b in pairwise(ends)]
    return stacks


def _rows_of_tasks(
    folded: Sequence[Sequence[list[int]]], rows: Sequence[int], near: Near
) -> dict[int, int]:
    """Return the row of each task: near the rows of its neighbours, so that arrows run straight."""
    band_of = {task: b for b, band in enumerate(folded) for stack in band for task in stack}
    row = {
        task: at + (rows[b] - len(stack)) // 2
        for b, band in enumerate(folded)
        for stack in band
        for at, task in enumerate(stack)
    }
    for sweep in range(SWEEPS):
        forwards = sweep % 2 == 0
        sides = near[:1] if forwards else near[1:]
        for b, band in enumerate(folded):
            for stack in band if forwards else list(reversed(band)):
                wish = {
                    task: _mean(
                        [row[n] for side in sides for n in side[task] if band_of[n] == b],
                        row[task],
                    )
                    for task in stack
                }
                row |= _placed(sorted(stack, key=lambda t: (wish[t], row[t])), wish, rows[b])
    return row


def _placed(order: Sequence[int], wish: dict[int, float], rows: int) -> dict[int, int]:
    """Return rows in the order given, as near to the wishes as the room allows."""
    placed: list[int] = []
    for at, task in enumerate(order):
        least = placed[-1] + 1 if placed else 0
        placed.append(max(least, min(round(wish[task]), rows - len(order) + at)))
    # What was pushed down draws the tasks above it up, where they have room.
    for at in range(len(order) - 1, -1, -1):
        push = placed[at] - wish[order[at]]
        start = at
        while push > 0 and start > 0 and placed[start - 1] == placed[start] - 1:
            start -= 1
            push += placed[start] - wish[order[start]]
        room = placed[start] - (placed[start - 1] + 1 if start else 0)
        shift = min(room, int(push / (at - start + 1) + 0.5))
        for n in range(start, at + 1):
            placed[n] -= max(shift, 0)
    return dict(zip(order, placed, strict=True))


def _mean(numbers: Sequence[float], otherwise: float = 0.5) -> float:
    """Return the mean, or another number when there is none."""
    return sum(numbers) / len(numbers) if numbers else otherwise
