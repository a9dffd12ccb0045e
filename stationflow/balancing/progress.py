"""How a caller hears of a long balance, and stops it."""

from stationflow.model import CurvePoint


class Progress:
    """What a caller may want to hear while a line is balanced. Does nothing by itself.

    Times are in the unit of the work. All are called in the process and thread of `balance`.
    """

    def on_start(self, method: str, tasks: int) -> None:
        """Say that a method begins on so many tasks."""

    def on_prepare(self) -> None:
        """Say that the method is made ready, which takes some seconds once on a machine."""

    def on_better(self, stations: int, limit: float) -> None:
        """Say that a better plan was found: its stations and the limit it keeps."""

    def on_bound(self, bound: float) -> None:
        """Say that the lower bound rose: stations, or a time when the goal is one."""

    def on_point(self, point: CurvePoint) -> None:
        """Say that more is known of a point of a curve: a shorter cycle, or a higher bound."""

    def on_replication(self, done: int, of: int) -> None:
        """Say that so many of the replications of a simulation are done."""

    def should_stop(self) -> bool:
        """Return True to stop and keep what was found so far."""
        return False
