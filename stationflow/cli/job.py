"""``python -m stationflow.cli.job``: balance one line for the app, in a process of its own.

One JSON request comes in on standard input; the plans are stored by this process,
so that they are kept even when nobody waits for them any more. Events go out on
standard output, one JSON object a line: "begin" and "done" (or "refused") around
each plan asked for. The job stops, keeps its best and leaves out what it has not
begun when standard input is closed.
"""

import json
import os
import sys
import threading
from datetime import UTC, datetime
from typing import Any

from stationflow.actions.balancing_jobs import asked_plans, kept_plan
from stationflow.actions.trouble import report_trouble
from stationflow.balancing.balance import Progress
from stationflow.errors import StationflowError

NICENESS = 5
"""How far a job steps back behind the app, where the system knows that."""


class JobProgress(Progress):
    """Writes events to standard output; stops when standard input is closed."""

    def __init__(self) -> None:
        self._stop = threading.Event()
        threading.Thread(target=self._wait, daemon=True).start()

    def should_stop(self) -> bool:
        """Return whether the app asked to stop, or is gone."""
        return self._stop.is_set()

    def on_better(self, stations: int, limit: float) -> None:
        """Tell that a better plan was found."""
        tell(event="better", stations=stations, limit=limit)

    def on_bound(self, bound: float) -> None:
        """Tell that less is proven impossible."""
        tell(event="bound", bound=bound)

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
    for address, asked in asked_plans(request):
        if progress.should_stop() and len(request["plans"]) > 1:
            break
        tell(event="begin", method=asked.settings.method)
        try:
            plan = kept_plan(address, asked, at=datetime.now(UTC), progress=progress)
            tell(event="done", plan=plan)
        except StationflowError as problem:
            tell(event="refused", message=str(problem))
        except Exception as problem:
            tell(event="refused", message=report_trouble(problem))


if __name__ == "__main__":
    main()
