"""What happens on the way as JSON lines, on the command line and in jobs, and stopping kindly."""

import json
import signal
import threading
import time
from types import FrameType
from typing import Any

from stationflow.balancing.progress import Progress
from stationflow.cli.terminal import say
from stationflow.model import CurvePoint


class EventProgress(Progress):
    """Tells of everything as an event: its name and what belongs to it."""

    def __init__(self) -> None:
        self._stop = threading.Event()

    def tell(self, **event: Any) -> None:
        """Tell of one event; this one keeps it to itself."""

    def should_stop(self) -> bool:
        """Return whether somebody asked to stop."""
        return self._stop.is_set()

    def on_prepare(self) -> None:
        """Tell that the search is made ready."""
        self.tell(event="prepare")

    def on_better(self, stations: int, limit: float) -> None:
        """Tell that a better plan was found."""
        self.tell(event="better", stations=stations, limit=limit)

    def on_bound(self, bound: float) -> None:
        """Tell that less is proven impossible."""
        self.tell(event="bound", bound=bound)

    def on_point(self, point: CurvePoint) -> None:
        """Tell that more is known of a point of a curve."""
        self.tell(
            event="point",
            stations=point.stations,
            cycle_time=point.cycle,
            lower_bound=point.lower_bound,
        )

    def on_replication(self, done: int, of: int) -> None:
        """Tell how many replications are done."""
        self.tell(event="replication", done=done, of=of)


class PlainProgress(EventProgress):
    """Says little; an interrupt or a request to end stops the method, which keeps its best."""

    def __init__(self) -> None:
        super().__init__()
        for request in (signal.SIGINT, signal.SIGTERM):
            signal.signal(request, self._ask)

    def on_prepare(self) -> None:
        """Say that what is compiled is made ready."""
        say("Compiling what computes; this is done once on a machine.", err=True)

    def _ask(self, _request: int, _frame: FrameType | None) -> None:
        """Note the request; a second one ends the program at once."""
        if self._stop.is_set():
            raise KeyboardInterrupt
        self._stop.set()


class LineProgress(PlainProgress):
    """Writes each event to standard error, with the time since the start in seconds."""

    def __init__(self) -> None:
        super().__init__()
        self._started = time.monotonic()

    def on_prepare(self) -> None:
        """Tell that the search is made ready."""
        self.tell(event="prepare")

    def tell(self, **event: Any) -> None:
        """Write one event."""
        seconds = round(time.monotonic() - self._started, 3)
        say(json.dumps(event | {"seconds": seconds}), err=True)
