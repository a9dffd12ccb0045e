"""CP-SAT in a process of its own: whatever it takes or breaks ends with that process."""

from __future__ import annotations

import pickle
import queue
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cache
from importlib import metadata
from pathlib import Path
from time import monotonic, time
from typing import TYPE_CHECKING, Self

if TYPE_CHECKING:
    from stationflow.balancing.methods.method import Stations, Watch
    from stationflow.balancing.problem import BalanceProblem

ROOT = Path(__file__).parents[3]
POLL_S = 0.05
LATE_S = 2.0
"""So long after its time the process is waited for, in seconds: it may be writing the model."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What the process is asked."""

    problem: BalanceProblem
    most: int  # stations
    limit: int | None  # whole units; None: it is to be small, and the stations may be `most`
    low: int  # no plan has fewer stations, or a smaller limit
    high: int = 0  # the largest limit that is wanted
    seconds: float | None = None  # from being asked: starting up and writing the model are within
    asked_at: float = field(default_factory=time)  # by the clock that both processes have
    cores: int = 1
    seed: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What the process says."""

    plan: Stations = ()  # a plan better than those before; empty: none
    bound: int = 0  # in the last word: what is proven
    is_impossible: bool = False
    is_last: bool = False


@cache
def solver_name() -> str:
    """Return what does the work, with its version."""
    return f"cp-sat {metadata.version('ortools')}"


class SolverProcess:
    """One process for the questions of one answer."""

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-m", "stationflow.balancing.solver.solver_child"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            cwd=ROOT,
        )
        self._heard: queue.Queue[Told] = queue.Queue()
        self._listener = threading.Thread(target=self._listen, daemon=True)
        self._listener.start()

    def __enter__(self) -> Self:
        """Use it."""
        return self

    def __exit__(self, *_: object) -> None:
        """End the process, whatever it does."""
        self._process.kill()
        self._listener.join()  # it hears the end
        with suppress(BrokenPipeError), self._process:
            pass

    def ask(self, question: Question, watch: Watch, better: Callable[[Stations], None]) -> Told:
        """Return the last word about a question; `better` hears of every plan on the way.

        Where the process is stopped, or breaks, nothing more is known than before.
        """
        nothing = Told(bound=question.low, is_last=True)
        try:
            self._process.stdin.write(pickle.dumps(question))  # type: ignore[union-attr]
            self._process.stdin.flush()  # type: ignore[union-attr]
        except BrokenPipeError:
            return nothing
        while not watch.progress.should_stop():
            try:
                told = self._heard.get(timeout=POLL_S)
            except queue.Empty:
                left = watch.seconds_left
                if left is not None and left <= 0 and self._is_late(watch):
                    return nothing
                continue
            if told.plan:
                better(told.plan)
            if told.is_last:
                return told
        return nothing

    def _is_late(self, watch: Watch) -> bool:
        """Return whether the solver has not stopped by itself in time."""
        return watch.deadline is not None and monotonic() > watch.deadline + LATE_S

    def _listen(self) -> None:
        out = self._process.stdout
        try:
            while True:
                self._heard.put(pickle.load(out))  # type: ignore[arg-type]
        except (EOFError, pickle.UnpicklingError, OSError, ValueError):
            self._heard.put(Told(is_last=True))
