"""``python -m stationflow.cli.job``: one long run for the app, in a process of its own.

One JSON request comes in on standard input: to balance a line, or for the curve of a
line. What comes out is stored by this process, so that it is kept even when nobody waits
for it any more. Events go out on standard output, one JSON object a line: "begin" and
"done" (or "refused") around each plan or curve asked for, and what becomes known in
between. The job stops, keeps its best and leaves out what it has not begun when standard
input is closed.
"""

import json
import os
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import Any

from stationflow.actions.jobs.balancing_jobs import asked_plans, kept_plan
from stationflow.actions.jobs.curve_jobs import kept_curve, point_event, refusal
from stationflow.actions.trouble import report_trouble
from stationflow.balancing.curve.cycle_curve import CurveProgress
from stationflow.balancing.progress import Progress
from stationflow.errors import StationflowError
from stationflow.model import CurvePoint

NICENESS = 5
"""How far a job steps back behind the app, where the system knows that."""


class JobProgress(Progress, CurveProgress):
    """Writes events to standard output; stops when standard input is closed."""

    def __init__(self) -> None:
        self._stop = threading.Event()
        threading.Thread(target=self._wait, daemon=True).start()

    def should_stop(self) -> bool:
        """Return whether the app asked to stop, or is gone."""
        return self._stop.is_set()

    def on_prepare(self) -> None:
        """Tell that the search is made ready."""
        tell(event="prepare")

    def on_better(self, stations: int, limit: float) -> None:
        """Tell that a better plan was found."""
        tell(event="better", stations=stations, limit=limit)

    def on_bound(self, bound: float) -> None:
        """Tell that less is proven impossible."""
        tell(event="bound", bound=bound)

    def on_point(self, point: CurvePoint) -> None:
        """Tell that more is known of a point of a curve."""
        tell(**point_event(point))

    def _wait(self) -> None:
        """Wait until standard input is closed."""
        while sys.stdin.read(1):
            pass
        self._stop.set()


def tell(**event: Any) -> None:
    """Write one event."""
    sys.stdout.write(json.dumps(event) + "\n")
    sys.stdout.flush()


def main() -> None:
    """Serve one request."""
    if hasattr(os, "nice"):  # the pages stay quick on a machine with few cores
        os.nice(NICENESS)
    request = json.loads(sys.stdin.readline())
    progress = JobProgress()
    SERVED[request["kind"]](request, progress)


def _serve_balances(request: dict[str, Any], progress: JobProgress) -> None:
    """Balance a line, by one method or several in turn."""
    for address, asked in asked_plans(request):
        if progress.should_stop() and len(request["plans"]) > 1:
            break
        tell(event="begin", method=asked.settings.method)
        with _told():
            plan = kept_plan(address, asked, at=datetime.now(UTC), progress=progress)
            tell(event="done", plan=plan)


def _serve_curve(request: dict[str, Any], progress: JobProgress) -> None:
    """Make the curve of a line."""
    tell(event="begin")
    with _told():
        why = refusal(kept_curve(request, at=datetime.now(UTC), progress=progress))
        if why:
            tell(event="refused", message=why)
        else:
            tell(event="done")


@contextmanager
def _told() -> Iterator[None]:
    """Tell what went wrong as an event."""
    try:
        yield
    except StationflowError as problem:
        tell(event="refused", message=str(problem))
    except Exception as problem:
        tell(event="refused", message=report_trouble(problem))


SERVED: dict[str, Callable[[dict[str, Any], JobProgress], None]] = {
    "balance": _serve_balances,
    "curve": _serve_curve,
}
"""What serves each kind of request."""


if __name__ == "__main__":
    main()
