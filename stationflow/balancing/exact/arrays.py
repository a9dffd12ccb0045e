"""What the compiled search works on: a line, and the partial plans made of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]
    Small = npt.NDArray[np.int32]
    Bits = npt.NDArray[np.uint64]
    Real = npt.NDArray[np.float32]


class LineArrays(NamedTuple):
    """A line as the search sees it; task positions in the order of the search."""

    limit: int  # limit of a station
    times: Whole  # task times
    # starts, followers: direct followers: of task j, `followers[starts[j]:starts[j + 1]]`
    starts: Small
    followers: Small
    waits: Small  # number of direct predecessors
    tails: Small  # stations from that of the task to the end of the line, at least
    # better_starts, better: tasks that may replace task j in a load (Jackson's exchange), shortest
    # first
    better_starts: Small
    better: Small
    # weights, capacities: for each vector the weight of each task, and the most that a load can
    # weigh
    weights: Whole
    capacities: Whole
    hits: Whole  # how many loads each vector of weights has ruled out, the first that did counted
    values: Real  # for the key of a partial plan: per task, worth per unit of stations and absolute


class TreeArrays(NamedTuple):
    """All partial plans kept."""

    sets: Bits  # tasks of each node as bits (nodes x words)
    # stations, parents, keys: number of stations, node it was made from, rank in its heap (small is
    # good)
    stations: Small
    parents: Small
    keys: Real
    # child, sibling: links of the pairing heaps
    child: Small
    sibling: Small
    table: Small  # hash table over the sets: node + 1, or 0
    roots: Small  # heap of each number of stations: node, or -1
    redo: Small  # nodes whose loads were not all listed, as a ring
