"""Long runs in processes of their own, kept by the server and not by one browser.

The registry lives as long as the server. Whoever opens a page sees what runs, after a
reload and in a second browser too.
"""

import os
import threading
from itertools import count

import streamlit as st

from stationflow.actions.jobs.long_jobs import Asked, job_request
from stationflow.model import Author
from stationflow.storage import Draft
from stationflow.ui.jobs.job_process import Job, JobState

KEPT = 20  # so many ended jobs are remembered, for the pages that wait for them


class JobRegistry:
    """All jobs of the server: at most one at work for each line, on as many cores as there are.

    A job that may use several cores counts with all of them, and waits until so many are free;
    one that asks for more than there are runs alone. No later job overtakes one that waits for
    cores, so that many small jobs never keep a large one waiting.
    """

    def __init__(self, most: int | None = None) -> None:
        self.most = most or os.cpu_count() or 1  # cores to be used at once
        self._jobs: list[Job] = []
        self._numbers = count(1)
        self._lock = threading.RLock()

    def add(
        self,
        address: str,
        draft: Draft,
        line: str,
        *asked: Asked,
        by: Author,
    ) -> Job:
        """Take in a job; it starts at once where a core is free and its line is idle."""
        request = job_request(address, draft, line, *asked, by=by)
        with self._lock:
            job = Job(next(self._numbers), request)
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
                job.stop()
                return
        job.stop()  # it may have to wait for its pipe

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


@st.cache_resource(show_spinner=False)
def registry(address: str) -> JobRegistry:
    """Return the jobs of the store at an address, one registry for all browsers."""
    return JobRegistry()
