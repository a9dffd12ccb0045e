"""COMSOAL: fill the line many times at random and keep the best.

At every step the next task is drawn, all alike, from those whose predecessors
are placed and that fit the time left. A trial that can no longer win is
abandoned: stations so far + work left / limit (rounded up) reach the best.

References
----------
.. [1] Arcus, A. L. (1966). "COMSOAL: a computer method of sequencing operations
   for assembly lines". International Journal of Production Research 4(4), 259-277.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

from stationflow.balancing.arrows import members
from stationflow.balancing.limits.forms import Form, latest
from stationflow.balancing.limits.joining import foes_of, narrowed, own_stations
from stationflow.balancing.limits.station_filling import Bars
from stationflow.balancing.methods.comsoal_kernel import Kernel, compiled_kernel
from stationflow.balancing.methods.comsoal_limited import run_limited_trials
from stationflow.balancing.methods.method import (
    Answer,
    Options,
    Stations,
    Watch,
)
from stationflow.balancing.problem import BalanceProblem
from stationflow.model import Stopped

if TYPE_CHECKING:
    import numpy as np

    from stationflow.balancing.methods.comsoal_kernel import Whole

COMPILED = frozenset({Form.STATIONS, Form.PAIRS})
"""The forms of limits that the compiled loops know; other lines are filled step by step."""

LIMITED_CHUNK = 2_000
"""Tasks placed in one call where they are filled step by step."""

CHUNK = 200_000
"""Tasks placed in one call of the kernel, some milliseconds: so often is the watch asked."""


@dataclass(frozen=True, slots=True)
class Comsoal:
    """COMSOAL for all goals."""

    takes_groups: ClassVar[bool] = False

    generator: np.random.Generator  # source of the random numbers: a seed for each trial
    # how many times the line is filled (for best efficiency: for each number of stations)
    trials: int

    def fewest(
        self, problem: BalanceProblem, limit: int, low: int, watch: Watch, most: int | None = None
    ) -> Answer:
        """Return the plan of fewest stations met in all trials, or the first of at most `most`."""
        trials = Trials(problem, self.generator, self.trials, watch)
        if most is not None:
            return trials.answer(trials.better(limit, most + 1) or ())
        best: Stations = ()
        while (found := trials.better(limit, len(best) or problem.most_stations + 1)) is not None:
            best = found
            watch.better(len(best), limit)
            if len(best) <= low:
                break
        return trials.answer(best)

    def shortest(
        self, problem: BalanceProblem, most: int, low: int, high: int | None, watch: Watch
    ) -> Answer:
        """Return the plan of shortest cycle: the limit is always a unit below the best so far."""
        trials = Trials(problem, self.generator, self.trials, watch)
        # A closed station is fuller than limit - longest: at this limit every trial wins,
        # unless limits of the line keep a task out.
        limit = max(low, -(-problem.total // most) + problem.longest) if high is None else high
        best: Stations = ()
        ample = problem.ample_limit if problem.forms else problem.total
        while problem.forms and high is None and limit < ample:
            if (first := trials.better(limit, most + 1, share=8)) is not None:
                best, limit = first, problem.cycle_of(first) - 1
                break
            limit = min(max(2 * limit, 1), ample)
        while limit >= low and (found := trials.better(limit, most + 1)) is not None:
            best = found
            cycle = problem.cycle_of(best)
            watch.better(len(best), cycle)
            limit = cycle - 1
        return trials.answer(best)


def make_comsoal(options: Options) -> Comsoal:
    """Return COMSOAL with its options."""
    import numpy as np

    return Comsoal(np.random.default_rng(options.seed), options.trials)


class Trials:
    """The trials of one line, done in chunks so that they can be watched and stopped."""

    def __init__(
        self,
        problem: BalanceProblem,
        generator: np.random.Generator,
        trials: int,
        watch: Watch,
        kernel: Kernel | None = None,
    ) -> None:
        import numpy as np

        self.done = 0
        self._stopped: Stopped | None = None
        self._trials, self._watch, self._generator = trials, watch, generator
        self._bars = Bars(problem) if {f.form for f in problem.forms} - COMPILED else None
        chunk = CHUNK if self._bars is None else LIMITED_CHUNK
        self._rows = max(1, chunk // max(1, problem.size))
        self._seeds = np.empty(0, dtype=np.int64)
        starts, ends = _rows(problem.successors)
        self._whole = problem
        if self._bars is not None:
            return
        self._kernel = kernel or compiled_kernel(limited=bool(problem.forms))
        self._problem = (
            np.array(problem.times, dtype=np.int64),
            np.array([len(row) for row in problem.predecessors], dtype=np.int64),
            starts,
            ends,
        )
        self._limits = _limits(problem)
        self._station_of = np.zeros(problem.size, dtype=np.int64)
        self._order = np.zeros(problem.size, dtype=np.int64)

    def answer(self, best: Stations) -> Answer:
        """Return the best plan met with how many trials it took, and what ended them early."""
        return Answer(stations=best, trials=self.done, stopped=self._stopped)

    def better(self, limit: int, best: int, share: int = 1) -> Stations | None:
        """Return the next plan of fewer than `best` stations; None: trials or time are up.

        Only one in `share` of the trials that are left may be used.
        """
        last = self._trials - (self._trials - self.done) * (share - 1) // share
        if self._bars is None and self._limits is None:
            return None
        while self.done < last:
            if self.done and (reason := self._watch.stopped):
                self._stopped = reason
                return None
            if not len(self._seeds):
                self._seeds = self._generator.integers(1, 2**32, self._rows)
            used, stations = self._run(limit, best, self._seeds[: last - self.done])
            self.done += used
            self._seeds = self._seeds[used:]
            if stations:
                return stations
        return None

    def _run(self, limit: int, best: int, seeds: Whole) -> tuple[int, Stations]:
        """Fill stations once for each seed until a plan of fewer than `best` is there."""
        if self._bars is not None:
            at_limit = self._whole.limit is not None
            return run_limited_trials(self._bars, limit, best, seeds.tolist(), at_limit=at_limit)
        used, count = self._kernel(
            *self._problem, limit, best, seeds, self._station_of, self._order, *self._limits or ()
        )
        return used, self._stations(count) if count else ()

    def _stations(self, count: int) -> Stations:
        """Return the assignment the kernel left behind."""
        stations: list[list[int]] = [[] for _ in range(count)]
        for position in self._order.tolist():
            stations[self._station_of[position]].append(position)
        return tuple(tuple(station) for station in stations)


def _rows(rows: Sequence[Sequence[int]]) -> tuple[Whole, Whole]:
    """Return rows one after another: where each begins, and what they hold."""
    import numpy as np

    starts = np.cumsum([0, *(len(row) for row in rows)])
    return starts.astype(np.int64), np.array([at for row in rows for at in row], dtype=np.int64)


def _limits(problem: BalanceProblem) -> tuple[Any, ...] | None:
    """Return the limits as the kernel reads them; None: some task has no station left."""
    import numpy as np

    own = own_stations(problem.size, problem.forms.stations)
    rules = narrowed(own, problem.predecessors)
    if rules.lost is not None:
        return None
    width = problem.forms.last_named + 2
    last = np.array([latest(stations) or 0 for stations in rules.stations], dtype=np.int64)
    allowed = np.array(
        [[s >> k & 1 for k in range(width)] for s in rules.stations], dtype=np.int64
    ).reshape(problem.size, width)
    return (
        allowed,
        last,
        np.bincount(last, minlength=width),
        *_rows([tuple(members(f)) for f in foes_of(problem.size, problem.forms)]),
    )
