"""The search for the lines of all tasks that may move: best first, by bounds of the lines.

A node says for some blocks of tasks which line has them. No plan below it has fewer stations than
the lines need for the tasks they have by then; and the work still open has to fit into what those
stations leave, or into more of them. A node without open blocks is looked at line by line, until it
is proven that it is no better than the best one found, or nothing is left to ask.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from heapq import heappop, heappush
from itertools import count
from time import monotonic

from stationflow.balancing.bounds import lb1, lb2, lb3
from stationflow.balancing.progress import Progress
from stationflow.balancing.work import LineWork, line_work, mean_time_ms
from stationflow.line.joint.line_answers import NONE, Known, LineAnswers
from stationflow.line.joint.ownership import Ownership
from stationflow.model import BalanceResult, Product, has_errors

Owned = Mapping[int, str]
"""The line of tasks that may move, by position."""


@dataclass(frozen=True, slots=True)
class Found:
    """The best found, and what is proven."""

    product: Product | None  # with the tasks where the plans have them; None: there are no plans
    results: Mapping[str, BalanceResult]  # without plans: what the lines say as they are
    total: int
    least: int
    tried: int  # complete choices of lines that were looked at
    separate: int | None  # stations of the lines balanced as they are entered; None: no plans


@dataclass
class JointSearch:
    """One search. `lines`: those to be balanced, each counted as often as it has copies."""

    known: Ownership
    lines: Sequence[str]
    answers: LineAnswers
    progress: Progress
    _best: tuple[int, Owned] = (NONE, {})
    _left: int = NONE  # the least that is proven of choices with open questions
    _heap: list[tuple[int, int, int, Owned]] = field(default_factory=list)
    _tried: int = 0

    @cached_property
    def _product(self) -> Product:
        return self.known.product

    @cached_property
    def _copies(self) -> dict[str, int]:
        return {n: max(1, line.copies) for n in self.lines if (line := self._product.line(n))}

    @cached_property
    def _limits(self) -> dict[str, int]:
        """The limit of each line in whole ms."""
        return {name: max(1, int(self.answers.limit(name) * 1000 + 1e-6)) for name in self.lines}

    @cached_property
    def _times(self) -> list[int]:
        """The shortest time of each task, in ms."""
        return [
            min([mean_time_ms(self._product, t), *(own.time_ms for own in t.station_times)])
            for t in self._product.tasks
        ]

    @cached_property
    def _fixed(self) -> dict[str, tuple[int, ...]]:
        free = self.known.free
        rows: dict[str, list[int]] = {name: [] for name in self.lines}
        for at, task in enumerate(self._product.tasks):
            if at not in free and task.line in rows:
                rows[task.line].append(at)
        return {name: tuple(row) for name, row in rows.items()}

    @cached_property
    def _partners(self) -> dict[int, tuple[list[int], list[int]]]:
        """For each task that may move those before and after it by one arrow."""
        found: dict[int, tuple[list[int], list[int]]] = {at: ([], []) for at in self.known.free}
        for one, after in self.known.arrows:
            if after in found:
                found[after][0].append(one)
            if one in found:
                found[one][1].append(after)
        return found

    def run(self) -> Found:
        """Search until the best is proven, time is up, or somebody wants to stop."""
        blocks = self.known.blocks
        home = {at: block.lines[0] for block in blocks for at in block.tasks}
        first = {name: self.answers.balance_as_entered(name) for name in self.lines}
        self._look(home)
        separate = self._best[0]
        numbers = count()
        core = self._cores() if blocks else dict.fromkeys(self.lines, 1)
        if blocks:
            heappush(self._heap, (self._bound({}, core), 0, next(numbers), {}))
        while self._heap and not self._is_over():
            least, depth, _, owned = heappop(self._heap)
            if least >= self._best[0]:
                self._heap.clear()  # best first: nothing left is better
            elif -depth == len(blocks):
                if self._look(owned):
                    heappush(self._heap, (least, depth, next(numbers), owned))
            else:
                block = blocks[-depth]
                for line in block.lines:
                    now = {**owned, **dict.fromkeys(block.tasks, line)}
                    if all(self._is_allowed(now, at) for at in block.tasks):
                        low = max(least, self._bound(now, core))
                        if low < self._best[0]:
                            heappush(self._heap, (low, depth - 1, next(numbers), now))
        total, owned = self._best[0], self._with_fewer_moves(self._best[1], home)
        least = min([self._left, total, *(node[0] for node in self._heap)])
        if total >= NONE:
            return Found(None, first, total, least, self._tried, None)
        product = self.known.moved(owned)
        results = {}
        for name in self.lines:
            work, _ = line_work(product, name)
            assert work is not None
            results[name] = self._result(product, name, work, first[name])
        before = separate if separate < NONE else None
        return Found(product, results, total, least, self._tried, before)

    def _with_fewer_moves(self, owned: Owned, home: Owned) -> Owned:
        """Return the best choice without the moves that save nothing, as far as that is plain."""
        for block in self.known.blocks:
            back = {**owned, **{at: home[at] for at in block.tasks}}
            if back == owned or not all(self._is_allowed(back, at) for at in back):
                continue
            works = self._works(back)
            if works and self._sum([self.answers.look(w).stations for w in works]) == self._best[0]:
                owned = back
        return owned

    def _result(
        self, product: Product, name: str, work: LineWork, first: BalanceResult
    ) -> BalanceResult:
        """Return the plan of a line: as it was balanced, where its work and plan are the same."""
        known = self.answers.memory[work]
        is_first = self.answers.first[name] is known
        if is_first and [s.tasks for s in first.stations] == list(known.plan):
            return first
        return self.answers.result(product, known)

    def _cores(self) -> dict[str, int]:
        """Return for each line the stations that the tasks it has in any case need."""
        gone = {self._product.tasks[at].number for at in self.known.free}
        tasks = tuple(
            replace(t, predecessors=tuple(n for n in t.predecessors if n not in gone))
            for t in self._product.tasks
            if t.number not in gone
        )
        alone = replace(self._product, tasks=tasks)
        found = dict.fromkeys(self.lines, 1)
        for name in self.lines:
            work, _ = line_work(alone, name) if self._fixed[name] else (None, ())
            if work is not None:
                found[name] = max(1, self.answers.prove(work)[1])
        return found

    def _is_allowed(self, owned: Owned, at: int) -> bool:
        """Return whether the arrows of a task fit the lines chosen so far."""
        before, after = self._partners[at]
        return all(
            self.known.may_follow(line, at, owned[at])
            for one in before
            if (line := self._line_of(owned, one))
        ) and all(
            self.known.may_follow(owned[at], other, line)
            for other in after
            if (line := self._line_of(owned, other))
        )

    def _line_of(self, owned: Owned, at: int) -> str:
        """Return the line of a task; empty: not chosen yet."""
        return owned.get(at, "" if at in self.known.free else self._product.tasks[at].line)

    def _bound(self, owned: Owned, core: Mapping[str, int]) -> int:
        """Return how many stations the lines need at least."""
        held = {name: list(row) for name, row in self._fixed.items()}
        for at, line in owned.items():
            held[line].append(at)
        total, room = 0, 0
        for name, row in held.items():
            times, limit = [self._times[at] for at in row], self._limits[name]
            low = max(core[name], lb1(times, limit), lb2(times, limit), lb3(times, limit))
            total += low * self._copies[name]
            room += low * limit - sum(times)
        work = sum(self._times[at] for at in self.known.free if at not in owned)
        more = max(0, -(-(work - room) // max(self._limits.values())))
        return min(NONE, total + more * min(self._copies.values()))

    def _look(self, owned: Owned) -> bool:
        """Look once at a complete choice; return whether there is more to ask about it."""
        works = self._works(owned)
        if not works:
            return False
        low = [self.answers.least(work) for work in works]
        if self._sum(low) >= self._best[0]:
            self._tried += 1
            return False
        lines: list[Known] = []
        for at, work in enumerate(works):
            lines.append(self.answers.look(work))
            low[at] = lines[at].least
            if self._sum(low) >= self._best[0]:
                self._tried += 1
                return False
        total = self._sum([each.stations for each in lines])
        if total < self._best[0]:
            self._best = (total, owned)
            self.progress.on_better(total, 0.0)
        least = self._sum(low)
        asked = [each for each in lines if each.stations > each.least and not each.is_stuck]
        if least < self._best[0] and asked:
            # The line whose plan leaves most to gain, and no more of it than would be better.
            line = max(asked, key=lambda each: each.stations - each.least)
            others = least - line.least * self._copies[line.work.line]
            most = (self._best[0] - 1 - others) // self._copies[line.work.line]
            product = self.known.moved(dict(owned))
            self.answers.ask(product, line, min(most, line.stations - 1))
            return True
        self._tried += 1
        if least < self._best[0]:
            self._left = min(self._left, least)
        return False

    def _works(self, owned: Owned) -> list[LineWork]:
        """Return the work of all lines; empty: the arrows or joins go wrong."""
        product = self.known.moved(dict(owned))
        works: list[LineWork] = []
        for name in self.lines:
            work, findings = line_work(product, name)
            if work is None or has_errors(findings):
                return []
            works.append(work)
        return works

    def _sum(self, stations: Sequence[int]) -> int:
        """Return the stations of all lines with their copies."""
        pairs = zip(self.lines, stations, strict=True)
        return min(NONE, sum(n * self._copies[name] for name, n in pairs))

    def _is_over(self) -> bool:
        deadline = self.answers.deadline
        late = deadline is not None and monotonic() >= deadline
        return late or self.progress.should_stop()
