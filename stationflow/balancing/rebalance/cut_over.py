"""In which order to go over to a new plan: small steps, each done between two shifts.

After every step the line can be worked: no task comes before its predecessors, and no station has
more work than the limit or than it had before the step, turn-overs and the times that tasks take at
certain stations included. Going down the line, a task waits for the
successors it would overtake; going up, for its predecessors; so some task can always go.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from stationflow.balancing.arrows import topological_order, turned
from stationflow.balancing.rebalance.old_plan import OldPlan
from stationflow.balancing.rebalance.upheaval import Belongings, Stations, Was, held
from stationflow.balancing.work import LineWork, own_times, turns_at


@dataclass(frozen=True, slots=True, kw_only=True)
class CutOverStep:
    """What is done between two shifts."""

    opened: tuple[str, ...] = ()  # stations that are set up
    brought: tuple[tuple[str, str], ...] = ()  # tools and equipment, each with its station
    # tasks, each with the station it leaves (empty: it is new) and the one it comes to
    moved: tuple[tuple[str, str, str], ...] = ()
    freed: tuple[tuple[str, str], ...] = ()  # tools no longer needed at a station
    closed: tuple[str, ...] = ()  # stations that are no longer manned

    @property
    def sentences(self) -> tuple[str, ...]:
        """The step in words, in the order it is done."""
        ways: dict[tuple[str, str], list[str]] = {}
        for task, old, new in self.moved:
            ways.setdefault((old, new), []).append(task)
        return (
            *(f"Set up {station}." for station in self.opened),
            *(f"Bring {tool} to {station}." for tool, station in self.brought),
            *(_moved(tasks, old, new) for (old, new), tasks in ways.items()),
            *(f"Take {tool} away from {station}." for tool, station in self.freed),
            *(f"Close {station}." for station in self.closed),
        )


def _moved(tasks: Sequence[str], old: str, new: str) -> str:
    named = f"task{'s' * (len(tasks) > 1)} {', '.join(tasks)}"
    return f"Move {named} from {old} to {new}." if old else f"Begin the new {named} at {new}."


@dataclass(slots=True)
class _Floor:
    """The stations of the hall, old and new in line order, and where each task is by now."""

    work: LineWork
    having: Belongings
    names: Sequence[str]  # of the stations in the hall
    at: list[int | None]  # by position the place in the hall; None: not begun yet
    goal: Sequence[int]
    # by position what a task takes at the station of the old plan, and at that of the new one
    before: Sequence[int]
    after: Sequence[int]
    most: Sequence[int]  # work each station may have on the way, in ticks
    follows: Sequence[Sequence[int]] = field(default=())

    def load(self, place: int, *more: int) -> int:
        """Return the work of a station, with more tasks than are there."""
        tasks = {*self.tasks(place), *more}
        times = (self.after if self.goal[t] == place else self.before for t in tasks)
        work = sum(time[task] for time, task in zip(times, tasks, strict=True))
        return work + turns_at(self.work, (self.work.numbers[task] for task in tasks))

    def tasks(self, place: int) -> list[int]:
        return [task for task, here in enumerate(self.at) if here == place]

    def may_go(self, task: int) -> bool:
        """Return whether the order of the tasks holds once this one has moved."""
        goal = self.goal[task]
        before = (self.at[other] for other in self.work.predecessors[task])
        after = (self.at[other] for other in self.follows[task])
        return all(place is None or place <= goal for place in before) and all(
            place is None or place >= goal for place in after
        )

    def over(self, task: int) -> int:
        """Return by how much its new station would be over what it may have."""
        place = self.goal[task]
        return max(0, self.load(place, task) - self.most[place])


def cut_over(
    work: LineWork, old: OldPlan, stations: Stations, was: Was, having: Belongings, limit: int
) -> tuple[CutOverStep, ...]:
    """Return the steps from an old plan to a new one; `limit` is in ticks.

    Tools come before the tasks that need them, and a station is closed once it is empty.
    """
    names, place_of_old, place_of_new = _hall(old, was)
    goal = [0] * len(work.numbers)
    for k, tasks in enumerate(stations):
        for task in tasks:
            goal[task] = place_of_new[k]
    own = own_times(work)
    station_of = {task: k for k, tasks in enumerate(stations, 1) for task in tasks}

    def times_at(numbers: Iterable[int | None]) -> list[int]:
        rows = zip(work.numbers, numbers, work.times, strict=True)
        return [time if at is None else own.get((n, at), time) for n, at, time in rows]

    floor = _Floor(
        work,
        having,
        names,
        [None if at is None else place_of_old[at] for at in old.station_of],
        goal,
        times_at(None if at is None else old.numbers[at] for at in old.station_of),
        times_at(station_of[task] for task in range(len(work.numbers))),
        [],
        turned(work.predecessors),
    )
    floor.most = [max(limit, floor.load(place)) for place in range(len(names))]
    order = topological_order(work.predecessors)
    forth = [t for t in reversed(order) if (at := floor.at[t]) is not None and goal[t] > at]
    back = [t for t in order if (at := floor.at[t]) is not None and goal[t] < at]
    waiting = [*forth, *back, *(task for task in order if floor.at[task] is None)]
    unused = {place for place in range(len(names)) if not floor.tasks(place)}
    gone = {place_of_old[at] for at in range(len(old.numbers)) if at not in was}
    steps = []
    while waiting:
        steps.append(_step(floor, waiting, unused, gone))
    return tuple(steps)


def _hall(old: OldPlan, was: Was) -> tuple[list[str], list[int], list[int]]:
    """Return the names of all stations in line order, and the place of each old and new one."""
    names: list[str] = []
    place_of_old, place_of_new, reached = [0] * len(old.numbers), [0] * len(was), 0

    def old_ones(end: int) -> None:
        nonlocal reached
        for at in range(reached, end):
            place_of_old[at] = len(names)
            names.append(f"station {old.numbers[at]}")
        reached = max(reached, end)

    for k, at in enumerate(was):
        if at is not None:
            old_ones(at + 1)
            place_of_new[k] = place_of_old[at]
            continue
        place_of_new[k] = len(names)
        names.append(f"the new station {k + 1}")
    old_ones(len(old.numbers))
    return names, place_of_old, place_of_new


def _step(floor: _Floor, waiting: list[int], unused: set[int], gone: set[int]) -> CutOverStep:
    """Take the next tasks that can go together, move them, and return what that takes."""
    moved: list[int] = []
    left: dict[int, int | None] = {}
    needs = floor.having.tools
    had = {place: held(needs, floor.tasks(place)) for place in range(len(floor.names))}
    while waiting:
        # An old plan may break the order itself; then whatever is next goes.
        ready = [task for task in waiting if floor.may_go(task)] or waiting
        full = [place for place in had if floor.load(place) > floor.most[place]]
        task = min(ready, key=lambda each: (floor.at[each] not in full, floor.over(each)))
        way = floor.at[task], floor.goal[task]
        is_along = bool(moved) and way == (left[moved[0]], floor.goal[moved[0]])
        if moved and not full and (not is_along or floor.over(task)):
            break
        moved.append(task)
        left[task] = floor.at[task]
        floor.at[task] = floor.goal[task]
        waiting.remove(task)
    touched = sorted({p for t in moved for p in (left[t], floor.goal[t]) if p is not None})
    have = {place: held(needs, floor.tasks(place)) for place in touched}
    opened = [place for place in touched if place in unused and floor.tasks(place)]
    unused.difference_update(opened)
    names = floor.names
    return CutOverStep(
        opened=tuple(names[place] for place in opened),
        brought=tuple((tool, names[p]) for p in touched for tool in sorted(have[p] - had[p])),
        moved=tuple(
            (
                floor.work.numbers[task],
                "" if (before := left[task]) is None else names[before],
                names[floor.goal[task]],
            )
            for task in moved
        ),
        freed=tuple((tool, names[p]) for p in touched for tool in sorted(had[p] - have[p])),
        closed=tuple(names[p] for p in touched if p in gone and not floor.tasks(p)),
    )
