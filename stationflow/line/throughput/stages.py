"""The stages that the formulas of throughput see: a tree of stations with buffers between them."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import prod


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """A station, or stations that step together, in any one unit of time."""

    time: float = 1.0  # mean time of one unit
    cv: float = 0.0  # standard deviation / mean of it
    mtbf: float | None = None  # mean running time between stops; None: it does not stop
    mttr: float = 0.0  # mean time of a stop
    feeds: int | None = None  # position of the stage that takes its units; None: they leave
    places: float = 0.0  # buffer places before that stage
    name: str = ""

    @property
    def stop_ratio(self) -> float:
        """Time stopped in one unit of running time."""
        return self.mttr / self.mtbf if self.mtbf else 0.0


def availability_by_operation(stages: Sequence[Stage]) -> float:
    """Return the share of time a line without buffers runs, if stages stop only while they work.

    A = 1 / (1 + sum(MTTR / MTBF)): nothing stops while the line stands (Buzacott, 1967,
    operation-dependent failures).

    >>> round(availability_by_operation([Stage(mtbf=500, mttr=5)] * 20), 5)
    0.83333
    """
    return 1 / (1 + sum(stage.stop_ratio for stage in stages))


def availability_by_time(stages: Sequence[Stage]) -> float:
    """Return the same if stages stop at any time, also while the line stands.

    A = product of the availabilities, 1 / (1 + MTTR / MTBF) each (Buzacott, 1967, time-dependent
    failures).

    >>> round(availability_by_time([Stage(mtbf=500, mttr=5)] * 20), 5)
    0.81954
    """
    return prod(1 / (1 + stage.stop_ratio) for stage in stages)
