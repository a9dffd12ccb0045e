"""The hot part of the search of a line with limits: plain loops, compiled when first used.

A partial plan is the set of the tasks at the first stations and, where limits say how many
stations lie between tasks, what follows from that for those still to come (its *slots*). Of
two of the same set and slots only that of fewer stations is kept: the other's rest will do
for it too, after empty stations. So this holds for all forms.

Station loads are listed depth first. Which are of use depends on the forms:

- all tasks whose last station this is are in it (any forms);
- no further task could join that does as well here as at a later station: one that no other
  has to be near (Jackson 1956: maximal);
- what it leaves undone fits into the stations to come, by times, by each measure and by each
  vector of weights, and what is due up to any station into those up to it (any forms);
- no task of it could be exchanged for one that is at least as long and large, may stand in
  for it with all its limits, and that at least the same tasks wait for (Jackson 1956);
- where stations are alike, it holds a task that others wait for, as long as there is one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stationflow.balancing.exact.kernel import (
    BEST,
    BEST_NODE,
    DONE,
    EXPANDED,
    LOADS,
    NO_ROOM,
    NODES,
    OPEN,
    REDO_COUNT,
    REDO_FIRST,
    STATE,
    has,
    melded,
    next_node,
    place_of,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    import numpy.typing as npt

    from stationflow.balancing.exact.arrays import TreeArrays, Whole
    from stationflow.balancing.exact.limited.limited_arrays import LimitedArrays

    Flags = npt.NDArray[np.bool_]
    Small = npt.NDArray[np.int32]

SLOT_BITS = 16
SLOTS_IN_WORD = 4
STEPS_FOR_LOAD = 16
"""Tasks tried that count as much as a load listed."""


def turned_time(line: LimitedArrays, kinds_here: Small, forms_here: Small, task: int) -> int:
    """Return the time a station loses to one more task: for each kind after the first of a form."""
    lost = 0
    form = -1
    more = 0
    for at in range(line.kind_starts[task], line.kind_starts[task + 1]):
        kind = line.kinds[at]
        if line.kind_form[kind] != form:
            form = line.kind_form[kind]
            more = forms_here[form]
        if kinds_here[kind] == 0:
            if more > 0:
                lost += line.turn_time[form]
            more += 1
    return lost


def is_same(tree: TreeArrays, node: int, other: int) -> bool:
    """Return whether two nodes have the same tasks and slots."""
    for word in range(tree.sets.shape[1]):
        if tree.sets[node, word] != tree.sets[other, word]:
            return False
    return True


def search_of(mark: int) -> Callable[..., None]:
    """Return the search; `mark` stands for the text of the functions of other files it calls.

    The store of compiled code on disk looks at this file and at what is enclosed in a function:
    with the mark enclosed, it is compiled anew when they change.
    """

    def search_limited(
        line: LimitedArrays,
        tree: TreeArrays,
        control: Whole,
        budget: int,
        most_loads: int,
        batch: int,
    ) -> None:
        """Expand nodes until a plan is found, `budget` is used up, nothing is left, or no room is.

        `control[STATE]` says which; a node with more than `most_loads` loads is put aside and
        taken up again, with more loads each time, when all others are done.
        """
        size = line.latest.shape[0]
        words = (size + 63) // 64
        kinds = line.weights.shape[0]
        measures = line.amounts.shape[0]
        slots = line.slot_task.shape[0]
        most = line.room.shape[1] - 1
        width = tree.sets.shape[1]
        waits = np.empty(size, np.int32)
        last = np.empty(size, np.int32)
        is_barred = np.empty(size, np.bool_)
        is_sooner_better = np.empty(size, np.bool_)
        is_must = np.empty(size, np.bool_)
        is_chosen = np.zeros(size, np.bool_)
        foes_here = np.zeros(size, np.int32)
        free = np.empty(size + 1, np.int32)
        turn = np.empty(size + 2, np.int32)
        free_before = np.empty(size + 2, np.int32)
        chosen = np.empty(size + 2, np.int32)
        grew = np.empty(size + 2, np.bool_)
        needed = np.empty(kinds, np.int64)
        left = np.empty(measures + 1, np.int64)
        due = np.empty((kinds, most + 2), np.int64)
        load_bits = np.empty(width, np.uint64)
        slot_now = np.empty(slots, np.int32)
        turns = line.turn_time.shape[0]
        kinds_here = np.zeros(line.kind_form.shape[0], np.int32)
        forms_here = np.zeros(turns, np.int32)
        turn_cost = np.zeros(size + 2, np.int64)
        spent = mark * 0
        while spent < budget:
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
                for _ in range(-tree.child[node]):
                    loads_now *= 16
            here = tree.stations[node] + 1
            bits = tree.sets[node]
            # A node after an empty station is the same as that before it, and not in the table.
            owner = node
            while owner > 0 and is_same(tree, owner, tree.parents[owner]):
                owner = tree.parents[owner]
            if tree.table[place_of(tree, bits)] - 1 != owner:
                continue  # the same was reached with fewer stations since
            control[EXPANDED] += 1
            spent += 1
            for word in range(width):
                load_bits[word] = bits[word]
            for slot in range(slots):
                word = words + slot // SLOTS_IN_WORD
                shift = np.uint64(SLOT_BITS * (slot % SLOTS_IN_WORD))
                slot_now[slot] = np.int32((bits[word] >> shift) & np.uint64(0xFFFF))
            # What waits, and the last station of each task: that of the windows, or what tasks
            # done already say, which goes for all that come before as well.
            for task in range(size):
                waits[task] = -1 if has(bits, task) else line.waits[task]
                last[task] = line.latest[task]
                is_barred[task] = not line.allowed[here, task]
            for slot in range(slots):
                if slot_now[slot] > 0:
                    task = line.slot_task[slot]
                    if line.slot_is_last[slot]:
                        last[task] = min(last[task], slot_now[slot])
                    elif slot_now[slot] > here:
                        is_barred[task] = True
            for task in range(size - 1, -1, -1):
                if waits[task] == -1:
                    for at in range(line.starts[task], line.starts[task + 1]):
                        after = line.followers[at]
                        if waits[after] > 0:
                            waits[after] -= 1
                elif slots > 0:
                    for at in range(line.before_starts[task], line.before_starts[task + 1]):
                        other = line.before[at]
                        last[other] = min(last[other], last[task] - line.gaps[at])
            is_open = True
            open_count = 0
            must_count = 0
            has_waiting = False
            for kind in range(kinds):
                needed[kind] = -line.after[kind, here + 1]
                for station in range(here, most + 1):
                    due[kind, station] = 0
            for task in range(size):
                if waits[task] < 0:
                    continue
                open_count += 1
                is_must[task] = False
                if last[task] <= here:
                    if last[task] < here or is_barred[task]:
                        is_open = False
                        break
                    is_must[task] = True
                    must_count += 1
                for kind in range(kinds):
                    needed[kind] += line.weights[kind, task]
                    due[kind, last[task]] += line.weights[kind, task]
                if line.starts[task + 1] > line.starts[task]:
                    has_waiting = True
                is_sooner_better[task] = True
                for at in range(line.near_starts[task], line.near_starts[task + 1]):
                    if waits[line.near[at]] >= 0:
                        is_sooner_better[task] = False
                        break
            if not is_open:
                continue
            for kind in range(kinds):
                total = np.int64(0)
                for station in range(here, most + 1):
                    total += due[kind, station]
                    if total > line.after[kind, here] - line.after[kind, station + 1]:
                        is_open = False
                        break
                if not is_open:
                    line.hits[kind] += 1
                    break
            if not is_open:
                continue
            # Those that must be in come first: what passes one over is of no use.
            free_count = 0
            for task in range(size):
                if waits[task] == 0 and is_must[task]:
                    free[free_count] = task
                    free_count += 1
            for task in range(size):
                if waits[task] == 0 and not is_must[task] and not is_barred[task]:
                    free[free_count] = task
                    free_count += 1
            for measure in range(measures + 1):
                left[measure] = line.room[measure, here]
            depth = 0
            turn[0] = 0
            grew[0] = False
            musts_in = 0
            loads = 0
            steps = 0
            is_cut = False
            is_full = False
            is_found = False
            while True:
                at = turn[depth]
                has_grown = False
                while at < free_count:
                    task = free[at]
                    at += 1
                    can_join = (
                        not is_barred[task]
                        and foes_here[task] == 0
                        and line.time_at[here, task] <= left[0]
                    )
                    if can_join:
                        for measure in range(measures):
                            if line.amounts[measure, task] > left[measure + 1]:
                                can_join = False
                                break
                    if can_join and slots > 0:
                        for link in range(line.before_starts[task], line.before_starts[task + 1]):
                            if line.gaps[link] > 0 and is_chosen[line.before[link]]:
                                can_join = False
                                break
                    cost = 0
                    if can_join and turns > 0:
                        cost = turned_time(line, kinds_here, forms_here, task)
                        can_join = line.time_at[here, task] + cost <= left[0]
                    if not can_join:
                        if is_must[task]:  # nor will it any more
                            grew[depth] = True
                            at = free_count
                            turn[depth] = at
                        continue
                    turn[depth] = at
                    if is_sooner_better[task]:
                        grew[depth] = True
                    chosen[depth] = task
                    free_before[depth] = free_count
                    is_chosen[task] = True
                    musts_in += is_must[task]
                    left[0] -= line.time_at[here, task] + cost
                    turn_cost[depth] = cost
                    if turns > 0:
                        for link in range(line.kind_starts[task], line.kind_starts[task + 1]):
                            kind = line.kinds[link]
                            kinds_here[kind] += 1
                            if kinds_here[kind] == 1:
                                forms_here[line.kind_form[kind]] += 1
                    for measure in range(measures):
                        left[measure + 1] -= line.amounts[measure, task]
                    for link in range(line.foe_starts[task], line.foe_starts[task + 1]):
                        foes_here[line.foes[link]] += 1
                    load_bits[task >> 6] |= np.uint64(1) << np.uint64(task & 63)
                    for link in range(line.starts[task], line.starts[task + 1]):
                        after = line.followers[link]
                        waits[after] -= 1
                        if waits[after] == 0 and not is_barred[after]:
                            free[free_count] = after
                            free_count += 1
                    depth += 1
                    steps += 1
                    turn[depth] = at
                    grew[depth] = False
                    has_grown = True
                    break
                if has_grown:
                    continue
                if not grew[depth] and musts_in == must_count:
                    loads += 1
                    good = True
                    for kind in range(kinds):
                        weight = np.int64(0)
                        for i in range(depth):
                            weight += line.weights[kind, chosen[i]]
                        if weight < needed[kind]:
                            line.hits[kind] += 1
                            good = False
                            break
                    if good and line.are_alike and has_waiting:
                        good = False
                        for i in range(depth):
                            task = chosen[i]
                            if line.starts[task + 1] > line.starts[task]:
                                good = True
                                break
                    if good:
                        for i in range(free_count):
                            task = free[i]
                            if (
                                is_chosen[task]
                                or not is_sooner_better[task]
                                or is_barred[task]
                                or foes_here[task] > 0
                                or line.time_at[here, task] > left[0]
                            ):
                                continue
                            can_join = True
                            for measure in range(measures):
                                if line.amounts[measure, task] > left[measure + 1]:
                                    can_join = False
                                    break
                            if can_join and slots > 0:
                                for link in range(
                                    line.before_starts[task], line.before_starts[task + 1]
                                ):
                                    if line.gaps[link] > 0 and is_chosen[line.before[link]]:
                                        can_join = False
                                        break
                            if can_join and turns > 0:
                                cost = turned_time(line, kinds_here, forms_here, task)
                                can_join = line.time_at[here, task] + cost <= left[0]
                            if can_join:
                                good = False
                                break
                    if good:
                        for i in range(depth):
                            task = chosen[i]
                            for link in range(
                                line.better_starts[task], line.better_starts[task + 1]
                            ):
                                other = line.better[link]
                                if line.time_at[here, other] > left[0] + line.time_at[here, task]:
                                    break  # and so are all behind it
                                if (
                                    waits[other] != 0
                                    or is_chosen[other]
                                    or is_barred[other]
                                    or foes_here[other] > 0
                                ):
                                    continue
                                can_join = True
                                for measure in range(measures):
                                    if (
                                        line.amounts[measure, other]
                                        > left[measure + 1] + line.amounts[measure, task]
                                    ):
                                        can_join = False
                                        break
                                if can_join:
                                    good = False
                                    break
                            if not good:
                                break
                    # The slots of the tasks still to come.
                    if good and slots > 0:
                        for word in range(words, width):
                            load_bits[word] = 0
                        for slot in range(slots):
                            task = line.slot_task[slot]
                            if waits[task] < 0 or is_chosen[task]:
                                continue
                            value = slot_now[slot]
                            for link in range(line.slot_starts[slot], line.slot_starts[slot + 1]):
                                if is_chosen[line.slot_from[link]]:
                                    found = here + line.slot_gap[link]
                                    if not line.slot_is_last[slot]:
                                        value = max(value, found)
                                    elif value == 0 or found < value:
                                        value = found
                            if line.slot_is_last[slot]:
                                if value >= line.latest[task]:
                                    value = 0
                                elif 0 < value <= here:
                                    good = False
                            elif value > line.latest[task]:
                                good = False
                            elif value <= here + 1 or value <= line.earliest[task]:
                                value = 0
                            if not good:
                                break
                            word = words + slot // SLOTS_IN_WORD
                            shift = np.uint64(SLOT_BITS * (slot % SLOTS_IN_WORD))
                            load_bits[word] |= np.uint64(value) << shift
                    if good and (here < most or open_count == depth):
                        place = place_of(tree, load_bits)
                        known = tree.table[place] - 1
                        is_shadow = depth == 0 and known == owner
                        if known < 0 or tree.stations[known] > here or is_shadow:
                            made = control[NODES]
                            if made >= tree.sets.shape[0]:
                                is_full = True
                            else:
                                control[NODES] = made + 1
                                key = tree.keys[node]
                                for i in range(depth):
                                    key -= line.values[chosen[i]]
                                for word in range(width):
                                    tree.sets[made, word] = load_bits[word]
                                tree.stations[made] = here
                                tree.parents[made] = node
                                tree.keys[made] = key
                                tree.child[made] = -1
                                tree.sibling[made] = -1
                                if not is_shadow:
                                    tree.table[place] = made + 1
                                if open_count == depth:
                                    control[BEST] = here
                                    control[BEST_NODE] = made
                                    is_found = True
                                else:
                                    tree.roots[here] = melded(tree, tree.roots[here], made)
                    if loads >= loads_now:
                        is_cut = True
                elif steps >= STEPS_FOR_LOAD * loads_now:
                    is_cut = True
                is_over = depth == 0 or is_cut or is_full or is_found
                if is_over and depth == 0:
                    break
                # Take the last task back, or all.
                while depth > 0:
                    depth -= 1
                    task = chosen[depth]
                    for link in range(line.starts[task], line.starts[task + 1]):
                        waits[line.followers[link]] += 1
                    free_count = free_before[depth]
                    left[0] += line.time_at[here, task] + turn_cost[depth]
                    if turns > 0:
                        for link in range(line.kind_starts[task], line.kind_starts[task + 1]):
                            kind = line.kinds[link]
                            kinds_here[kind] -= 1
                            if kinds_here[kind] == 0:
                                forms_here[line.kind_form[kind]] -= 1
                    for measure in range(measures):
                        left[measure + 1] += line.amounts[measure, task]
                    for link in range(line.foe_starts[task], line.foe_starts[task + 1]):
                        foes_here[line.foes[link]] -= 1
                    is_chosen[task] = False
                    musts_in -= is_must[task]
                    load_bits[task >> 6] &= ~(np.uint64(1) << np.uint64(task & 63))
                    if not is_over:
                        break
                if is_over:
                    break
                if is_must[task]:  # what passes it over is of no use
                    grew[depth] = True
                    turn[depth] = free_count
            spent += loads + steps // STEPS_FOR_LOAD
            control[LOADS] += loads
            if is_found:
                control[STATE] = DONE
                return
            if is_cut or is_full:
                # Not all its loads were listed, so nothing is proven yet: it comes again later.
                ring = tree.redo.shape[0]
                tree.child[node] -= is_cut
                tree.redo[(control[REDO_FIRST] + control[REDO_COUNT]) % ring] = node
                control[REDO_COUNT] += 1
                if is_full or control[REDO_COUNT] == ring:
                    control[STATE] = NO_ROOM
                    return
        control[STATE] = OPEN

    return search_limited


def narrow_windows(
    room: Whole,
    weights: Whole,
    allowed: Flags,
    before_starts: Small,
    before: Small,
    gaps: Small,
    is_before: Flags,
    back: Small,
    earliest: Small,
    latest: Small,
) -> bool:
    """Narrow the first and last stations of tasks to what order, work and limits leave.

    `room`: by vector of weights and station, what a station can weigh; `is_before`: by task and
    task, whether the second must be done before the first; `back`: rows (x, y, w): y is no earlier
    than w stations before x, and x no later than w stations after y. Tasks are numbered in the
    direction of the arrows. Returns whether each task has a station left.
    """
    size = earliest.shape[0]
    most = room.shape[1] - 1
    kinds = room.shape[0]
    sums = np.zeros((kinds, most + 2), np.int64)
    for kind in range(kinds):
        for station in range(1, most + 1):
            sums[kind, station] = sums[kind, station - 1] + room[kind, station]
    held = np.empty(most + 2, np.int64)
    has_changed = True
    while has_changed:
        has_changed = False
        for task in range(size):
            first = earliest[task]
            for at in range(before_starts[task], before_starts[task + 1]):
                first = max(first, earliest[before[at]] + gaps[at])
            # The work before it that cannot begin before station k, with its own, needs room
            # from k on (LB1 and the like; Saltzman and Baybars 1987).
            for kind in range(kinds):
                for station in range(most + 2):
                    held[station] = 0
                for other in range(task):
                    if is_before[task, other]:
                        held[min(earliest[other], most + 1)] += weights[kind, other]
                total = weights[kind, task]
                for station in range(most, 0, -1):
                    if held[station] == 0 and station != 1:
                        continue
                    total += held[station]
                    while first <= most and sums[kind, first] - sums[kind, station - 1] < total:
                        first += 1
            while first <= most and not allowed[first, task]:
                first += 1
            if first > latest[task]:
                return False
            if first > earliest[task]:
                earliest[task] = first
                has_changed = True
        for task in range(size - 1, -1, -1):
            final = latest[task]
            for kind in range(kinds):
                for station in range(most + 2):
                    held[station] = 0
                for other in range(task + 1, size):
                    if is_before[other, task]:
                        held[max(latest[other], 0)] += weights[kind, other]
                total = weights[kind, task]
                for station in range(1, most + 1):
                    if held[station] == 0 and station != most:
                        continue
                    total += held[station]
                    while final >= 1 and sums[kind, station] - sums[kind, final - 1] < total:
                        final -= 1
            while final >= 1 and not allowed[final, task]:
                final -= 1
            if final < earliest[task]:
                return False
            if final < latest[task]:
                latest[task] = final
                has_changed = True
            for at in range(before_starts[task], before_starts[task + 1]):
                other = before[at]
                if latest[task] - gaps[at] < latest[other]:
                    latest[other] = latest[task] - gaps[at]
                    has_changed = True
        for row in range(back.shape[0]):
            x, y, w = back[row, 0], back[row, 1], back[row, 2]
            if earliest[x] - w > earliest[y]:
                earliest[y] = earliest[x] - w
                has_changed = True
            if latest[y] + w < latest[x]:
                latest[x] = latest[y] + w
                has_changed = True
    # What can be done from one station to another only needs room there.
    for kind in range(kinds):
        for first in range(1, most + 1):
            for station in range(most + 2):
                held[station] = 0
            for task in range(size):
                if earliest[task] >= first:
                    held[latest[task]] += weights[kind, task]
            total = np.int64(0)
            for station in range(first, most + 1):
                total += held[station]
                if total > sums[kind, station] - sums[kind, first - 1]:
                    return False
    return True
