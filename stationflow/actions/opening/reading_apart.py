"""A user's file is read in a process of its own: what it takes or breaks ends with that process."""

import pickle
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

from stationflow.actions.trouble import report_trouble
from stationflow.errors import SourceError

P = ParamSpec("P")
R = TypeVar("R")

ROOT = Path(__file__).parents[3]
MOST_MB = 2_000  # of addresses; what a file within the limits takes is below 1,500 MB of memory
MOST_S = 30  # of processor time; three times what a file within the limits takes
MOST_WAIT_S = 180  # of the clock on the wall
SMALLER = "Make the file smaller: take out rows, sheets and pictures that are not needed."


def read_apart(name: str, read: Callable[P, R], *given: P.args, **named: P.kwargs) -> R:
    """Return what a function of a module reads from a file of this name, by another process.

    Raises
    ------
    SourceError
        If the function raises it, or the process needs too much memory or time, or dies.
    """
    process = subprocess.Popen(
        [sys.executable, "-m", "stationflow.actions.opening.reading_apart"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        cwd=ROOT,
    )
    request = pickle.dumps((name, read, given, named, MOST_MB, MOST_S))
    try:
        answer, _ = process.communicate(request, timeout=MOST_WAIT_S)
    except subprocess.TimeoutExpired:
        problem = f"reading it was stopped after {MOST_WAIT_S} s."
        raise SourceError(name, problem, SMALLER) from None
    finally:
        process.kill()  # it has ended, unless it was too slow or this page was left
        process.wait()
    if process.returncode:
        problem = f"reading it broke off (the process ended with code {process.returncode}): it "
        problem += f"took more than {MOST_S} s of processor time, or it is damaged."
        raise SourceError(name, problem, SMALLER)
    is_read, value = pickle.loads(answer)  # from our own process, not from the file
    if not is_read:
        raise SourceError(*value)
    result: R = value
    return result


def _limit(most_mb: int, most_s: int) -> None:
    """Let the system end this process when it takes too much, where the system can."""
    try:
        import resource
    except ImportError:  # Windows
        return
    resource.setrlimit(resource.RLIMIT_AS, (most_mb << 20, most_mb << 20))
    resource.setrlimit(resource.RLIMIT_CPU, (most_s, most_s))


def main() -> None:
    """Answer one request."""
    name, read, given, named, most_mb, most_s = pickle.load(sys.stdin.buffer)
    _limit(most_mb, most_s)
    answer: tuple[bool, Any]
    try:
        answer = True, read(*given, **named)
    except SourceError as problem:
        answer = False, (problem.source, problem.problem, problem.hint)
    except MemoryError:
        answer = False, (name, f"reading it needs more than {most_mb} MB of memory.", SMALLER)
    except Exception as problem:
        answer = False, (name, report_trouble(problem), "")
    pickle.dump(answer, sys.stdout.buffer)


if __name__ == "__main__":
    main()
