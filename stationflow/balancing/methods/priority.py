"""List-first-fit: the one way in which all rules of priority fill stations.

Of the tasks whose predecessors are placed, the one of highest priority that
fits joins the station, and the list is read again from the top. When none fits,
the next station is opened. Ties of priority go by the listed order.
"""

from bisect import bisect, insort
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from stationflow.balancing.arrows import closure, members
from stationflow.balancing.limits.joining import SHARES, first_that_may_join
from stationflow.balancing.limits.station_filling import Bars, StationFilling, keeps_all
from stationflow.balancing.methods.method import (
    Answer,
    Stations,
    Watch,
    loads,
    turned_round,
)
from stationflow.balancing.problem import BalanceProblem
from stationflow.model import Direction

Priority = Callable[[BalanceProblem], Sequence[int]]
"""Gives the positions of a problem, highest priority first."""

Run = Callable[[BalanceProblem, int | None], "Course"]
"""Fills the stations of a line, at most so many (None: any number)."""

STEPS = 2_000
"""How many limits at most are tried one by one for the shortest cycle before halving begins."""

AGAIN = 8
"""So many times a line is filled anew with the tasks first that came too late."""

EFFORT = 300_000
"""How many tasks at most are placed on the way: some seconds, however large the line."""


@dataclass(frozen=True, slots=True)
class Course:
    """What happened at one limit."""

    # the assignment; None: more than the stations allowed would be needed, or a task came too late
    # for the stations that the limits leave it
    stations: Stations | None
    # the limit must grow by this much before anything happens differently; None: nothing ever will
    step: int | None
    late: tuple[int, ...] = ()  # tasks that came too late, where that is why


def list_first_fit(
    problem: BalanceProblem,
    order: Sequence[int],
    limit: int,
    most: int | None = None,
    again: int = 0,
) -> Course:
    """Fill stations by a list of priority, in time for the last stations that limits name.

    `again`: so many times more, where tasks come too late, with these and what they wait for first
    (Joslin and Clements 1999, Squeaky wheel optimization).
    """
    if not problem.forms:
        return fill(problem, order, limit, most)
    courses, bars = [], Bars(problem)
    before = closure(problem.predecessors) if again else []
    for share in SHARES if bars.have_last else SHARES[:1]:
        listed = order
        for _ in range(1 + again):
            courses.append(fill_limited(bars, listed, StationFilling(bars, limit, share), most))
            if courses[-1].stations is not None:
                return courses[-1]
            if not again or not (late := courses[-1].late):
                break
            first = {t for task in late for t in (task, *members(before[task]))}
            listed = sorted(listed, key=lambda task: task not in first)
    return Course(None, min((c.step for c in courses if c.step is not None), default=None))


def fill(
    problem: BalanceProblem, order: Sequence[int], limit: int, most: int | None = None
) -> Course:
    """Fill stations by a list of priority on a line without limits but that of time.

    `order` has all positions, highest priority first.

    Raises ValueError if a task is longer than the limit.
    """
    if problem.longest > limit:
        raise ValueError("a task is longer than the limit")
    rank = _ranks(order)
    missing = [len(row) for row in problem.predecessors]
    # Ranks of the available tasks in order of priority, and beside them their times.
    available = [place for place, position in enumerate(order) if not missing[position]]
    times = [problem.times[order[place]] for place in available]
    unplaced = problem.size
    stations: list[tuple[int, ...]] = []
    step: int | None = None
    while unplaced:
        if len(stations) == most:
            return Course(None, step)
        station: list[int] = []
        left, start = limit, 0
        while True:
            at = first_that_may_join(left, times, start)
            if at > start:
                short = min(times[start:at]) - left
                step = short if step is None else min(step, short)
            if at == len(times):
                break
            position = order[available.pop(at)]
            left -= times.pop(at)
            station.append(position)
            # What did not fit will not fit later at this station: the list need be
            # read again only from the first task that became available.
            start = at
            for after in problem.successors[position]:
                missing[after] -= 1
                if not missing[after]:
                    place = bisect(available, rank[after])
                    available.insert(place, rank[after])
                    times.insert(place, problem.times[after])
                    start = min(start, place)
            unplaced -= 1
        stations.append(tuple(station))
    return Course(tuple(stations), step)


def fill_limited(
    bars: Bars, order: Sequence[int], filling: StationFilling, most: int | None = None
) -> Course:
    """Fill stations by a list of priority; tasks that their limits make urgent go before."""
    problem, rank = bars.problem, _ranks(order)
    last = problem.most_stations if most is None else most
    missing = [len(row) for row in problem.predecessors]
    available = [place for place, position in enumerate(order) if not missing[position]]
    stations: list[tuple[int, ...]] = []
    while filling.unplaced:
        if filling.is_lost or len(stations) == last:
            return Course(None, filling.step, filling.late)
        filling.open()
        while not filling.is_lost:
            tasks = ((place, order[place]) for place in available)
            found = next((e for e in tasks if filling.has_turn(e[1]) and filling.fits(e[1])), None)
            if found is None:
                if not filling.next_turn():
                    break
                continue
            place, position = found
            available.remove(place)
            filling.join(position)
            for after in problem.successors[position]:
                missing[after] -= 1
                if not missing[after]:
                    insort(available, rank[after])
        if filling.late:
            return Course(None, filling.step, filling.late)
        stations.append(tuple(filling.here))
    return Course(tuple(stations), filling.step)


def _ranks(order: Sequence[int]) -> list[int]:
    """Return the place of each position in a list of priority."""
    rank = [0] * len(order)
    for place, position in enumerate(order):
        rank[position] = place
    return rank


@dataclass(frozen=True, slots=True)
class PriorityRule:
    """A rule of priority for all goals, from one end of the line or from both."""

    takes_groups: ClassVar[bool] = False
    priority: Priority
    direction: Direction = Direction.BOTH
    steps: int = STEPS
    again: int = AGAIN

    def fewest(
        self, problem: BalanceProblem, limit: int, low: int, watch: Watch, most: int | None = None
    ) -> Answer:
        """Return the better plan of the directions asked for."""

        def run(seen: BalanceProblem, stations: int | None) -> Course:
            again = self.again if seen is problem else 0  # from the end many lengths are tried
            return list_first_fit(seen, self.priority(seen), limit, stations, again)

        return self._better(problem, run, low, most)

    def shortest(
        self, problem: BalanceProblem, most: int, low: int, high: int | None, watch: Watch
    ) -> Answer:
        """Return the plan at the smallest limit at which the rule keeps the stations."""

        def run(seen: BalanceProblem, stations: int | None) -> Course:
            allowed = stations or most
            order = self.priority(seen)
            return smallest_limit(seen, order, allowed, low, high, watch, self.steps)

        return self._better(problem, run, most, most, by_cycle=True)

    def _better(
        self,
        problem: BalanceProblem,
        run: Run,
        low: int,
        most: int | None,
        *,
        by_cycle: bool = False,
    ) -> Answer:
        """Return the better of the directions: goal first, then smoothness, then forwards."""
        ways = [Direction.FORWARDS, Direction.BACKWARDS]
        if self.direction != Direction.BOTH:
            ways = [self.direction]
        answers = list[Answer]()
        for way in ways:
            if way == Direction.FORWARDS:
                stations = run(problem, most).stations
            else:
                last = most or (len(answers[0].stations) if answers else problem.most_stations)
                stations = _from_the_end(problem, run, low, last, most)
            # Seen from the end idle time lies elsewhere, and the pace may have come out shorter.
            limit = None if by_cycle else problem.limit
            if stations is not None and (not problem.forms or keeps_all(problem, stations, limit)):
                answers.append(Answer(stations=stations, direction=way))

        def goodness(answer: Answer) -> tuple[int, int, int]:
            work = loads(problem, answer.stations)
            longest = problem.cycle_of(answer.stations) if by_cycle else max(work, default=0)
            unevenness = sum((longest - load) ** 2 for load in work)
            if by_cycle:
                return (longest, unevenness, len(work))
            return (len(work), unevenness, longest)

        return min(answers, key=goodness, default=Answer())


def _from_the_end(
    problem: BalanceProblem, run: Run, low: int, last: int, most: int | None
) -> Stations | None:
    """Return the plan of a rule that fills the line from its end.

    Where limits name stations, it must be known how many there are: from `low` to `last`
    they are tried, in growing steps. Those left over stay empty at the beginning of the line.
    """
    if not problem.forms.are_places:
        stations = run(problem.reversed(), most).stations
        return None if stations is None else turned_round(stations)
    count = low
    while count <= last:
        stations = run(problem.reversed(count), count).stations
        if stations is not None:
            return ((),) * (count - len(stations)) + turned_round(stations)
        count += 1 + (count - low) // 4
    return None


def smallest_limit(
    problem: BalanceProblem,
    order: Sequence[int],
    most: int,
    low: int,
    high: int | None,
    watch: Watch,
    steps: int = STEPS,
) -> Course:
    """Fill at the smallest limit from `low` at which the rule needs at most `most` stations.

    A rule may keep the stations at one limit and not at a longer one, so halving could miss the
    smallest. The limit is raised from the lower bound, each time by the smallest amount that
    lets one refused task in; in between the rule would do the same again. After `steps` limits,
    or fewer on a very long line, the rest is halved. `high`: the last limit to try (None: any).
    """
    # A closed station is fuller than limit - longest: above this limit the stations suffice.
    safe = max(low, -(-problem.total // most) + problem.longest)
    if problem.forms:  # unless a limit keeps a task out: then only all the work at one is sure
        safe = max(low, problem.ample_limit)
    last = safe if high is None else min(high, safe)
    limit = low
    for _ in range(min(steps, 1 + EFFORT // max(1, problem.size))):
        if limit > last:
            return Course(None, None)
        course = list_first_fit(problem, order, limit, most)
        if course.stations is not None or course.step is None:
            return course
        limit += course.step
        if watch.is_over():
            break
    found = list_first_fit(problem, order, last, most)
    while found.stations is not None and limit < last:
        middle = (limit + last) // 2
        course = list_first_fit(problem, order, middle, most)
        if course.stations is None:
            limit = middle + 1
        else:
            found, last = course, middle
    return found
