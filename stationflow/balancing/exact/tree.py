"""The partial plans of a search in one direction, in arrays that grow within a memory bound."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stationflow.balancing.exact import kernel
from stationflow.balancing.exact.arrays import LineArrays, TreeArrays
from stationflow.balancing.exact.compiled import kernels

if TYPE_CHECKING:
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]

FIRST_NODES = 1 << 14
TABLE_PLACES = 4
"""Places in the hash table for each node, at least half of that after rounding."""
CONTROL_PLACES = 10


class Tree:
    """A search from one end of a line, to be gone on with as long as wanted.

    Only plans of fewer than `best` stations are looked for; at most `most_nodes` partial plans
    are kept.
    """

    def __init__(self, line: LineArrays, best: int, most_nodes: int) -> None:
        self.line = line
        self._begin(line.times.shape[0], best, most_nodes)

    def _begin(self, size: int, best: int, most_nodes: int, more_words: int = 0) -> None:
        self.is_full = False
        self._most_nodes = max(most_nodes, FIRST_NODES)
        self._set_words = max(1, (size + 63) // 64)
        self._words = self._set_words + more_words
        self._control = np.zeros(CONTROL_PLACES, np.int64)
        self._control[kernel.NODES] = 1
        self._control[kernel.BEST] = best
        self._control[kernel.BEST_NODE] = -1
        self._arrays = self._empty(FIRST_NODES, max(size, best) + 2)
        first = self._arrays
        first.stations[0], first.parents[0], first.keys[0] = 0, -1, 0.0
        first.sets[0] = 0
        first.child[0] = first.sibling[0] = -1
        first.roots[0] = 0
        first.table[kernels().place_of(first, first.sets[0])] = 1

    @property
    def best(self) -> int:
        """Stations of the best plan known."""
        return int(self._control[kernel.BEST])

    @property
    def nodes(self) -> int:
        """Partial plans looked at."""
        return int(self._control[kernel.NODES])

    @property
    def branching(self) -> float:
        """Partial plans made of each that was expanded."""
        return self.nodes / max(1, int(self._control[kernel.EXPANDED]))

    @property
    def is_done(self) -> bool:
        """Whether no plan of fewer stations is left to be found."""
        return int(self._control[kernel.STATE]) == kernel.DONE

    @property
    def memory_bytes(self) -> int:
        """Memory of the arrays."""
        return sum(array.nbytes for array in self._arrays)

    def know(self, best: int) -> None:
        """Take note of a plan found elsewhere."""
        self._control[kernel.BEST] = min(self.best, best)

    def search(self, budget: int, most_loads: int, batch: int) -> list[list[int]] | None:
        """Go on for about `budget` loads; return the stations of a better plan, if one is found.

        `is_full` says afterwards whether the memory bound ended the search.
        """
        before = int(self._control[kernel.BEST_NODE])
        self.sort_weights()
        kernels().search(self.line, self._arrays, self._control, budget, most_loads, batch)
        if int(self._control[kernel.STATE]) == kernel.NO_ROOM:
            self.grow()
        node = int(self._control[kernel.BEST_NODE])
        return None if node == before else self._plan(node)

    def sample(self, picks: npt.NDArray[np.float64]) -> tuple[npt.NDArray[np.bool_], Whole]:
        """Return tasks still to do (plans x tasks) and stations used of some of the newest plans.

        `picks`: where each stands among the newest half, from 0 (older) to 1 (newest).
        """
        count = self.nodes
        which = np.unique(count // 2 + (picks * (count - count // 2)).astype(np.int64))
        which = which[which < count]
        size = self.line.times.shape[0]
        sets = np.ascontiguousarray(self._arrays.sets[which]).view(np.uint8)
        is_done = np.unpackbits(sets, axis=1, count=size, bitorder="little").astype(bool)
        return ~is_done, self._arrays.stations[which].astype(np.int64)

    def weigh(self, weights: Whole, capacity: int, most: int) -> None:
        """Bound by a further vector of weights from now on; keep the `most` that rule out most."""
        line = self.line
        kept = np.argsort(-line.hits, kind="stable")[: most - 1]
        self.line = line._replace(
            weights=np.vstack([weights, line.weights[kept]]),
            capacities=np.append(capacity, line.capacities[kept]),
            hits=np.append(0, line.hits[kept]),
        )

    def sort_weights(self) -> None:
        """Try the vectors first that ruled out most of late: what they rule out costs little."""
        line = self.line
        order = np.argsort(-line.hits, kind="stable")
        self.line = line._replace(
            weights=np.ascontiguousarray(line.weights[order]),
            capacities=line.capacities[order],
            hits=line.hits[order] // 2,
        )

    def _plan(self, node: int) -> list[list[int]]:
        """Return the tasks at each station of a node."""
        stations: list[list[int]] = []
        while node > 0:
            parent = int(self._arrays.parents[node])
            words = slice(self._set_words)
            load = self._arrays.sets[node, words] & ~self._arrays.sets[parent, words]
            bits = np.unpackbits(load.view(np.uint8), bitorder="little")
            stations.append([int(task) for task in np.flatnonzero(bits)])
            node = parent
        return stations[::-1]

    def _empty(self, nodes: int, levels: int) -> TreeArrays:
        places = 1 << (TABLE_PLACES * nodes - 1).bit_length() - 1
        return TreeArrays(
            sets=np.empty((nodes, self._words), np.uint64),
            stations=np.empty(nodes, np.int32),
            parents=np.empty(nodes, np.int32),
            keys=np.empty(nodes, np.float32),
            child=np.empty(nodes, np.int32),
            sibling=np.empty(nodes, np.int32),
            table=np.zeros(places, np.int32),
            roots=np.full(levels, -1, np.int32),
            redo=np.empty(nodes // 4, np.int32),
        )

    def grow(self) -> None:
        """Make room for more nodes, unless the memory bound is reached."""
        old = self._arrays
        room = min(2 * old.stations.size, self._most_nodes)
        if room <= old.stations.size:
            self.is_full = True
            return
        new = self._empty(room, old.roots.size)
        count = self.nodes
        for name in ("sets", "stations", "parents", "keys", "child", "sibling"):
            getattr(new, name)[:count] = getattr(old, name)[:count]
        new.roots[:] = old.roots
        first, waiting = (int(self._control[at]) for at in (kernel.REDO_FIRST, kernel.REDO_COUNT))
        new.redo[:waiting] = old.redo[(first + np.arange(waiting)) % old.redo.size]
        self._control[kernel.REDO_FIRST] = 0
        kernels().refill(old, new)
        self._arrays = new


def nodes_within(memory_bytes: int, size: int) -> int:
    """Return how many nodes of a line of so many tasks fit into a memory bound.

    While arrays grow the old ones are still there, half as large.
    """
    words = max(1, (size + 63) // 64)
    each = 8 * words + 4 * (5 + TABLE_PLACES) + 1
    return memory_bytes * 2 // (3 * each)
