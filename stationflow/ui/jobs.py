"""A balance that runs in a process of its own, watched from a page."""

import json
import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import Any

from stationflow.actions.balancing_jobs import plan_of_job
from stationflow.model import Plan

ROOT = Path(__file__).parents[2]


class BalanceJob:
    """A running balance; a thread reads its events, a page looks at them.

    Attributes
    ----------
    line
        Name of the line being balanced.
    seconds
        Its time limit.
    stations, limit
        Of the best plan so far; None: none yet.
    bound
        Lower bound proven so far.
    plan
        The stored plan once it is done.
    message
        Why there is none.
    """

    def __init__(self, request: dict[str, Any], line: str, seconds: float) -> None:
        self.line = line
        self.seconds = seconds
        self.stations: int | None = None
        self.limit: float | None = None
        self.bound: float | None = None
        self.plan: Plan | None = None
        self.message = ""
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
        assert self._process.stdin is not None
        self._process.stdin.write(json.dumps(request) + "\n")
        self._process.stdin.flush()
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    @property
    def is_running(self) -> bool:
        """Whether more may come."""
        return self._reader.is_alive()

    @property
    def elapsed_s(self) -> float:
        """Seconds since the start."""
        return time.monotonic() - self._started

    @property
    def share(self) -> float:
        """Share of the time limit that has passed (0 to 1)."""
        return min(1.0, self.elapsed_s / self.seconds)

    def stop(self) -> None:
        """Ask the job to stop and keep its best."""
        if self._process.stdin is not None and not self._process.stdin.closed:
            self._process.stdin.close()

    def _read(self) -> None:
        """Take in the events until the process ends."""
        assert self._process.stdout is not None
        for line in self._process.stdout:
            event = json.loads(line)
            if event["event"] == "better":
                self.stations, self.limit = event["stations"], event["limit"]
            elif event["event"] == "bound":
                self.bound = event["bound"]
            elif event["event"] == "done":
                self.plan = plan_of_job(event["plan"])
            else:
                self.message = event["message"]
        self._process.wait()
        self.stop()
        if self.plan is None and not self.message:
            self.message = "The balance ended without an answer. Start it again."
