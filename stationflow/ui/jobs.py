"""Balances that run in processes of their own, kept by the server and not by one browser.

The registry lives as long as the server. Whoever opens a page sees what runs, after a
reload and in a second browser too. When the server ends, its children notice that their
standard input is closed, keep their best and end.
"""

import json
import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from enum import StrEnum
from itertools import count
from pathlib import Path
from typing import Any

import streamlit as st

from stationflow.actions.balancing_jobs import job_request, plan_of_job
from stationflow.actions.methods import methods
from stationflow.model import BalanceSettings, Plan
from stationflow.storage import Draft

ROOT = Path(__file__).parents[2]
QUICK_S = 1.0
"""Time in seconds that a method without a time limit is counted with in the progress."""


class JobState(StrEnum):
    """How far a job is."""

    WAITING = "waiting"  # for a core, or for another balance of its line
    RUNNING = "running"
    ENDED = "ended"


class BalanceJob:
    """One request to balance a line, by one method or several in turn.

    Attributes
    ----------
    number
        Tells jobs of this server apart.
    product, line
        What is balanced.
    settings
        What is asked, one after the other.
    by
        Who asked.
    state
        How far it is.
    method
        Name of the method at work.
    stations, limit
        Of the best plan so far by this method; None: none yet.
    bound
        Lower bound this method has proven so far.
    plans
        What came out so far; a plan without a number had no stations.
    message
        Why there is less than was asked; empty: nothing went wrong.
    is_stopping
        Whether it was asked to stop.
    """

    def __init__(
        self, number: int, request: dict[str, Any], settings: Sequence[BalanceSettings], plan: Plan
    ) -> None:
        self.number = number
        self.product = plan.product
        self.line = plan.line
        self.by = plan.by
        self.settings = tuple(settings)
        self.state = JobState.WAITING
        self.method = settings[0].method
        self.stations: int | None = None
        self.limit: float | None = None
        self.bound: float | None = None
        self.plans: list[Plan] = []
        self.message = ""
        self.is_stopping = False
        self._request = request
        self._answers = 0
        self._started = self._step_started = time.monotonic()
        self._process: subprocess.Popen[str] | None = None
        self._over = threading.Event()

    @property
    def is_active(self) -> bool:
        """Whether more may come."""
        return self.state != JobState.ENDED

    @property
    def elapsed_s(self) -> float:
        """Seconds since it began to run; 0 while it waits."""
        return 0.0 if self.state == JobState.WAITING else time.monotonic() - self._started

    @property
    def share(self) -> float:
        """Share of the time it may take that has passed (0 to 1)."""
        spans = [each.seconds or QUICK_S for each in self.settings]
        done = sum(spans[: self._answers])
        if self._answers < len(spans) and self.state == JobState.RUNNING:
            done += min(spans[self._answers], time.monotonic() - self._step_started)
        return min(1.0, done / sum(spans))

    @property
    def step(self) -> int:
        """Which of the methods is at work, from 1."""
        return min(self._answers + 1, len(self.settings))

    def start(self, when_over: Callable[[], None]) -> None:
        """Start the process; `when_over` is called when it has ended."""
        self.state = JobState.RUNNING
        self._started = self._step_started = time.monotonic()
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
            process.stdin.write(json.dumps(self._request) + "\n")
            process.stdin.flush()
            for line in process.stdout:
                self._take(json.loads(line))
        except (OSError, ValueError):  # it died while it was spoken to, or in the middle of a line
            process.kill()
        code = process.wait()
        if self._answers < len(self.settings) and not (self.is_stopping and self._answers):
            self.message = self.message or _dead(code)
        self._end()
        when_over()

    def _end(self) -> None:
        """Note that nothing more will come."""
        self.state = JobState.ENDED
        self.stop()
        self._over.set()

    def _take(self, event: dict[str, Any]) -> None:
        """Take in one event."""
        kind = event["event"]
        if kind == "begin":
            self.method, self._step_started = event["method"], time.monotonic()
            self.stations = self.limit = self.bound = None
        elif kind == "better":
            self.stations, self.limit = event["stations"], event["limit"]
        elif kind == "bound":
            self.bound = event["bound"]
        elif kind == "done":
            self.plans.append(plan_of_job(event["plan"]))
            self._answers += 1
        else:
            self.message = event["message"]
            self._answers += 1


def _dead(code: int) -> str:
    """Say that a process ended without its answer."""
    how = f"by signal {-code}" if code < 0 else f"with code {code}"
    return (
        f"The process of the balance ended {how} before it gave its answer; plans in the list are "
        "whole. Start the balance again; if that happens again, give it less time or free memory."
    )


class JobRegistry:
    """All jobs of the server: at most one at work for each line, as many as there are cores."""

    def __init__(self, most: int | None = None) -> None:
        self.most = most or os.cpu_count() or 1
        self._jobs: list[BalanceJob] = []
        self._numbers = count(1)
        self._lock = threading.RLock()

    def add(
        self,
        address: str,
        draft: Draft,
        line: str,
        settings: Sequence[BalanceSettings],
        *,
        by: str,
    ) -> BalanceJob:
        """Take in a job; it starts at once where a core is free and its line is idle."""
        request = job_request(address, draft, line, *settings, by=by)
        first = plan_of_job(request["plans"][0])
        with self._lock:
            timed = [_timed(each) for each in settings]
            job = BalanceJob(next(self._numbers), request, timed, first)
            self._jobs.append(job)
            self._start_next()
        return job

    def active(self, product: str | None = None, line: str | None = None) -> list[BalanceJob]:
        """Return the jobs that run or wait, of one product or line if said."""
        return [job for job in self.known(product, line) if job.is_active]

    def known(self, product: str | None = None, line: str | None = None) -> list[BalanceJob]:
        """Return the jobs that are still remembered, oldest first."""
        with self._lock:
            return [
                job
                for job in self._jobs
                if product in (None, job.product) and line in (None, job.line)
            ]

    def stop(self, job: BalanceJob) -> None:
        """Stop a job: one at work keeps its best, one that waits is not begun."""
        with self._lock:
            if job.state == JobState.WAITING:
                job.give_up()
                return
        job.stop()

    def forget(self, job: BalanceJob) -> None:
        """Take an ended job off the list."""
        with self._lock:
            if not job.is_active and job in self._jobs:
                self._jobs.remove(job)

    def _start_next(self) -> None:
        """Start what may start, and forget jobs that ended well and long ago."""
        with self._lock:
            running = [job for job in self._jobs if job.state == JobState.RUNNING]
            for job in self._jobs:
                busy = any((j.product, j.line) == (job.product, job.line) for j in running)
                if job.state == JobState.WAITING and not busy and len(running) < self.most:
                    job.start(self._start_next)
                    running.append(job)
            ended = [job for job in self._jobs if not job.is_active]
            for job in ended[:-KEPT]:
                self._jobs.remove(job)


KEPT = 20
"""So many ended jobs are remembered, for the pages that wait for them."""


def _timed(settings: BalanceSettings) -> BalanceSettings:
    """Return settings with the method's own time limit where none is given."""
    if settings.seconds is not None:
        return settings
    return replace(settings, seconds=methods()[settings.method].seconds)


@st.cache_resource(show_spinner=False)
def registry(address: str) -> JobRegistry:
    """Return the jobs of the store at an address, one registry for all browsers."""
    return JobRegistry()
