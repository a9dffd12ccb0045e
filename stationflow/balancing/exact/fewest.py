"""The search run to its end: the proof, the time limit, the memory bound or somebody's stop."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stationflow.balancing.exact.idle_time import Turns
from stationflow.model import Stopped

if TYPE_CHECKING:
    from collections.abc import Callable

    from stationflow.balancing.exact.hunt import Hunt
    from stationflow.balancing.methods.method import Watch

PACKING_SHARE = 0.4
"""Share of the time left that the packing bound may take."""


@dataclass(slots=True)
class Run:
    """A hunt with its limits."""

    hunt: Hunt  # the search
    watch: Watch  # hears of what is found; its end is the time limit, or somebody's stop
    most_nodes: int | None = None  # most partial plans looked at; None: no limit
    tell: Callable[[Hunt], None] | None = None  # called after each step

    def to_the_end(self) -> Stopped | None:
        """Search until bound and best meet; return what stopped it before, if anything."""
        hunt, watch = self.hunt, self.watch
        hunt.start(watch.is_over)
        self._tell()
        hunt.pack(watch.part(PACKING_SHARE).is_over)
        self._tell()
        turns = Turns(hunt)
        while not hunt.is_closed:
            if reason := self._stopped(turns):
                return reason
            turns.step(watch.is_over)
            self._tell()
        return None

    def _stopped(self, turns: Turns) -> Stopped | None:
        """Return why the search cannot go on, or None."""
        if reason := self.watch.stopped:
            return reason
        if self.most_nodes is not None and self.hunt.nodes_seen >= self.most_nodes:
            return Stopped.NODES
        return Stopped.MEMORY if turns.is_stuck else None

    def _tell(self) -> None:
        """Pass on what is new."""
        if self.tell is not None:
            self.tell(self.hunt)
