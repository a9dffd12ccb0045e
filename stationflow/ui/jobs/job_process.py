"""A long run in a process of its own: how it is started, listened to and stopped.

When the server ends, its children notice that their standard input is closed, keep their
best and end.
"""

import json
import subprocess
import sys
import threading
import time
from abc import ABC, abstractmethod
from collections.abc import Callable
from enum import StrEnum
from pathlib import Path
from typing import Any

from stationflow.actions.jobs.long_jobs import REQUEST, JobRequest

ROOT = Path(__file__).parents[3]


class JobState(StrEnum):
    """How far a job is."""

    WAITING = "waiting"  # for a core, or for another run on its line
    RUNNING = "running"
    ENDED = "ended"


class Job(ABC):
    """One request that is served by a process of its own.

    Attributes
    ----------
    number
        Tells jobs of this server apart.
    product, line
        What it is about.
    by
        Who asked.
    cores
        Processor cores it may use.
    state
        How far it is.
    message
        Why there is less than was asked; empty: nothing went wrong.
    is_preparing
        Whether its method is being made ready, once on this machine.
    is_stopping
        Whether it was asked to stop.
    """

    def __init__(
        self,
        number: int,
        request: JobRequest,
    ) -> None:
        self.number = number
        self.product = request.product
        self.line = request.line
        self.by = request.by.name
        self.cores = max(each.cores or 1 for each in request.asked)
        self.state = JobState.WAITING
        self.message = ""
        self.is_preparing = False
        self.is_stopping = False
        self._request = request
        self._started = time.monotonic()
        self._process: subprocess.Popen[str] | None = None
        self._over = threading.Event()

    @property
    @abstractmethod
    def share(self) -> float:
        """Share of the time it may take that has passed (0 to 1)."""

    @property
    @abstractmethod
    def is_answered(self) -> bool:
        """Whether all has come that was to be expected."""

    @abstractmethod
    def take(self, event: dict[str, Any]) -> None:
        """Take in one event of the process."""

    @property
    def is_active(self) -> bool:
        """Whether more may come."""
        return self.state != JobState.ENDED

    @property
    def elapsed_s(self) -> float:
        """Seconds since it began to run; 0 while it waits."""
        return 0.0 if self.state == JobState.WAITING else time.monotonic() - self._started

    def start(self, when_over: Callable[[], None]) -> None:
        """Start the process; `when_over` is called when it has ended."""
        self.state = JobState.RUNNING
        self._started = time.monotonic()
        self._process = subprocess.Popen(
            [sys.executable, "-m", "stationflow.cli.job"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            encoding="utf-8",
            cwd=ROOT,
        )
        threading.Thread(target=self._serve, args=(self._process, when_over), daemon=True).start()

    def stop(self) -> None:
        """Ask the job to stop and keep its best."""
        self.is_stopping = True
        if self._process is not None and self._process.stdin is not None:
            try:
                self._process.stdin.close()
            except OSError:  # it has gone already
                return

    def give_up(self) -> None:
        """End a job that was never begun."""
        self.is_stopping = True
        self._end()

    def wait(self, seconds: float) -> bool:
        """Wait until the job has ended, at most so many seconds; return whether it has."""
        return self._over.wait(seconds)

    def _serve(self, process: "subprocess.Popen[str]", when_over: Callable[[], None]) -> None:
        """Send the request, take in the events until the process ends."""
        assert process.stdin is not None
        assert process.stdout is not None
        try:
            process.stdin.write(REQUEST.to_json(self._request) + "\n")
            process.stdin.flush()
            for line in process.stdout:
                self.take(json.loads(line))
        except (OSError, ValueError):  # it died while it was spoken to, or in the middle of a line
            process.kill()
        code = process.wait()
        if not self.is_answered:
            self.message = self.message or _dead(code)
        self._end()
        when_over()

    def _end(self) -> None:
        """Note that nothing more will come."""
        self.state = JobState.ENDED
        self.stop()
        self._over.set()


def _dead(code: int) -> str:
    """Say that a process ended without its answer."""
    how = f"by signal {-code}" if code < 0 else f"with code {code}"
    return (
        f"The process ended {how} before it gave its answer; what is in the lists is whole. "
        "Start it again; if that happens again, give it less time or free memory."
    )
