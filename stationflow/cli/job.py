"""``python -m stationflow.cli.job``: one long run for the app, in a process of its own.

One request comes in on standard input: to balance a line, for the curve of a line, or to
simulate all lines. Plans and curves are stored by this process, so that they are kept even when
nobody waits for them any more. Events go out on standard output, one JSON object a line: "begin"
and "done" (or "refused") around each thing asked for, and what becomes known in between. The job
stops, keeps its best and leaves out what it has not begun when standard input is closed.
"""

import json
import os
import sys
import threading
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from stationflow.actions.jobs.long_jobs import REQUEST, served
from stationflow.actions.trouble import report_trouble
from stationflow.cli.progress_lines import EventProgress
from stationflow.errors import StationflowError

NICENESS = 5
"""How far a job steps back behind the app, where the system knows that."""


class PipeProgress(EventProgress):
    """Writes events to standard output; stops when standard input is closed."""

    def __init__(self) -> None:
        super().__init__()
        threading.Thread(target=self._wait, daemon=True).start()

    def tell(self, **event: Any) -> None:
        """Write one event."""
        sys.stdout.write(json.dumps(event) + "\n")
        sys.stdout.flush()

    def _wait(self) -> None:
        """Wait until standard input is closed."""
        while sys.stdin.read(1):
            pass
        self._stop.set()


def main() -> None:
    """Serve one request."""
    if hasattr(os, "nice"):  # the pages stay quick on a machine with few cores
        os.nice(NICENESS)
    request = REQUEST.from_json(sys.stdin.readline())
    progress = PipeProgress()
    for asked in request.asked:
        if progress.should_stop() and len(request.asked) > 1:
            break
        progress.tell(event="begin")
        by = replace(request.by, at=datetime.now(UTC))
        try:
            progress.tell(**served(request, asked, by=by, progress=progress))
        except StationflowError as problem:
            progress.tell(event="refused", message=str(problem))
        except Exception as problem:
            progress.tell(event="refused", message=report_trouble(problem))


if __name__ == "__main__":
    main()
