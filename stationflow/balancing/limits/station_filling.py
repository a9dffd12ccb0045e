"""Stations filled one after another with all limits of a line in sight.

What may join the open station is asked task by task; what must be there by then goes first.
The rules of priority and the trials of lines with many kinds of limits fill by it, and a
plan is gone through once more to see that it keeps them.
"""

from collections.abc import Iterable, Sequence

from stationflow.balancing.arrows import closure, members
from stationflow.balancing.limits.forms import ALL_STATIONS
from stationflow.balancing.limits.implied import station_sets
from stationflow.balancing.limits.joining import foes_of
from stationflow.balancing.problem import BalanceProblem

NEVER = 1 << 60
"""The last station of a task that can wait for ever."""


class Bars:
    """What the limits of a problem say of each task before any has a station."""

    def __init__(self, problem: BalanceProblem) -> None:
        forms = problem.forms
        self.problem = problem
        self._cap = problem.most_stations + 1
        self.allowed = [ALL_STATIONS] * problem.size
        for form in station_sets(problem, None):
            self.allowed[form.task] &= form.stations
        self.foes = foes_of(problem.size, forms)
        self.time_at = {(form.task, form.station): form.time for form in forms.times}
        # (other, least, most) by task: its station less that of the other
        self.apart: list[list[tuple[int, int | None, int | None]]] = [[] for _ in problem.times]
        for before, row in enumerate(problem.successors):
            for after in row:
                self._between(before, after, 0, None)
        for apart in forms.distances:
            self._between(apart.before, apart.after, apart.least, apart.most)
        self.soon = _soon(problem)
        self.first = [_first(stations) for stations in self.allowed]
        self.last = [NEVER if s < 0 else s.bit_length() - 1 for s in self.allowed]
        self.is_possible = all(self.allowed) and self.narrow(
            self.first, self.last, range(problem.size)
        )
        self.lags_of: list[list[tuple[int, bool]]] = [[] for _ in problem.times]
        for at, lag in enumerate(forms.lags):
            self.lags_of[lag.before].append((at, True))
            self.lags_of[lag.after].append((at, False))

    @property
    def have_last(self) -> bool:
        """Whether any task has a last station, or may get one."""
        forms = self.problem.forms
        is_moving = bool(forms.distances or forms.lags or forms.setups)
        return is_moving or min(self.last, default=NEVER) < NEVER

    def _between(self, before: int, after: int, least: int | None, most: int | None) -> None:
        if before != after:
            self.apart[before].append((after, least, most))
            mirrored = (None if most is None else -most, None if least is None else -least)
            self.apart[after].append((before, *mirrored))

    def narrow(self, first: list[int], last: list[int], changed: Iterable[int]) -> bool:
        """Narrow the stations of tasks by those of some that changed; no: one has none left."""
        open_tasks = list(changed)
        cap = self._cap
        while open_tasks:
            task = open_tasks.pop()
            for other, least, most in self.apart[task]:
                low = first[other] if least is None else max(first[other], first[task] + least)
                high = last[other]
                if most is not None and last[task] < NEVER:
                    high = min(high, last[task] + most)
                if (low, high) != (first[other], last[other]):
                    first[other], last[other] = low, high
                    if low > high or low > cap:
                        return False
                    open_tasks.append(other)
        return True


def _soon(problem: BalanceProblem) -> dict[int, list[tuple[int, int, int]]]:
    """Return by task which others have few stations left once it has its own.

    Each with how many at most, and the tasks it waits for and itself as bits.
    """
    found: dict[int, list[tuple[int, int, int]]] = {}
    waits = closure(problem.predecessors) if problem.forms.distances else []
    for form in problem.forms.distances:
        least = None if form.least is None else -form.least
        for task, other, most in (
            (form.before, form.after, form.most),
            (form.after, form.before, least),
        ):
            if most is not None and task != other:
                way = waits[other] | 1 << other
                found.setdefault(task, []).append((other, most, way))
    return found


def _first(stations: int) -> int:
    return (stations & -stations).bit_length() - 1 if stations else 0


class StationFilling:
    """A line whose stations are filled in order."""

    def __init__(self, bars: Bars, limit: int, share: int = 100) -> None:
        self.bars, self.limit, self.share = bars, limit, share
        self.forms = bars.problem.forms
        self.first, self.last = list(bars.first), list(bars.last)
        self.station_of: dict[int, int] = {}
        self.span: dict[int, tuple[int, int]] = {}  # begin and end of each task at its station
        self.unplaced = set(range(bars.problem.size))
        self._left = (1 << bars.problem.size) - 1  # the same as bits
        self.number = 0
        inside = (lag for lag in self.forms.lags if lag.before == lag.after)
        self.is_lost = not bars.is_possible or not all(lag.holds(0) for lag in inside)
        # the smallest growth of the limit that would have let a task in; None: none was met
        self.step: int | None = None
        self._set_up: list[set[int]] = [set() for _ in self.forms.setups]

    def open(self) -> None:
        """Close the station and open the next."""
        self.number += 1
        self.here: list[int] = []
        self.plain = 0  # work without turn-overs
        self._foes = 0
        self._held = [0 for _ in self.forms.measures]
        self._rates = [0 for _ in self.forms.rates]
        self._kinds = [set[int]() for _ in self.forms.turns]
        self._most = self.limit
        for target in self.forms.targets:
            self._most = min(self._most, target.most(self.number, self.limit))
        self._put_off()
        self.turn, self._until = 0, self.number
        self._until = self._pressing()

    def _put_off(self) -> None:
        """Let tasks wait for others: some stations, or until these can follow soon."""
        changed = []
        for task in self.bars.soon.keys() & self.unplaced:
            waits = (self._stations_until(way) - most for _, most, way in self._followers(task))
            first = self.number + max(0, *waits, 0)
            if first > self.first[task]:
                self.first[task] = first
                changed.append(task)
        if changed and not self.bars.narrow(self.first, self.last, changed):
            self.is_lost = True

    def _followers(self, task: int) -> Iterable[tuple[int, int, int]]:
        """Yield what must be at a station soon after a task and has none yet, as in `Bars.soon`."""
        return (each for each in self.bars.soon.get(task, ()) if each[0] in self.unplaced)

    def _work_of(self, tasks: int) -> int:
        """Return the least work of those of some tasks that have no station."""
        times = self.bars.problem.least_times
        return sum(times[task] for task in members(tasks & self._left))

    def _stations_until(self, way: int) -> int:
        return max(0, self._work_of(way) - 1) // self._room

    @property
    def _room(self) -> int:
        """What a station to come is trusted to fill."""
        return max(1, self.limit * self.share // 100)

    def _leaves_room(self, task: int) -> bool:
        """Return whether what must follow a task soon still can, with all that it waits for."""
        spent = self.plain + self._time(task)
        for _, most, way in self._followers(task):
            due = sum(1 << t for t in self.unplaced if self.last[t] <= self.number + most)
            work = self._work_of((way | due) & ~(1 << task))
            if spent + work > self._most + most * self._room:
                return False
        return True

    @property
    def late(self) -> tuple[int, ...]:
        """The tasks that must be here, or before, and have no station, or none left."""
        first, last = self.first, self.last
        return tuple(t for t in sorted(self.unplaced) if last[t] <= max(self.number, first[t] - 1))

    def _pressing(self) -> int:
        """Return up to which last station tasks must go first lest stations become too few."""
        rows: dict[int, int] = {}
        for task in self.unplaced:
            if self.last[task] < NEVER:
                rows[self.last[task]] = rows.get(self.last[task], 0) + self._time(task)
        work = 0
        for last in sorted(rows):
            work += rows[last]
            if last > self.number and work > (last - self.number) * self.limit * self.share // 100:
                return last
        return self.number

    def next_turn(self) -> bool:
        """Let others join too: those due, then those pressing, then all; no: all may."""
        self.turn += 1
        return self.turn < 3

    def has_turn(self, task: int) -> bool:
        """Return whether it is the turn of a task."""
        return self.turn == 2 or self.last[task] <= (self.number, self._until)[self.turn]

    def _time(self, task: int) -> int:
        return self.bars.time_at.get((task, self.number), self.bars.problem.times[task])

    def fits(self, task: int) -> bool:
        """Return whether a task whose predecessors are placed may join the open station."""
        bars = self.bars
        if not bars.allowed[task] >> self.number & 1 or self._foes >> task & 1:
            return False
        if not self.first[task] <= self.number <= self.last[task]:
            return False
        for held, measure in zip(self._held, self.forms.measures, strict=True):
            if amount := measure.amounts[task]:
                room = measure.room(self.number)
                if room is not None and held + amount > room:
                    return False
        for stations, setup in zip(self._set_up, self.forms.setups, strict=True):
            is_new = setup.most is not None and task in setup.tasks and self.number not in stations
            if is_new and setup.needed({*stations, self.number}) > (setup.most or 0):
                return False
        if not self._has_time(task) or not self._leaves_room(task):
            return False
        return all(self._waits(task, *lag) for lag in bars.lags_of[task])

    def _has_time(self, task: int) -> bool:
        short = 0
        for rate, held in zip(self.forms.rates, self._rates, strict=True):
            if amount := rate.amounts[task]:
                short = max(short, held + amount - self.limit - rate.lost)
        work = self.plain + self._time(task)
        for kinds, turns in zip(self._kinds, self.forms.turns, strict=True):
            there = len(kinds | _kinds_of(turns.kinds, task))
            work += turns.time * max(0, there - 1)
        if work > self._most:
            needed = [target.needed(self.number, work) for target in self.forms.targets]
            short = max(short, work - self.limit, *(n - self.limit for n in needed))
        if short > 0:
            self.step = short if self.step is None else min(self.step, short)
        return short <= 0

    def _waits(self, task: int, at: int, is_before: bool) -> bool:
        """Return whether the time to the other task of a lag is right, if that has its station."""
        lag = self.forms.lags[at]
        other = lag.after if is_before else lag.before
        if other not in self.span:
            return True
        begin, pace = self.plain, self.limit + lag.lost
        apart = (self.number - self.station_of[other]) * pace
        if is_before:  # the other was begun before this one is done
            time = self.span[other][0] - apart - begin - self._time(task)
        else:
            time = apart + begin - self.span[other][1]
        if lag.holds(time):
            return True
        growth = 1 + self.limit // 50  # at another pace it may be
        self.step = growth if self.step is None else min(self.step, growth)
        return False

    def join(self, task: int) -> None:
        """Put a task that fits into the open station."""
        bars, time = self.bars, self._time(task)
        self.span[task] = (self.plain, self.plain + time)
        self.plain += time
        self.here.append(task)
        self.station_of[task] = self.first[task] = self.last[task] = self.number
        self.unplaced.discard(task)
        self._left &= ~(1 << task)
        self._foes |= bars.foes[task]
        for at, measure in enumerate(self.forms.measures):
            self._held[at] += measure.amounts[task]
        for at, rate in enumerate(self.forms.rates):
            self._rates[at] += rate.amounts[task]
        for kinds, turns in zip(self._kinds, self.forms.turns, strict=True):
            kinds |= _kinds_of(turns.kinds, task)
        if self.forms.distances or self.forms.lags or self.forms.setups:
            changed = [task, *self._used_up(task), *self._awaited(task)]
            if not bars.narrow(self.first, self.last, changed):
                self.is_lost = True
            self.turn, self._until = 0, self._pressing()

    def _used_up(self, task: int) -> Iterable[int]:
        """Yield tasks that must be here, or next to here, since no more set-ups are left."""
        for stations, setup in zip(self._set_up, self.forms.setups, strict=True):
            if setup.most is None or task not in setup.tasks:
                continue
            stations.add(self.number)
            if setup.needed({*stations, self.number + 2}) <= setup.most:
                continue
            next_one = setup.needed({*stations, self.number + 1}) <= setup.most
            for other in self.unplaced.intersection(setup.tasks):
                self.last[other] = min(self.last[other], self.number + next_one)
                yield other

    def _awaited(self, task: int) -> Iterable[int]:
        """Yield tasks whose stations follow from the time after, or before, this one."""
        for at, is_before in self.bars.lags_of[task]:
            lag = self.forms.lags[at]
            if not is_before or lag.after in self.span:
                continue
            end, pace = self.span[task][1], self.limit + lag.lost
            if lag.most is not None:
                last = self.number + (lag.most + end) // pace
                self.last[lag.after] = min(self.last[lag.after], last)
            if lag.least is not None:
                room = self.limit - self.bars.problem.least_times[lag.after]
                first = self.number - (-(lag.least + end - room) // pace)
                self.first[lag.after] = max(self.first[lag.after], first)
            yield lag.after


def _kinds_of(kinds: Sequence[Sequence[int]], task: int) -> set[int]:
    return {at for at, tasks in enumerate(kinds) if task in tasks}


def keeps_all(
    problem: BalanceProblem, stations: Sequence[Sequence[int]], limit: int | None = None
) -> bool:
    """Return whether a plan keeps all limits of a problem, its tasks done in the order given.

    `limit`: of a station; None: what the plan itself needs.
    """
    limit = problem.cycle_of(stations) if limit is None else limit
    filling = StationFilling(Bars(problem), limit)
    for tasks in stations:
        filling.open()
        for task in tasks:
            if filling.is_lost or not filling.fits(task):
                return False
            filling.join(task)
    return not filling.unplaced and not filling.is_lost
