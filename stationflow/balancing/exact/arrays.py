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
    """A line as the search sees it; task positions in the order of the search.

    Attributes
    ----------
    limit
        Limit of a station.
    times
        Task times.
    starts, followers
        Direct followers: of task j, `followers[starts[j]:starts[j + 1]]`.
    waits
        Number of direct predecessors.
    tails
        Stations from that of the task to the end of the line, at least.
    better_starts, better
        Tasks that may replace task j in a load (Jackson's exchange), shortest first.
    weights, capacities
        For each vector the weight of each task, and the most that a load can weigh.
    hits
        How many loads each vector of weights has ruled out, the first that did counted.
    values
        For the key of a partial plan: per task, worth per unit of stations and absolute.
    """

    limit: int
    times: Whole
    starts: Small
    followers: Small
    waits: Small
    tails: Small
    better_starts: Small
    better: Small
    weights: Whole
    capacities: Whole
    hits: Whole
    values: Real


class TreeArrays(NamedTuple):
    """All partial plans kept.

    Attributes
    ----------
    sets
        Tasks of each node as bits (nodes x words).
    stations, parents, keys
        Number of stations, node it was made from, rank in its heap (small is good).
    child, sibling
        Links of the pairing heaps.
    table
        Hash table over the sets: node + 1, or 0.
    roots
        Heap of each number of stations: node, or -1.
    redo
        Nodes whose loads were not all listed, as a ring.
    """

    sets: Bits
    stations: Small
    parents: Small
    keys: Real
    child: Small
    sibling: Small
    table: Small
    roots: Small
    redo: Small
