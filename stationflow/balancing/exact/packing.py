"""The packing bound: how many stations the tasks need if only pairs of them are looked at.

Give up the arrows but for one thing: which tasks can be at one station at all, by their
times, by what must be done between them, and by the stations each can be at. The tasks are
then packed into station loads in parts (a linear program over all loads). Its prices are
weights of tasks that no load exceeds; they are rounded to whole numbers and the heaviest
load is found by complete search, so that the bound holds exactly whatever the solver of the
linear program rounds.

References
----------
.. [1] Gilmore, P. C. and Gomory, R. E. (1961). "A linear programming approach to the
   cutting-stock problem". Operations Research 9(6), 849-859.
.. [2] Farley, A. A. (1990). "A note on bounding a class of linear programming problems,
   including cutting stock problems". Operations Research 38(5), 922-923.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from stationflow.balancing.exact.compiled import kernels
from stationflow.balancing.exact.weights import Weights

if TYPE_CHECKING:
    from collections.abc import Callable

    import numpy.typing as npt

    from stationflow.balancing.exact.both_ends import BothEnds

SCALE = 1_000_000
"""What a station is worth in whole prices."""

MOST_STEPS = 1_000_000
"""Steps in the search for the heaviest loads until the bound is given up: small tasks, of which
very many fit into a station, and whose work content is a good bound by itself."""

NEARLY = 1e-6

CLOSE = 1e-4
"""The work ends when prices are this near to the best possible, in stations."""

STEP = 0.5
"""How far from prices that hold towards those of the linear program the next ones lie."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Partners:
    """Which tasks can share a station."""

    times: npt.NDArray[np.int64]  # task times by position
    limit: int  # limit of a station
    pairs: npt.NDArray[np.bool_]  # whether two tasks can share a station (tasks x tasks)


def find_partners(
    ends: BothEnds,
    limit: int,
    earliest: npt.NDArray[np.int64] | None = None,
    latest: npt.NDArray[np.int64] | None = None,
) -> Partners:
    """Return which tasks can share a station at a limit, with windows of stations if given."""
    size = ends.times.size
    out = np.zeros_like(ends.later)
    kernels().mark_partners(
        ends.times,
        ends.later,
        ends.sooner,
        np.zeros(size, np.int64) if earliest is None else earliest,
        np.full(size, size, np.int64) if latest is None else latest,
        limit,
        out,
    )
    pairs = np.unpackbits(out.view(np.uint8), axis=1, count=size, bitorder="little").astype(bool)
    return Partners(times=ends.times, limit=limit, pairs=pairs)


class Packing:
    """The linear program of a line, for weights of all its tasks or of some.

    It starts from weights known to hold; `is_over` ends the work with what there is.
    """

    def __init__(self, partners: Partners, known: Weights, is_over: Callable[[], bool]) -> None:
        self._known = known
        self._is_over = is_over
        self._partners = partners
        self._tasks = np.flatnonzero(partners.times > 0)
        self._times = partners.times[self._tasks]
        self._pairs = partners.pairs[np.ix_(self._tasks, self._tasks)]
        self._program = _Program(self._tasks.size)
        self._is_too_large = False

    def weights(self, target: int, counted: npt.NDArray[np.bool_] | None = None) -> Weights | None:
        """Return the strongest weights found, by position; None: too many loads to be searched.

        The prices tried lie between the best that are known to hold and those of the linear
        program (in-out: Ben-Ameur and Neto 2007, Networks 49(1), 3-17), which takes a fraction
        of the steps of trying the program's own. A bound of `target` stations is enough; `counted`
        are the tasks whose weights are to be large together (None: all).
        """
        tasks, program = self._tasks, self._program
        share = np.ones(tasks.size)
        if counted is not None:
            share = counted[tasks].astype(np.float64)
        best = Weights(self._known.tasks[tasks], self._known.capacity)
        worth = float(share @ best.tasks) / best.capacity
        prices = np.ones(tasks.size) if not program.rows else program.prices(share)
        while not self._is_too_large:
            inner = best.tasks / best.capacity
            whole = np.rint((inner + STEP * (prices - inner)) * SCALE).astype(np.int64)
            loads, heaviest = self._heaviest(whole)
            if heaviest is None:
                self._is_too_large = True
                break
            now = float(share @ whole) / heaviest
            is_stuck = now <= worth and not loads
            if now > worth:
                best, worth = Weights(whole, heaviest), now
            value = program.value if program.rows else float(share.sum())
            is_done = _up(value) <= _up(worth) or value - worth < CLOSE or is_stuck
            if is_done or _up(worth) >= target or self._is_over():
                return self._by_position(best)
            if loads:
                program.add(loads)
                prices = program.prices(share)
        return None

    def _heaviest(self, prices: npt.NDArray[np.int64]) -> tuple[list[Any], int | None]:
        """Return loads that weigh more than a station, and the heaviest weight of any load."""
        size = self._tasks.size
        order = np.argsort(-(prices / self._times), kind="stable")
        packed = np.packbits(self._pairs[np.ix_(order, order)], axis=1, bitorder="little")
        words = max(1, (size + 63) // 64)
        rows = np.zeros((size, 8 * words), np.uint8)
        rows[:, : packed.shape[1]] = packed
        starts = np.zeros(size + 1, np.int64)
        members = np.empty(size * 40, np.int32)
        listed, heaviest, steps = kernels().heaviest_loads(
            self._times[order],
            prices[order],
            rows.view("<u8").astype(np.uint64),
            self._partners.limit,
            SCALE,
            MOST_STEPS,
            starts,
            members,
        )
        if steps > MOST_STEPS:
            return [], None
        loads = [order[members[starts[i] : starts[i + 1]]] for i in range(listed)]
        return loads, int(heaviest)

    def _by_position(self, weights: Weights) -> Weights:
        """Return weights of the timed tasks as weights of all."""
        tasks = np.zeros(self._partners.times.size, np.int64)
        tasks[self._tasks] = weights.tasks
        return Weights(tasks, weights.capacity)


def _up(value: float) -> int:
    """Return a number of stations rounded up, forgiving what a solver rounds."""
    return int(np.ceil(value - NEARLY))


class _Program:
    """The linear program: prices as high as can be, none of the loads worth more than one."""

    def __init__(self, size: int) -> None:
        import highspy

        self.value = 0.0
        self.rows = 0
        self._size = size
        # The wrapper around it writes a line to standard output before it can be silenced.
        self._solver: Any = highspy._Highs()  # type: ignore[attr-defined]  # noqa: SLF001
        self._solver.setOptionValue("output_flag", False)
        self._solver.addVars(size, np.zeros(size), np.ones(size))

    def add(self, loads: list[npt.NDArray[np.int64]]) -> None:
        lengths = [len(load) for load in loads]
        starts = np.cumsum([0, *lengths[:-1]]).astype(np.int32)
        places = np.concatenate(loads).astype(np.int32)
        self._solver.addRows(
            len(loads),
            np.full(len(loads), -np.inf),
            np.ones(len(loads)),
            places.size,
            starts,
            places,
            np.ones(places.size),
        )
        self.rows += len(loads)

    def prices(self, share: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        """Return the prices that are worth most, each task counted with its share."""
        places = np.arange(self._size, dtype=np.int32)
        self._solver.changeColsCost(self._size, places, -share)
        self._solver.run()
        self.value = -float(self._solver.getInfo().objective_function_value)
        values = np.array(self._solver.getSolution().col_value, dtype=np.float64)
        return np.clip(values, 0.0, 1.0)
