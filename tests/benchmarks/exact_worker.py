"""One question to one solver, measured, in a process of its own.

A worker process imports its solver, and for Stationflow warms it up on a small line,
before any clock starts. It answers questions until it is closed; one that does not
answer long after its limit is ended, and the line says so.
"""

import importlib
import multiprocessing
import platform
import resource
import subprocess
import sys
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import cache
from importlib.metadata import version
from multiprocessing.connection import Connection
from pathlib import Path
from time import perf_counter, process_time
from typing import Any

from stationflow import __version__
from stationflow.balancing.balance import balance
from stationflow.model import BalanceSettings, Ending
from tests.benchmarks.exact_peers import PEERS, Answer, fault
from tests.benchmarks.exact_questions import Question
from tests.benchmarks.made_lines import made_line

OURS = "ours"
SOLVERS = (OURS, *PEERS)
LIBRARIES = {
    "cabs": ("didppy", "didppy"),
    "cp-sat": ("ortools", "ortools.sat.python.cp_model"),
    "highs": ("highspy", "highspy"),
}
"""Package and module of each peer."""

PATIENCE_S = 120.0
"""How long after its limit a worker may still be writing its model or closing its search."""

WARM_UP = (
    BalanceSettings(method="exact", limit=1394, seconds=5),
    BalanceSettings(method="exact", stations=18, seconds=5),
)
"""Asked of a line of 40 tasks first, hard enough that every compiled part is called."""

Line = dict[str, Any]
"""One line of the results file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asking:
    """How a solver is asked."""

    solver: str
    seconds: float
    cores: int = 1
    label: str = ""

    @property
    def version(self) -> str:
        """The solver's version, ours with the label given to a state of the code."""
        if self.solver == OURS:
            return f"{__version__}{f' {self.label}' if self.label else ''}"
        return version(LIBRARIES[self.solver][0])

    def key(self, question: Question) -> tuple[Any, ...]:
        """Return what tells the line of a question from all others."""
        return (question.name, self.solver, self.version, self.seconds, self.cores)


def key(line: Line) -> tuple[Any, ...]:
    """Return the same of a line of the results file."""
    return tuple(line[name] for name in ("instance", "solver", "version", "limit_s", "cores"))


class Worker:
    """A process that answers questions, one at a time."""

    def __init__(self, asking: Asking) -> None:
        self.asking = asking
        self.warm_up_s = 0.0
        self._process: Any = None
        self._pipe: Connection | None = None

    def ask(self, question: Question) -> Line:
        """Return the measured line of a question."""
        started = perf_counter()
        if self._process is None:
            self._start()
            started = perf_counter()
        assert self._pipe is not None
        self._pipe.send(question)
        measured: Line = {}
        try:
            if self._pipe.poll(self.asking.seconds + PATIENCE_S):
                measured = self._pipe.recv()
            else:
                measured = {"note": "no answer long after the limit: ended"}
        except EOFError:
            measured = {"note": "the process died"}
        if "status" not in measured:
            measured |= {"status": "none", "wall_s": round(perf_counter() - started, 3)}
            self.close()
        elif self.asking.solver != OURS:
            self.close()  # a peer starts each question with fresh memory
        return _line(question, self.asking, measured)

    def close(self) -> None:
        """End the process."""
        if self._process is not None:
            self._process.kill()
            self._process.join()
        self._process = self._pipe = None

    def _start(self) -> None:
        """Start the process and wait until it is warm."""
        context = multiprocessing.get_context("spawn")
        self._pipe, far = context.Pipe()
        self._process = context.Process(target=_serve, args=(far, self.asking))
        self._process.start()
        far.close()
        self.warm_up_s = self._pipe.recv()


def _serve(pipe: Connection, asking: Asking) -> None:
    """Warm up, then answer until the pipe is closed."""
    started = perf_counter()
    if asking.solver == OURS:
        for settings in WARM_UP:
            balance(made_line(40, seed=1), replace(settings, cores=asking.cores))
    else:
        importlib.import_module(LIBRARIES[asking.solver][1])
    pipe.send(perf_counter() - started)
    while True:
        try:
            question = pipe.recv()
        except EOFError:
            return
        pipe.send(measure(question, asking))


def measure(question: Question, asking: Asking) -> Line:
    """Return answer, time, processor time and memory of one question."""
    _forget_memory_peak()
    started, worked = perf_counter(), process_time() + _children_s()
    try:
        answer = _ask_ours(question, asking) if asking.solver == OURS else _peer(question, asking)
    except (ArithmeticError, LookupError, MemoryError, RuntimeError, TypeError, ValueError) as e:
        answer = Answer(plan=[], bound=0, is_proved=False, note=f"{type(e).__name__}: {e}")
    wall_s = perf_counter() - started
    cpu_s = process_time() + _children_s() - worked
    return judged(question, answer) | {
        "wall_s": round(wall_s, 4),
        "cpu_s": round(cpu_s, 4),
        "memory_mb": round(_memory_peak_mb()),
    }


def judged(question: Question, answer: Answer) -> Line:
    """Return status, value, bound and nodes of an answer whose plan is checked here."""
    status, value, note = "none", None, answer.note
    if answer.plan:
        work = question.work
        loads: dict[int, int] = {}
        for station, time in zip(answer.plan, work.times, strict=True):
            loads[station] = loads.get(station, 0) + time
        stations, cycle = max(answer.plan), max(loads.values())
        value = stations if question.stations is None else cycle
        wrong = fault(work.times, work.predecessors, answer.plan, question.takt or cycle)
        if question.stations is not None and stations > question.stations:
            wrong = f"{stations} stations"
        status = "wrong" if wrong else "proved" if answer.is_proved else "found"
        note = wrong or note
    return {
        "status": status,
        "stations" if question.stations is None else "cycle": value,
        "bound": int(answer.bound) if answer.bound == int(answer.bound) else answer.bound,
        "nodes": answer.nodes,
        **({"note": note} if note else {}),
    }


def _peer(question: Question, asking: Asking) -> Answer:
    """Ask a peer, which knows the fewest stations only."""
    if question.takt is None:
        raise ValueError(f"{asking.solver} is asked for the fewest stations only")
    work = question.work
    return PEERS[asking.solver](work.times, work.predecessors, question.takt, asking.seconds)


def _ask_ours(question: Question, asking: Asking) -> Answer:
    """Ask Stationflow's exact method."""
    work = question.work
    result = balance(
        work,
        BalanceSettings(
            method="exact",
            limit=question.takt,
            stations=question.stations,
            seconds=asking.seconds,
            cores=asking.cores,
        ),
    )
    at = {number: position for position, number in enumerate(work.numbers)}
    plan = [0] * len(work.times) if result.stations else []
    for k, station in enumerate(result.stations, 1):
        for number in station.tasks:
            plan[at[number]] = k
    return Answer(
        plan=plan,
        bound=result.proof.lower_bound,
        is_proved=result.ending == Ending.OPTIMAL,
        nodes=getattr(result, "nodes", None),
    )


def _line(question: Question, asking: Asking, measured: Line) -> Line:
    """Return a line of the results file."""
    return {
        "set": question.group,
        "instance": question.name,
        "tasks": len(question.work.times),
        "solver": asking.solver,
        "version": asking.version,
        "limit_s": asking.seconds,
        "cores": asking.cores,
        **measured,
        "date": datetime.now(UTC).isoformat(timespec="seconds"),
        "machine": machine(),
        "commit": commit(),
    }


@cache
def machine() -> str:
    """Return processor, cores and Python of this machine."""
    name = platform.processor() or platform.machine()
    cpuinfo = Path("/proc/cpuinfo")
    if cpuinfo.is_file():
        for row in cpuinfo.read_text("utf-8").splitlines():
            if row.startswith("model name"):
                name = row.partition(":")[2].strip()
                break
    return f"{name}, {multiprocessing.cpu_count()} cores, Python {platform.python_version()}"


@cache
def commit() -> str:
    """Return the commit of the code measured, with "+" if it has been changed since."""
    try:
        done = subprocess.run(
            ["git", "describe", "--always", "--dirty=+", "--exclude=*"],
            cwd=Path(__file__).parent,
            capture_output=True,
            text=True,
            check=True,
        )
    except (OSError, subprocess.CalledProcessError):
        return ""
    return done.stdout.strip()


def _children_s() -> float:
    """Return the processor time of ended child processes, in seconds."""
    usage = resource.getrusage(resource.RUSAGE_CHILDREN)
    return usage.ru_utime + usage.ru_stime


def _forget_memory_peak() -> None:
    """Let the peak of memory start anew, where Linux can."""
    try:
        Path("/proc/self/clear_refs").write_text("5", "ascii")
    except OSError:
        return


def _memory_peak_mb() -> float:
    """Return the peak of memory since then, else since the start, in MB."""
    try:
        for row in Path("/proc/self/status").read_text("utf-8").splitlines():
            if row.startswith("VmHWM:"):
                return int(row.split()[1]) / 1000
    except OSError:
        pass
    kilobytes = 1 if sys.platform != "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / kilobytes / 1000
