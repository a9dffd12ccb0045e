"""The partial plans of a search of a line with limits, from one end."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stationflow.balancing.exact import kernel
from stationflow.balancing.exact.compiled import kernels
from stationflow.balancing.exact.limited.limited_kernel import SLOTS_IN_WORD
from stationflow.balancing.exact.tree import Tree

if TYPE_CHECKING:
    from stationflow.balancing.exact.limited.limited_arrays import LimitedArrays


class LimitedTree(Tree):
    """A search for a plan of so many stations, to be gone on with as long as wanted."""

    def __init__(self, line: LimitedArrays, most_nodes: int) -> None:
        self.limited = line
        more = -(-line.slot_task.size // SLOTS_IN_WORD)
        self._begin(line.latest.size, line.room.shape[1], most_nodes, more)

    def search(self, budget: int, most_loads: int, batch: int) -> list[list[int]] | None:
        """Go on for about `budget` loads; return the stations of a plan, if one is found."""
        self.sort_weights()
        kernels().search_limited(
            self.limited, self._arrays, self._control, budget, most_loads, batch
        )
        if int(self._control[kernel.STATE]) == kernel.NO_ROOM:
            self.grow()
        node = int(self._control[kernel.BEST_NODE])
        return None if node < 0 else self._plan(node)

    def sort_weights(self) -> None:
        """Try the vectors first that ruled out most of late."""
        line = self.limited
        order = np.argsort(-line.hits, kind="stable")
        self.limited = line._replace(
            weights=np.ascontiguousarray(line.weights[order]),
            after=np.ascontiguousarray(line.after[order]),
            hits=line.hits[order] // 2,
        )
