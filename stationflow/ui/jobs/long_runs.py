"""Long runs in processes of their own, kept by the server and not by one browser.

The registry lives as long as the server. Whoever opens a page sees what runs, after a
reload and in a second browser too.
"""

import os
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import count
from typing import Any

import streamlit as st

from stationflow.actions.jobs.long_jobs import JobRequest, job_request, plan_of_job
from stationflow.balancing.curve.points_so_far import curve_so_far
from stationflow.balancing.methods import METHODS
from stationflow.model import Author, BalanceSettings, CurvePoint, CurveSettings, CycleCurve, Plan
from stationflow.storage import Draft
from stationflow.ui.jobs.job_process import Job, JobState

__all__ = ["BalanceJob", "CurveJob", "Job", "JobRegistry", "JobState", "registry"]

QUICK_S = 1.0
"""Time in seconds that a method without a time limit is counted with in the progress."""


class BalanceJob(Job):
    """One request to balance a line, by one method or several in turn.

    Attributes
    ----------
    settings
        What is asked, one after the other.
    method
        Name of the method at work.
    stations, limit
        Of the best plan so far by this method; None: none yet.
    bound
        Lower bound this method has proven so far.
    plans
        What came out so far; a plan without a number had no stations.
    """

    def __init__(self, number: int, request: JobRequest) -> None:
        super().__init__(number, request)
        self.settings = tuple(_timed(each) for each in request.balances)
        self.method = self.settings[0].method
        self.stations: int | None = None
        self.limit: float | None = None
        self.bound: float | None = None
        self.plans: list[Plan] = []
        self._answers = 0
        self._step_started = time.monotonic()

    @property
    def share(self) -> float:
        """Share of the time it may take that has passed (0 to 1)."""
        spans = [each.seconds or QUICK_S for each in self.settings]
        done = sum(spans[: self._answers])
        if self._answers < len(spans) and self.state == JobState.RUNNING:
            done += min(spans[self._answers], time.monotonic() - self._step_started)
        return min(1.0, done / sum(spans))

    @property
    def is_answered(self) -> bool:
        """Whether every plan asked for has come, or those before it was stopped."""
        return self._answers >= len(self.settings) or bool(self.is_stopping and self._answers)

    @property
    def step(self) -> int:
        """Which of the methods is at work, from 1."""
        return min(self._answers + 1, len(self.settings))

    def start(self, when_over: Callable[[], None]) -> None:
        """Start the process; `when_over` is called when it has ended."""
        self._step_started = time.monotonic()
        super().start(when_over)

    def take(self, event: dict[str, Any]) -> None:
        """Take in one event."""
        kind = event["event"]
        self.is_preparing = kind == "prepare"
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
        elif kind == "refused":
            self.message = event["message"]
            self._answers += 1


class CurveJob(Job):
    """One request for the stations-against-cycle curve of a line.

    Attributes
    ----------
    settings
        What is asked.
    points
        What is known of each number of stations so far.
    """

    def __init__(self, number: int, request: JobRequest) -> None:
        super().__init__(number, request)
        assert request.curve is not None
        self.settings = request.curve
        self.points: dict[int, CurvePoint] = {}
        self._is_done = False

    @property
    def share(self) -> float:
        """Share of the points that are proven, or of the time, whichever is more (0 to 1)."""
        curve = self.curve
        proven = 1 - len(curve.open_points) / len(curve.points) if curve else 0.0
        passed = self.elapsed_s / self.settings.seconds if self.settings.seconds else 0.0
        return min(1.0, max(proven, passed))

    @property
    def is_answered(self) -> bool:
        """Whether the curve is kept, or was refused."""
        return self._is_done

    @property
    def curve(self) -> CycleCurve | None:
        """The curve as far as it is known; None: nothing is known yet."""
        return curve_so_far(self.line, list(self.points.values()))

    def take(self, event: dict[str, Any]) -> None:
        """Take in one event."""
        kind = event["event"]
        self.is_preparing = kind == "prepare"
        if kind == "point":
            cycle, bound = event["cycle_time"], event["lower_bound"]
            point = CurvePoint(stations=event["stations"], cycle=cycle, lower_bound=bound)
            self.points = {**self.points, point.stations: point}
        elif kind == "done":
            self._is_done = True
        elif kind == "refused":
            self.message = event["message"]
            self._is_done = True


class JobRegistry:
    """All jobs of the server: at most one at work for each line, on as many cores as there are.

    A job that may use several cores counts with all of them, and waits until so many are free;
    one that asks for more than there are runs alone. No later job overtakes one that waits for
    cores, so that many small jobs never keep a large one waiting.

    Parameters
    ----------
    most
        Cores to be used at once; None: all of the machine.
    """

    def __init__(self, most: int | None = None) -> None:
        self.most = most or os.cpu_count() or 1
        self._jobs: list[Job] = []
        self._numbers = count(1)
        self._lock = threading.RLock()

    def add(
        self,
        address: str,
        draft: Draft,
        line: str,
        settings: Sequence[BalanceSettings],
        *,
        by: Author,
    ) -> BalanceJob:
        """Take in a job; it starts at once where a core is free and its line is idle."""
        request = job_request(address, draft, line, *settings, by=by)
        with self._lock:
            job = BalanceJob(next(self._numbers), request)
            self._jobs.append(job)
            self._start_next()
        return job

    def add_curve(
        self, address: str, draft: Draft, line: str, settings: CurveSettings, *, by: Author
    ) -> CurveJob:
        """Take in a job for the curve of a line; it starts as other jobs do."""
        request = job_request(address, draft, line, curve=settings, by=by)
        with self._lock:
            job = CurveJob(next(self._numbers), request)
            self._jobs.append(job)
            self._start_next()
        return job

    def active(self, product: str | None = None, line: str | None = None) -> list[Job]:
        """Return the jobs that run or wait, of one product or line if said."""
        return [job for job in self.known(product, line) if job.is_active]

    def known(self, product: str | None = None, line: str | None = None) -> list[Job]:
        """Return the jobs that are still remembered, oldest first."""
        with self._lock:
            return [
                job
                for job in self._jobs
                if product in (None, job.product) and line in (None, job.line)
            ]

    def stop(self, job: Job) -> None:
        """Stop a job: one at work keeps its best, one that waits is not begun."""
        with self._lock:
            if job.state == JobState.WAITING:
                job.give_up()
                return
        job.stop()

    def forget(self, job: Job) -> None:
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
                if job.state != JobState.WAITING or busy:
                    continue
                if running and sum(j.cores for j in running) + job.cores > self.most:
                    break
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
    return replace(settings, seconds=METHODS[settings.method].seconds)


@st.cache_resource(show_spinner=False)
def registry(address: str) -> JobRegistry:
    """Return the jobs of the store at an address, one registry for all browsers."""
    return JobRegistry()
