"""The hot part of the exact search: plain loops over arrays, compiled when first used.

A partial plan is a node: the set of its tasks as bits, its number of stations, the node
it was made from. Nodes of a number of stations wait in a pairing heap, best key first;
a hash table finds the node of a set. Everything is in arrays, so that a node costs a few
dozen bytes.

Station loads are listed depth first. A load is only of use if

- it is maximal: no further task fits (Jackson 1956),
- it leaves no more unused than a plan of fewer stations than the best can bear, by time
  and by every vector of weights,
- it holds the tasks whose latest station this is,
- it holds a task that others wait for, as long as there is one,
- none of its tasks could be exchanged for a longer one, not in the load, that at least
  the same tasks wait for (Jackson 1956).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from stationflow.balancing.exact.arrays import Bits, LineArrays, TreeArrays, Whole

NODES, BEST, LEVEL, EXPANDED, REDO_FIRST, REDO_COUNT, BEST_NODE, STATE, TAKEN, LOADS = range(10)
"""Places in the control array: nodes made; stations of the best plan; level at work; nodes
expanded; first and number of nodes whose loads were not all listed; last node of the best
plan; how the last call ended; nodes taken from the level at work; loads listed."""

OPEN, DONE, NO_ROOM = range(3)
"""How a call of the search ended: budget used up, nothing left to look at, arrays full."""


def has(bits: Bits, task: int) -> bool:
    """Return whether a task is in a set."""
    return bool((bits[task >> 6] >> np.uint64(task & 63)) & np.uint64(1))


def hash_of(bits: Bits) -> np.uint64:
    """Return a hash of a set (the mixing steps of MurmurHash3, public domain)."""
    mixed = np.uint64(1469598103934665603)
    for word in range(bits.shape[0]):
        x = bits[word]
        x ^= x >> np.uint64(33)
        x *= np.uint64(0xFF51AFD7ED558CCD)
        x ^= x >> np.uint64(33)
        x *= np.uint64(0xC4CEB9FE1A85EC53)
        x ^= x >> np.uint64(33)
        mixed = (mixed ^ x) * np.uint64(0x9E3779B97F4A7C15)
        mixed ^= mixed >> np.uint64(29)
    return mixed


def place_of(tree: TreeArrays, bits: Bits) -> int:
    """Return the place of a set in the hash table: its own, or the free one for it."""
    mask = tree.table.shape[0] - 1
    place = np.int64(hash_of(bits) & np.uint64(mask))
    while tree.table[place] != 0:
        node = tree.table[place] - 1
        is_same = True
        for word in range(bits.shape[0]):
            if tree.sets[node, word] != bits[word]:
                is_same = False
                break
        if is_same:
            break
        place = (place + 1) & mask
    return int(place)


def refill(old: TreeArrays, new: TreeArrays) -> None:
    """Fill the empty hash table of larger arrays with what the old table holds."""
    for place in range(old.table.shape[0]):
        if old.table[place] != 0:
            new.table[place_of(new, new.sets[old.table[place] - 1])] = old.table[place]


def melded(tree: TreeArrays, one: int, other: int) -> int:
    """Return the root of two heaps made one; -1 is an empty heap."""
    if one < 0:
        return other
    if other < 0:
        return one
    if tree.keys[other] < tree.keys[one]:
        one, other = other, one
    tree.sibling[other] = tree.child[one]
    tree.child[one] = other
    return one


def without_root(tree: TreeArrays, root: int) -> int:
    """Return the heap without its root: children are melded in pairs, then from the last on."""
    child = tree.child[root]
    tree.child[root] = -1
    pairs = -1
    while child >= 0:
        second = tree.sibling[child]
        tree.sibling[child] = -1
        after = -1
        if second >= 0:
            after = tree.sibling[second]
            tree.sibling[second] = -1
        pair = melded(tree, child, second)
        tree.sibling[pair] = pairs
        pairs = pair
        child = after
    left = -1
    while pairs >= 0:
        before = tree.sibling[pairs]
        tree.sibling[pairs] = -1
        left = melded(tree, left, pairs)
        pairs = before
    return left


def next_node(tree: TreeArrays, control: Whole, batch: int) -> int:
    """Take the best node of the level at work; after `batch` of them go on to the next level.

    Cyclic best-first search (Morrison, Sewell and Jacobson 2014). -1: no level has any.
    """
    levels = control[BEST] - 1  # a node of BEST - 1 stations or more leads to nothing better
    if control[TAKEN] >= batch:
        control[TAKEN] = 0
        control[LEVEL] += 1
    for _ in range(levels + 1):
        if control[LEVEL] >= levels:
            control[LEVEL] = 0
        node = tree.roots[control[LEVEL]]
        if node >= 0:
            tree.roots[control[LEVEL]] = without_root(tree, node)
            control[TAKEN] += 1
            return int(node)
        control[TAKEN] = 0
        control[LEVEL] += 1
    return -1


def search(
    line: LineArrays, tree: TreeArrays, control: Whole, budget: int, most_loads: int, batch: int
) -> None:
    """Expand nodes until `budget` loads were listed, nothing is left, or the arrays are full.

    `control[STATE]` says which. A node with more than `most_loads` loads is put aside and
    taken up again, with more loads each time, when all others are done.
    """
    size = line.times.shape[0]
    words = tree.sets.shape[1]
    kinds = line.weights.shape[0]
    limit = line.limit
    waits = np.empty(size, np.int32)
    free = np.empty(size + 1, np.int32)
    turn = np.empty(size + 2, np.int32)
    free_before = np.empty(size + 2, np.int32)
    chosen = np.empty(size + 2, np.int32)
    grew = np.empty(size + 2, np.bool_)
    most_left = np.empty(size + 2, np.int64)
    is_chosen = np.zeros(size, np.bool_)
    needed = np.empty(kinds, np.int64)
    load_bits = np.empty(words, np.uint64)
    must = np.zeros(words, np.uint64)
    spent = 0
    while spent < budget:
        # Room for the loads of one more node, so that most nodes are never cut for want of it.
        if control[NODES] + 2 * size > tree.sets.shape[0]:
            control[STATE] = NO_ROOM
            return
        loads_now = most_loads
        node = next_node(tree, control, batch)
        if node < 0:
            if control[REDO_COUNT] == 0:
                control[STATE] = DONE
                return
            ring = tree.redo.shape[0]
            node = int(tree.redo[control[REDO_FIRST] % ring])
            control[REDO_FIRST] += 1
            control[REDO_COUNT] -= 1
            # Each time more: the number of times is kept where the heap link was.
            for _ in range(-tree.child[node]):
                loads_now *= 16
        stations = tree.stations[node]
        if stations > control[BEST] - 2:
            continue
        bits = tree.sets[node]
        if tree.table[place_of(tree, bits)] - 1 != node:
            # The same set was reached with fewer stations since: whatever completes this node
            # completes that one as well (dynamic programming over sets: Held, Karp and
            # Shareshian 1963, from memory; with a table: Sewell and Jacobson 2012).
            continue
        control[EXPANDED] += 1
        spent += 1
        # What is left to do, and what this station must do at least, if a plan of BEST - 1
        # stations in all is to come of it: each later station does `limit` and weighs its
        # capacity at most, so the rest falls to this one, by time and by each vector.
        left_after = control[BEST] - 2 - stations  # stations after this one
        is_open = True
        open_count = 0
        idle = (left_after + 1) * limit
        has_waiting = False
        for kind in range(kinds):
            needed[kind] = -left_after * line.capacities[kind]
        for word in range(words):
            must[word] = np.uint64(0)
            load_bits[word] = bits[word]
        # Predecessors still to be done, by task; -1: the task is in the node's set.
        for task in range(size):
            waits[task] = -1 if has(bits, task) else line.waits[task]
        for task in range(size):
            if waits[task] == -1:
                for at in range(line.starts[task], line.starts[task + 1]):
                    after = line.followers[at]
                    if waits[after] > 0:
                        waits[after] -= 1
        free_count = 0
        for task in range(size):
            if waits[task] < 0:
                continue
            open_count += 1
            idle -= line.times[task]
            if waits[task] == 0:
                free[free_count] = task
                free_count += 1
            if line.starts[task + 1] > line.starts[task]:
                has_waiting = True
            for kind in range(kinds):
                needed[kind] += line.weights[kind, task]
            # Stations from the task's own to the end (Saltzman and Baybars 1987): its last
            # chance is this station, or it has passed.
            if line.tails[task] > left_after:
                if line.tails[task] > left_after + 1:
                    is_open = False
                must[task >> 6] |= np.uint64(1) << np.uint64(task & 63)
        for kind in range(kinds):
            if needed[kind] > line.capacities[kind]:
                is_open = False
        if idle < 0:
            is_open = False
        if not is_open:
            continue
        # The loads of the station, depth first: `free` are the tasks that wait for none; at
        # each depth they are tried from `turn` on, so that each set is met in one order only; a
        # task that a chosen one set free joins at the end. Left of the station: `left`.
        depth = 0
        turn[0] = 0
        grew[0] = False
        most_left[0] = idle  # and less than any task passed over that would have fitted
        left = limit
        loads = 0
        is_cut = False
        is_full = False
        while True:
            at = turn[depth]
            has_grown = False
            while at < free_count:
                task = free[at]
                at += 1
                if line.times[task] <= left:
                    turn[depth] = at
                    grew[depth] = True
                    chosen[depth] = task
                    free_before[depth] = free_count
                    is_chosen[task] = True
                    left -= line.times[task]
                    load_bits[task >> 6] |= np.uint64(1) << np.uint64(task & 63)
                    for link in range(line.starts[task], line.starts[task + 1]):
                        after = line.followers[link]
                        waits[after] -= 1
                        if waits[after] == 0:
                            free[free_count] = after
                            free_count += 1
                    depth += 1
                    turn[depth] = at
                    grew[depth] = False
                    most_left[depth] = most_left[depth - 1]
                    has_grown = True
                    break
            if has_grown:
                continue
            # Nothing more fits behind: a load. Each test below drops it for good, cheapest first.
            if not grew[depth] and depth > 0:
                loads += 1
                # Maximal (Jackson 1956), and no more idle time than the plan can bear.
                good = left <= most_left[depth]
                # What it leaves undone must not weigh more than the later stations take (dual
                # feasible functions: Lueker 1983; Fekete and Schepers 2001).
                if good:
                    for kind in range(kinds):
                        weight = np.int64(0)
                        for i in range(depth):
                            weight += line.weights[kind, chosen[i]]
                        if weight < needed[kind]:
                            line.hits[kind] += 1
                            good = False
                            break
                if good:
                    for word in range(words):
                        if must[word] & ~load_bits[word] != np.uint64(0):
                            good = False
                            break
                # While some task holds others up, a load that frees nobody can change places
                # with a later one that does (Scholl and Klein 1997, from memory).
                if good and has_waiting:
                    good = False
                    for i in range(depth):
                        task = chosen[i]
                        if line.starts[task + 1] > line.starts[task]:
                            good = True
                            break
                # One of its tasks exchanged for a longer free one that holds up at least the
                # same tasks gives a load that is never worse (Jackson 1956).
                if good:
                    for i in range(depth):
                        task = chosen[i]
                        room = left + line.times[task]
                        for link in range(line.better_starts[task], line.better_starts[task + 1]):
                            other = line.better[link]
                            if line.times[other] > room:
                                break  # and so are all behind it
                            if waits[other] == 0 and not is_chosen[other]:
                                good = False
                                break
                        if not good:
                            break
                if good:
                    place = place_of(tree, load_bits)
                    known = tree.table[place] - 1
                    if known < 0 or tree.stations[known] > stations + 1:
                        made = control[NODES]
                        if made >= tree.sets.shape[0]:
                            is_full = True
                        else:
                            control[NODES] = made + 1
                            # Small is good: few tasks of much worth are left (`values`).
                            key = tree.keys[node]
                            for i in range(depth):
                                key -= line.values[chosen[i]]
                            for word in range(words):
                                tree.sets[made, word] = load_bits[word]
                            tree.stations[made] = stations + 1
                            tree.parents[made] = node
                            tree.keys[made] = key
                            tree.child[made] = -1
                            tree.sibling[made] = -1
                            tree.table[place] = made + 1
                            if open_count == depth:
                                control[BEST] = stations + 1
                                control[BEST_NODE] = made
                            else:
                                tree.roots[stations + 1] = melded(
                                    tree, tree.roots[stations + 1], made
                                )
                if loads >= loads_now:
                    is_cut = True
            if depth == 0:
                break
            # A better plan may have made this node useless: then its other loads are too.
            if is_cut or is_full or control[BEST] <= stations + 1:
                for i in range(depth):
                    is_chosen[chosen[i]] = False
                break
            # Take the last task back. From here on it is passed over: a load that would still
            # have room for it is not maximal, so less than its time may be left.
            depth -= 1
            task = chosen[depth]
            most_left[depth] = min(most_left[depth], line.times[task] - 1)
            for link in range(line.starts[task], line.starts[task + 1]):
                waits[line.followers[link]] += 1
            free_count = free_before[depth]
            left += line.times[task]
            is_chosen[task] = False
            load_bits[task >> 6] &= ~(np.uint64(1) << np.uint64(task & 63))
        spent += loads
        control[LOADS] += loads
        if (is_cut or is_full) and control[BEST] > stations + 1:
            # Not all its loads were listed, so nothing is proven yet: it comes again later.
            ring = tree.redo.shape[0]
            tree.child[node] -= is_cut
            tree.redo[(control[REDO_FIRST] + control[REDO_COUNT]) % ring] = node
            control[REDO_COUNT] += 1
            if is_full or control[REDO_COUNT] == ring:
                control[STATE] = NO_ROOM
                return
    control[STATE] = OPEN
