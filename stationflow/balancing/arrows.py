"""Precedence as arrows between positions: closure, columns, circles, longest path.

A set of tasks is one Python whole number with a bit per position, so that a
union of sets is one operation however many tasks there are. Nothing here
recurses: a chain of a thousand tasks is as good as any other.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from itertools import compress
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

SMALL = 300
"""Up to so many positions sums over sets are made without numpy."""

_TO_FLAGS = bytes.maketrans(b"01", bytes((0, 1)))

Arrows = Sequence[Sequence[int]]
"""For each position the positions at the other end of its arrows."""


def turned(arrows: Arrows) -> tuple[tuple[int, ...], ...]:
    """Return the arrows the other way round: successors from predecessors.

    >>> turned([(), (0,), (0, 1)])
    ((1, 2), (2,), ())
    """
    ends: list[list[int]] = [[] for _ in arrows]
    for position, others in enumerate(arrows):
        for other in others:
            ends[other].append(position)
    return tuple(tuple(e) for e in ends)


def topological_order(predecessors: Arrows) -> tuple[int, ...]:
    """Return the positions so that each comes after its predecessors, in listed order else.

    Raises ValueError if the arrows go round in a circle.
    """
    order = _sorted_part(predecessors)
    if len(order) < len(predecessors):
        raise ValueError("the precedence goes round in a circle")
    return tuple(order)


def _sorted_part(predecessors: Arrows) -> list[int]:
    """Return what can be put in order: all positions not in or after a circle."""
    successors = turned(predecessors)
    missing = [len(p) for p in predecessors]
    ready = [position for position, count in enumerate(missing) if not count]
    order: list[int] = []
    while ready:
        position = heapq.heappop(ready)
        order.append(position)
        for successor in successors[position]:
            missing[successor] -= 1
            if not missing[successor]:
                heapq.heappush(ready, successor)
    return order


def knots(predecessors: Arrows) -> list[set[int]]:
    """Return the sets of positions that wait for each other: in each all lie on circles.

    >>> knots([(1,), (0,), (1,)])
    [{0, 1}]
    """
    if len(_sorted_part(predecessors)) == len(predecessors):
        return []  # the usual case, told faster than a graph is built
    import networkx as nx

    graph = _graph(predecessors)
    found = nx.strongly_connected_components(graph)
    return sorted((k for k in found if len(k) > 1 or graph.has_edge(*k, *k)), key=min)


def circles(predecessors: Arrows) -> list[tuple[int, ...]]:
    """Return of each knot the shortest circle from its first position, along the arrows.

    >>> circles([(2,), (0,), (1,)])
    [(0, 1, 2)]
    """
    found = knots(predecessors)
    if not found:
        return []
    import networkx as nx

    graph, named = _graph(predecessors), []
    for knot in found:
        first = min(knot)
        ways: dict[int, list[int]] = nx.single_source_shortest_path(graph.subgraph(knot), first)
        back = [ways[p] for p in predecessors[first] if p in ways]
        shortest = min(back, key=len)
        named.append(tuple(shortest))
    return named


def _graph(predecessors: Arrows) -> Any:
    import networkx as nx

    graph: Any = nx.DiGraph()
    graph.add_nodes_from(range(len(predecessors)))
    graph.add_edges_from((p, at) for at, before in enumerate(predecessors) for p in before)
    return graph


def closure(predecessors: Arrows) -> tuple[int, ...]:
    """Return for each position the set of all before it (given successors: after it), as bits.

    Raises ValueError if the arrows go round in a circle.

    >>> [bin(before) for before in closure([(), (0,), (1,)])]
    ['0b0', '0b1', '0b11']
    """
    sets = [0] * len(predecessors)
    for position in topological_order(predecessors):
        before = 0
        for predecessor in predecessors[position]:
            before |= sets[predecessor] | 1 << predecessor
        sets[position] = before
    return tuple(sets)


def members(bits: int) -> Iterator[int]:
    """Yield the positions in a set, smallest first.

    >>> list(members(0b1010))
    [1, 3]
    """
    while bits:
        lowest = bits & -bits
        yield lowest.bit_length() - 1
        bits ^= lowest


class Sums:
    """Sets of positions, ready for the sum over each of them of any whole values."""

    def __init__(self, sets: Sequence[int]) -> None:
        # Where numpy would take longer to load than it saves, C loops of the language do.
        self._rows, self._matrix = list[bytes](), None
        if len(sets) > SMALL:
            self._matrix = _matrix(sets)
        else:
            self._rows = [
                f"{bits:0{len(sets)}b}".encode().translate(_TO_FLAGS)[::-1] for bits in sets
            ]

    def of(self, values: Sequence[int]) -> list[int]:
        """Return the sum of the values, by position, over each set."""
        if self._matrix is None:
            return [sum(compress(values, row)) for row in self._rows]
        import numpy as np

        # Not a matrix product: its threads wait for each other longer than the sum takes.
        sums = np.einsum("ij,j->i", self._matrix, np.array(values, dtype=np.float64))
        found: list[int] = np.rint(sums).astype(np.int64).tolist()
        return found


def _matrix(sets: Sequence[int]) -> npt.NDArray[np.float64]:
    """Return sets as rows of 0 and 1: floats, whose products are faster and exact below 2**53."""
    import numpy as np

    size = len(sets)
    width = (size + 7) // 8
    raw = b"".join(s.to_bytes(width, "little") for s in sets)
    packed = np.frombuffer(raw, dtype=np.uint8).reshape(size, width)
    return np.unpackbits(packed, axis=1, count=size, bitorder="little").astype(np.float64)


def redundant_arrows(predecessors: Arrows) -> tuple[tuple[int, int], ...]:
    """Return the arrows (before, after) that follow from other arrows; there must be no circle.

    >>> redundant_arrows([(), (0,), (0, 1)])
    ((0, 2),)
    """
    sets = closure(predecessors)
    found = []
    for after, direct in enumerate(predecessors):
        through = 0
        for predecessor in direct:
            through |= sets[predecessor]
        found += [(before, after) for before in direct if through >> before & 1]
    return tuple(found)


def columns(predecessors: Arrows) -> tuple[int, ...]:
    """Return the column of each position in the precedence diagram, from 1.

    A task stands one column after the latest of its predecessors (Kilbridge and Wester 1961,
    Journal of Industrial Engineering 12(4), 292-298). There must be no circle.
    """
    import networkx as nx

    layers = enumerate(nx.topological_generations(_graph(predecessors)), start=1)
    column = {position: number for number, layer in layers for position in layer}
    return tuple(column[position] for position in range(len(predecessors)))


def order_strength(predecessors: Arrows) -> float:
    """Return how strongly the order is fixed: 0 not at all, 1 wholly; there must be no circle.

    Order strength = arrows in the closure / (n (n - 1) / 2), for n tasks (Mastor 1970,
    Management Science 16(11), 728-746).

    >>> order_strength([(), (0,), (1,)])
    1.0
    """
    size = len(predecessors)
    if size < 2:
        return 0.0
    return sum(s.bit_count() for s in closure(predecessors)) / (size * (size - 1) // 2)


def longest_path(times: Sequence[float], predecessors: Arrows) -> tuple[int, ...]:
    """Return the positions on the longest path by time, from start to end; no circle.

    >>> longest_path([5, 1, 2, 4], [(), (0,), (0,), (1, 2)])
    (0, 2, 3)
    """
    reach: list[float] = [0] * len(times)
    before: list[int | None] = [None] * len(times)
    for position in topological_order(predecessors):
        best = max(predecessors[position], key=lambda p: reach[p], default=None)
        before[position] = best
        reach[position] = times[position] + (reach[best] if best is not None else 0)
    step = max(range(len(times)), key=lambda p: reach[p], default=None)
    path: list[int] = []
    while step is not None:
        path.append(step)
        step = before[step]
    return tuple(reversed(path))
