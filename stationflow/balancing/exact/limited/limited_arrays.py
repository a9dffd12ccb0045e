"""What the compiled search of a line with limits works on."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]
    Small = npt.NDArray[np.int32]
    Flags = npt.NDArray[np.bool_]
    Real = npt.NDArray[np.float32]


class LimitedArrays(NamedTuple):
    """A line with limits and so many stations, seen from one end; tasks in the order of the search.

    Stations are counted from 1. Rows of several lengths lie one after another: that of task j
    goes from `starts[j]` to `starts[j + 1]`.
    """

    times: Whole  # least time of each task at any of its stations
    time_at: Whole  # time by station and task
    amounts: Whole  # by measure and task
    room: Whole  # by station: limit of time first, then of each measure
    allowed: Flags  # by station and task: whether limits and windows let it in
    # earliest, latest: first and last station of each task
    earliest: Small
    latest: Small
    # starts, followers: tasks that cannot be done before task j is
    starts: Small
    followers: Small
    waits: Small  # how many each task waits for
    # before_starts, before, gaps: for task j those it comes after, and by how many stations at
    # least
    before_starts: Small
    before: Small
    gaps: Small
    # foe_starts, foes: tasks that never share a station with task j
    foe_starts: Small
    foes: Small
    # near_starts, near: tasks that may not be far behind task j, so that it may come too early
    near_starts: Small
    near: Small
    # better_starts, better: tasks that may replace task j in a load (Jackson's exchange)
    better_starts: Small
    better: Small
    # slot_task, slot_is_last: a task whose first (last) station depends on where others are
    # slot_starts, slot_from, slot_gap: on which, and how far from them
    slot_task: Small
    slot_is_last: Flags
    slot_starts: Small
    slot_from: Small
    slot_gap: Small
    # kind_starts, kinds: of task j, of those of which every one after the first costs a station
    # time; kind_form, turn_time: which belong together, and that time
    kind_starts: Small
    kinds: Small
    kind_form: Small
    turn_time: Whole
    # weights, after: for each vector the weight of each task, and the most that the stations from
    # station k on can weigh together
    weights: Whole
    after: Whole
    hits: Whole  # how many loads each vector has ruled out
    values: Real  # by task, for the key of a partial plan
    are_alike: bool  # whether all stations are alike, so that loads can change places
