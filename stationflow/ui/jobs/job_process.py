"""A long run in a process of its own: how it is started, listened to and stopped.

When the server ends, its children notice that their standard input is closed, keep their
best and end.
"""

import json
import math
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from enum import StrEnum
from pathlib import Path
from typing import Any

import psutil

from stationflow.actions.jobs.long_jobs import JOINT, REQUEST, Asked, JobRequest
from stationflow.actions.showing.simulating import SIMULATED
from stationflow.balancing.curve.points_so_far import curve_so_far
from stationflow.balancing.methods import METHODS
from stationflow.files.codec import PLAN
from stationflow.line.joint.joint_balance import JointBalance
from stationflow.line.simulation.simulated import Simulated, SimulationSettings
from stationflow.model import CurvePoint, CurveSettings, CycleCurve, Plan, RebalanceSettings

ROOT = Path(__file__).parents[3]
GRACE_S = 15.0
"""Processor time a process has after Stop to store its best, however long that takes."""
LAST_GRACE_S = 2.0
FROZEN = (
    "The process did not stop when it was asked to and was ended; what is in the lists is whole. "
    "Start it again if you want more."
)
REBALANCED = 3  # plans that a rebalancing is counted with, each with its time limit
QUICK_S = 1.0  # what a method without a time limit is counted with in the progress


class JobState(StrEnum):
    """How far a job is."""

    WAITING = "waiting"  # for a core, or for another run on its line
    RUNNING = "running"
    ENDED = "ended"


class Job:
    """What is asked of one line, or of all together, served by a process."""

    def __init__(self, number: int, request: JobRequest) -> None:
        self.number = number  # tells jobs of this server apart
        self.product, self.line, self.by = request.product, request.line, request.by.name
        self.asked_by, self.asked = request.by, request.asked
        self.is_curve = request.curve is not None
        self.is_simulation = request.simulation is not None
        self.checksum, self.rebalance = request.checksum, request.rebalance
        self.cores = max(_cores(each) for each in request.asked)
        self.state = JobState.WAITING
        self.message = ""  # why there is less than was asked
        self.is_preparing = False  # its method is made ready, once on this machine
        self.is_stopping = False
        self.meanwhile: Plan | None = None  # of a rule, not stored: stands until there is an answer
        self.plans: list[Plan] = []  # one without a number had no stations
        self.rebalanced: list[Plan] = []  # to choose from, not stored
        self.simulated: Simulated | None = None  # with the plans it is of, not stored
        self.plan_ids: tuple[int | None, ...] = ()
        self.replications: tuple[int, int] = (0, 0)  # done, and asked for
        self.joint: JointBalance | None = None  # all lines balanced at once, not stored
        # Of the best plan so far of the method at work, and the bound it has proven.
        self.stations: int | None = None
        self.limit: float | None = None
        self.bound: float | None = None
        self._points: dict[int, CurvePoint] = {}
        self._answers = 0
        self._request = request
        self._started = self._step_started = time.monotonic()
        self._process: subprocess.Popen[str] | None = None
        self._told = threading.Event()
        self._over = threading.Event()

    @property
    def where(self) -> str:
        """What it works on, as the subject of a sentence."""
        return f"Line {self.line}" if self.line else "The whole line"

    @property
    def step(self) -> int:
        """Which of the things asked for is at work, from 1."""
        return min(self._answers + 1, len(self.asked))

    @property
    def now(self) -> Asked:
        """What is at work."""
        return self.asked[self.step - 1]

    @property
    def curve(self) -> CycleCurve | None:
        """The curve as far as it is known; None: nothing is known yet."""
        return curve_so_far(self.line, list(self._points.values()))

    @property
    def share(self) -> float:
        """Share of its time that has passed, or of its points that are proven (0 to 1)."""
        spans = [_span_s(each) for each in self.asked]
        done = sum(spans[: self._answers])
        if self._answers < len(spans) and self.state == JobState.RUNNING:
            done += min(spans[self._answers], time.monotonic() - self._step_started)
        curve = self.curve
        proven = 1 - len(curve.open_points) / len(curve.points) if curve else 0.0
        if self.replications[1]:
            proven = self.replications[0] / self.replications[1]
        return min(1.0, max(proven, done / sum(spans)))

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
        """Ask the job to stop and keep its best; one that was never begun ends."""
        self.is_stopping = True
        if self._process is None:
            self._end()
            return
        threading.Thread(target=self._see_it_end, args=(self._process,), daemon=True).start()
        if self._told.is_set():
            self._close()

    def _see_it_end(self, process: "subprocess.Popen[str]") -> None:
        """End a process that does not stop by itself, first kindly, then for certain."""
        for grace, end in ((GRACE_S, process.terminate), (LAST_GRACE_S, process.kill)):
            if self._has_ended(process.pid, grace):
                return
            self.message = FROZEN
            end()

    def _has_ended(self, pid: int, grace: float) -> bool:
        """Wait while it works for so long; a frozen one takes no processor time meanwhile."""
        first = last = _processor_s(pid)
        while not self._over.wait(grace):
            now = _processor_s(pid)
            if now == last or now - first > grace:
                return False
            last = now
        return True

    def _close(self) -> None:
        """Close the standard input of the process, by which it knows that it has to stop."""
        assert self._process is not None
        assert self._process.stdin is not None
        with suppress(OSError):  # it has gone already
            self._process.stdin.close()

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
            self._told.set()
            if self.is_stopping:  # asked for before the process knew what to do
                self._close()
            for line in process.stdout:
                self._take(json.loads(line))
        except (OSError, ValueError):  # it died while it was spoken to, or in the middle of a line
            process.kill()
        code = process.wait()
        self._close()
        # Stopped, it leaves out what it has not begun.
        if self._answers < len(self.asked) and not (self.is_stopping and self._answers):
            self.message = self.message or _dead(code)
        self._end()
        when_over()

    def _take(self, event: dict[str, Any]) -> None:
        kind = event["event"]
        self.is_preparing = kind == "prepare"
        if kind == "begin":
            self._step_started = time.monotonic()
            self.stations = self.limit = self.bound = None
        elif kind == "better":
            self.stations, self.limit = event["stations"], event["limit"]
        elif kind == "replication":
            self.replications = event["done"], event["of"]
        elif kind == "bound":
            self.bound = event["bound"]
        elif kind == "point":
            cycle, bound = event["cycle_time"], event["lower_bound"]
            point = CurvePoint(stations=event["stations"], cycle=cycle, lower_bound=bound)
            self._points = {**self._points, point.stations: point}
        elif kind in ("done", "refused"):
            self.message = event.get("message", self.message)
            if "plan" in event:
                self.plans.append(PLAN.from_json(event["plan"]))
            if "simulated" in event:
                self.simulated = SIMULATED.from_json(event["simulated"])
                self.plan_ids = tuple(event["plans"])
            if "joint" in event:
                self.joint = JOINT.from_json(event["joint"])
            self.rebalanced += [PLAN.from_json(text) for text in event.get("rebalanced", ())]
            self._answers += 1

    def _end(self) -> None:
        self.state = JobState.ENDED
        self._over.set()


def _cores(asked: Asked) -> int:
    return 1 if isinstance(asked, SimulationSettings) else asked.cores or 1


def _span_s(asked: Asked) -> float:
    """Return the time in seconds that something asked for is counted with."""
    if isinstance(asked, SimulationSettings):
        return math.inf  # told by its replications
    if isinstance(asked, CurveSettings):
        return asked.seconds or math.inf
    if isinstance(asked, RebalanceSettings):
        return asked.seconds * (1 if asked.stations else REBALANCED)
    return asked.seconds or METHODS[asked.method].seconds or QUICK_S


def _processor_s(pid: int) -> float:
    """Return the processor time a process has taken so far; one that is gone takes no more."""
    try:
        times = psutil.Process(pid).cpu_times()
    except psutil.NoSuchProcess:
        return 0.0
    return float(times.user + times.system)


def _dead(code: int) -> str:
    """Say that a process ended without its answer."""
    how = f"by signal {-code}" if code < 0 else f"with code {code}"
    return (
        f"The process ended {how} before it gave its answer; what is in the lists is whole. "
        "Start it again; if that happens again, give it less time or free memory."
    )
