"""The search for a plan of few stations at one limit, from both ends, to be gone on with.

The number of stations is enclosed. From below a *lower* pair of searches, one from each
end of the line, looks for a plan of as many stations as the bound; if there is none the
bound rises by one. From above an *upper* pair looks for any plan of fewer stations than the
best. The first proves, the second improves; where bound and best are one apart they are the
same. The packing bound comes in between, as soon as the quick ways leave a gap.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from stationflow.balancing.exact.both_ends import BothEnds, Ready, kept_ends, made_ready
from stationflow.balancing.exact.compiled import kernels
from stationflow.balancing.exact.learning import learn
from stationflow.balancing.exact.packing import Packing, find_partners
from stationflow.balancing.exact.tree import Tree, nodes_within
from stationflow.balancing.exact.weights import Weights, most, strongest, time_weights
from stationflow.balancing.methods.method import turned_round

if TYPE_CHECKING:
    from collections.abc import Callable

    import numpy.typing as npt

    from stationflow.balancing.exact.arrays import LineArrays
    from stationflow.balancing.exact.search_line import SearchLine
    from stationflow.balancing.methods.method import Stations
    from stationflow.balancing.problem import BalanceProblem

KINDS = 6
"""Vectors of weights that serve both ends."""

PARTS = (1 / 3, 2 / 3)
"""Where the line is cut for weights of its late and of its early tasks."""

FILLINGS = ((0.0, 0.0), (0.0, 0.02), (0.005, 0.01), (0.01, 0.02), (0.02, 0.0))
"""Worth of a task at its station besides its time: share of its positional weight, less a
share of the limit for each task (Sewell and Jacobson 2012)."""

FILLING_LOADS = 1000
FIRST_BUDGET, MOST_BUDGET = 2_000, 200_000  # loads in one go
TRIED_LOADS = (100, 1000, 10_000)
"""So many loads of a node are listed before others have their turn: few find plans soon."""
PROVING_AFTER = 24
"""Turns after which a search from below lists most loads two
times out of three: a proof needs them all."""
BATCH = 5
LEARN_AFTER = 5
"""Turns of a pair of searches before it learns weights."""
LEARN_MOST_TASKS = 300
"""On longer lines a packing takes longer than what it saves."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Means:
    """What a search may use."""

    memory_bytes: int = 2 << 30  # bound on the memory of partial plans
    cores: int = 1  # processor cores; two search both ends at the same time
    seed: int = 1  # seed of the choice of partial plans to learn from


@dataclass(slots=True)
class _Pair:
    """The searches from both ends for plans of at most so many stations."""

    target: int
    trees: list[Tree]
    packing: Packing | None
    budget: int = FIRST_BUDGET
    turns: int = 0
    learn_at: int = LEARN_AFTER
    learn_wait: int = 1

    @property
    def is_full(self) -> bool:
        return all(tree.is_full for tree in self.trees)


@dataclass(slots=True)
class Hunt:
    """The state of one search."""

    # problem, limit: the line and the limit of a station, which no task exceeds
    problem: BalanceProblem
    limit: int
    lower: int  # no plan has fewer stations
    # only plans of fewer stations are looked for: that of the best, or one more than asked
    upper: int
    means: Means  # what it may use
    # the line as seen from both ends, whose times count; None: made of the problem
    ends: BothEnds | None = None
    best: Stations = ()  # the best plan found, positions at each station; empty: none yet
    # the first plan, found by filling stations; it may have more stations than looked for
    filled: Stations = ()
    nodes: int = 0  # partial plans looked at by searches that were ended
    peak_bytes: int = 0  # most memory that partial plans used at a time
    # the bound before anything was searched: what tasks weigh, packed with their partners
    packing_bound: int = 0
    _ends: BothEnds = field(init=False)
    _chance: np.random.Generator = field(init=False)
    _simple: list[Weights] = field(init=False)
    _packed: list[Weights] = field(default_factory=list)
    _lower_pair: _Pair | None = None
    _upper_pair: _Pair | None = None

    def __post_init__(self) -> None:
        """Get the line and the simple weights ready."""
        self._ends = kept_ends(self.problem) if self.ends is None else self.ends
        self._chance = np.random.default_rng(self.means.seed)
        self._simple = time_weights(self._ends.times, self.limit)
        self.lower = max(self.lower, most(self._simple), 1)

    @property
    def is_closed(self) -> bool:
        """Whether bound and best have met: nothing is left to find."""
        return self.lower >= self.upper

    @property
    def nodes_seen(self) -> int:
        """Partial plans looked at."""
        return self.nodes + sum(tree.nodes for tree in self._trees())

    @property
    def is_full(self) -> bool:
        """Whether the memory bound leaves nothing to go on with."""
        pairs = [pair for pair in (self._lower_pair, self._upper_pair) if pair is not None]
        return bool(pairs) and all(pair.is_full for pair in pairs)

    def start(self, is_over: Callable[[], bool]) -> None:
        """Find a first plan: fill stations by value, from both ends."""
        ready = made_ready(self._ends, self.limit, strongest(self._simple, KINDS))
        self.lower = max(self.lower, ready.bound)
        for positional, each in FILLINGS:
            for line, arrays, is_turned in (
                (self._ends.forwards, ready.forwards, False),
                (self._ends.backwards, ready.backwards, True),
            ):
                if self.is_closed or (self.best and is_over()):
                    return
                values = line.times + positional * line.positional - each * self.limit
                station_of = np.empty(line.times.size, np.int32)
                count = kernels().fill_by_value(arrays, values, FILLING_LOADS, station_of)
                if not self.filled or count < len(self.filled):
                    stations = [np.flatnonzero(station_of == at).tolist() for at in range(count)]
                    self.filled = in_problem(stations, line.order, is_turned=is_turned)
                    self.improved(self.filled)

    def pack(self, is_over: Callable[[], bool]) -> None:
        """Raise the bound by packing, as far as it goes."""
        self.packing_bound = self.lower
        if self.is_closed:
            return
        known = max(self._simple, key=lambda each: each.ratio)
        found = Packing(find_partners(self._ends, self.limit), known, is_over).weights(self.upper)
        if found is not None:
            self._packed.append(found)
            self.lower = max(self.lower, found.bound)
        while not self.is_closed and self._windowed(self.lower, is_over) is None:
            self.lower += 1
        self.packing_bound = self.lower

    def step(self, is_over: Callable[[], bool]) -> None:
        """Go on for a moment."""
        if self._lower_pair is None:
            self._lower_pair = self._pair(self.lower, is_over)
            if self._lower_pair is None:
                self.lower += 1
                return
        lower = self._lower_pair
        upper = self._upper_pair
        # A full lower pair leaves the proof to the upper pair, where that has room left.
        is_upper_asked = lower.is_full and upper is not None and not upper.is_full
        is_apart = self.upper - 1 > self.lower or is_upper_asked
        if not is_apart or lower.turns % 2 == 0 or lower.is_full:
            if not lower.is_full and self._search(lower):
                # nothing left: no plan of so many stations
                self.nodes += sum(tree.nodes for tree in lower.trees)
                self._lower_pair = None
                self.lower = max(self.lower, min(self.upper, lower.target + 1))
            if self.is_closed or self._lower_pair is None:
                return
        lower.turns += 1
        if is_apart:
            upper = self._upper_pair
            if upper is None:
                upper = self._upper_pair = self._pair(self.upper - 1, is_over)
            if upper is None or (not upper.is_full and self._search(upper)):
                self.lower = self.upper

    def line_from_start(self) -> LineArrays:
        """Return the line as the search from its start sees it, with the simple weights."""
        return made_ready(self._ends, self.limit, self._simple[:KINDS]).forwards

    def improved(self, stations: Stations) -> None:
        """Take a plan, if it has fewer stations."""
        if len(stations) < self.upper:
            self.best, self.upper = stations, len(stations)

    def count(self, nodes: int, peak_bytes: int) -> None:
        """Add what a search of a part of the line looked at, and its memory beside this one's."""
        self.nodes += nodes
        self.peak_bytes = max(self.peak_bytes, self._bytes_now + peak_bytes)

    def _search(self, pair: _Pair) -> bool:
        """Go on with a pair; return whether it is done: a plan at its target, or none left."""
        trees = self._turn(pair)
        is_proving = pair is self._lower_pair and pair.turns >= PROVING_AFTER and pair.turns % 3
        loads = TRIED_LOADS[-1 if is_proving else pair.turns % len(TRIED_LOADS)]

        def go(tree: Tree) -> list[list[int]] | None:
            tree.know(min(self.upper, pair.target + 1))  # only what is better than that
            return tree.search(pair.budget, loads, BATCH)

        if self.means.cores > 1 and len(trees) > 1:
            with ThreadPoolExecutor(len(trees)) as pool:
                answers = list(pool.map(go, trees))
        else:
            answers = []
            for tree in trees:
                answers.append(go(tree))
                if answers[-1] is not None or tree.is_done:
                    break
        for tree, stations in zip(trees, answers, strict=False):
            if stations is not None and len(stations) < self.upper:
                is_turned = tree is pair.trees[1]
                order = self._line_of(pair, tree).order
                self.improved(in_problem(stations, order, is_turned=is_turned))
        pair.turns += 1
        self._learn(pair, trees)
        pair.budget = min(2 * pair.budget, MOST_BUDGET)
        self.peak_bytes = max(self.peak_bytes, self._bytes_now)
        if pair is self._lower_pair and self.upper <= pair.target:
            self.lower = self.upper
        return any(tree.is_done for tree in trees)

    def _learn(self, pair: _Pair, trees: list[Tree]) -> None:
        """Let searches learn weights when it is time; what does not help is tried less often."""
        is_small = self.problem.size <= LEARN_MOST_TASKS
        if pair.packing is None or not is_small or pair.turns < pair.learn_at:
            return
        has_learned = False
        for tree in trees:
            line = self._line_of(pair, tree)
            has_learned |= learn(tree, line, pair.packing, pair.target, self._chance)
        pair.learn_wait = 1 if has_learned else 2 * pair.learn_wait
        pair.learn_at = pair.turns + pair.learn_wait

    def _line_of(self, pair: _Pair, tree: Tree) -> SearchLine:
        return self._ends.backwards if tree is pair.trees[1] else self._ends.forwards

    def _turn(self, pair: _Pair) -> list[Tree]:
        """Return the trees whose turn it is: that which branches less has more turns."""
        trees = [tree for tree in pair.trees if not tree.is_full]
        if len(trees) < 2 or pair.turns < 4 or self.means.cores > 1:
            return trees
        narrow, wide = sorted(trees, key=lambda tree: tree.branching)
        every = 5 if wide.branching < 3 * narrow.branching else 25
        return trees if pair.turns % every == 0 else [narrow]

    def _pair(self, target: int, is_over: Callable[[], bool]) -> _Pair | None:
        """Return the searches for at most so many stations; None: there is no such plan."""
        if (windowed := self._windowed(target, is_over)) is None:
            return None
        ready, packing = windowed
        share = self.means.memory_bytes // (2 if self.upper - 1 == self.lower else 4)
        room = nodes_within(share, self.problem.size)
        trees = [Tree(arrays, target + 1, room) for arrays in (ready.forwards, ready.backwards)]
        return _Pair(target, trees, packing)

    def _windowed(
        self, target: int, is_over: Callable[[], bool]
    ) -> tuple[Ready, Packing | None] | None:
        """Return the line ready for plans of at most so many stations; None: there is none.

        With it comes its packing, if there is one. The stations each task can be at make fewer
        pairs of tasks partners, that makes the packing bound stronger, and that the windows
        narrower.
        """
        late: list[Weights] = []
        early: list[Weights] = []
        packed = list(self._packed)
        packing: Packing | None = None
        while True:
            weights = strongest([self._simple[0], *packed[-1:], *self._simple[1:]], KINDS)
            ready = made_ready(self._ends, self.limit, weights, late, early)
            if ready.bound > target or most(weights) > target:
                return None
            if not packed or late:
                return ready, packing
            partners = find_partners(self._ends, self.limit, ready.earliest, ready.latest(target))
            packing = Packing(partners, packed[-1], is_over)
            found = packing.weights(target + 1)
            if found is None:
                return ready, None
            if found.bound > target:
                return None
            if found.ratio > packed[-1].ratio + 0.02 and not is_over():
                packed.append(found)
                continue
            middle = ready.earliest + ready.latest(target)
            for part in PARTS:
                is_late = middle > np.quantile(middle, part)
                for which, counted in ((late, is_late), (early, ~is_late)):
                    weighed = packing.weights(target + 1, counted)
                    if weighed is not None:
                        which.append(weighed)
            if not late:
                return ready, packing

    @property
    def _bytes_now(self) -> int:
        return sum(tree.memory_bytes for tree in self._trees())

    def _trees(self) -> list[Tree]:
        pairs = (self._lower_pair, self._upper_pair)
        return [tree for pair in pairs if pair is not None for tree in pair.trees]


def in_problem(
    stations: list[list[int]], order: npt.NDArray[np.int64], *, is_turned: bool
) -> Stations:
    """Return a plan found from one end in the positions of the problem."""
    plan = tuple(tuple(int(order[task]) for task in station) for station in stations)
    return turned_round(plan) if is_turned else plan
