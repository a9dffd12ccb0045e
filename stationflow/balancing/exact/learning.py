"""Weights learned while the search goes on, from partial plans that lead nowhere.

The packing bound of the whole line is blind to what a partial plan has left: too many tasks
that fit together badly. So some partial plans are looked at more closely. The packing of the
tasks that one of them has left gives weights; if they show that its stations do not suffice,
and that those of others do not either, all further partial plans are weighed with them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from stationflow.balancing.exact.packing import Packing
    from stationflow.balancing.exact.search_line import SearchLine
    from stationflow.balancing.exact.tree import Tree

MOST_KINDS = 16
"""Vectors that a search weighs with."""
LOOKED_AT, SAMPLED = 6, 600
"""Partial plans whose packing is computed, and those on which its weights are tried, each time."""
USEFUL = 0.04
"""Share of partial plans that a vector must show to lead nowhere to be kept."""


def learn(
    tree: Tree, line: SearchLine, packing: Packing, target: int, chance: np.random.Generator
) -> bool:
    """Look for weights that show many partial plans to lead nowhere; return if any were found."""
    if tree.nodes < SAMPLED:
        return False
    open_tasks, stations = tree.sample(chance.random(SAMPLED))
    left = target - stations
    known = tree.line.weights @ open_tasks.T <= np.outer(tree.line.capacities, left)
    is_open = known.all(axis=0)
    open_tasks, left = open_tasks[is_open], left[is_open]
    if left.size < SAMPLED * USEFUL:
        return False
    for node in chance.choice(left.size, min(LOOKED_AT, left.size), replace=False):
        counted = np.zeros(line.order.size, np.bool_)
        counted[line.order[open_tasks[node]]] = True
        found = packing.weights(int(left[node]) + 1, counted)
        if found is None:
            return False
        weights = found.tasks[line.order]
        is_shown = open_tasks @ weights > left * found.capacity
        if is_shown.sum() >= SAMPLED * USEFUL:
            tree.weigh(weights, found.capacity, MOST_KINDS)
            return True
    return False
