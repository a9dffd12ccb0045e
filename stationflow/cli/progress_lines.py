"""Progress of a long balance on the command line, and stopping it kindly."""

import json
import signal
import threading
import time
from types import FrameType

import typer

from stationflow.balancing.curve.cycle_curve import CurveProgress
from stationflow.balancing.progress import Progress
from stationflow.model import CurvePoint


class PlainProgress(Progress, CurveProgress):
    """Says nothing; an interrupt or a request to end stops the method, which keeps its best."""

    def __init__(self) -> None:
        self._stop = threading.Event()
        for request in (signal.SIGINT, signal.SIGTERM):
            signal.signal(request, self._ask)

    def should_stop(self) -> bool:
        """Return whether somebody asked to stop."""
        return self._stop.is_set()

    def on_prepare(self) -> None:
        """Say that the search is made ready."""
        typer.echo("Preparing the search; this is done once on a machine.", err=True)

    def _ask(self, _request: int, _frame: FrameType | None) -> None:
        """Note the request; a second one ends the program at once."""
        if self._stop.is_set():
            raise KeyboardInterrupt
        self._stop.set()


class LineProgress(PlainProgress):
    """Writes what happens as JSON lines to standard error."""

    def __init__(self) -> None:
        super().__init__()
        self._started = time.monotonic()

    def on_prepare(self) -> None:
        """Write that the search is made ready."""
        self._write({"event": "prepare"})

    def on_better(self, stations: int, limit: float) -> None:
        """Write that a better plan was found."""
        self._write({"event": "better", "stations": stations, "limit": limit})

    def on_bound(self, bound: float) -> None:
        """Write that less is proven impossible."""
        self._write({"event": "bound", "bound": bound})

    def on_point(self, point: CurvePoint) -> None:
        """Write that more is known of a point of a curve."""
        self._write(
            {
                "event": "point",
                "stations": point.stations,
                "cycle_time": point.cycle,
                "lower_bound": point.lower_bound,
            }
        )

    def _write(self, line: dict[str, object]) -> None:
        """Write one line with the time since the start, in seconds."""
        line["seconds"] = round(time.monotonic() - self._started, 3)
        typer.echo(json.dumps(line), err=True)
