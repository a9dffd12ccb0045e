"""Stops of stations, equipment and machines: what stops what, and what is wrong with the times."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from stationflow.model import (
    Equipment,
    Finding,
    Machine,
    Product,
    StationSetting,
    Task,
    error,
    warning,
)
from stationflow.pace.figures import figure, fraction, is_number

MINUTE_S = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class StopCause:
    """What stops a station: itself, its equipment or its machine."""

    what: str  # name of the equipment or machine; empty: the station itself
    mtbf_s: float
    mttr_s: float
    cost: float | None = None  # of one more

    @property
    def ratio(self) -> float:
        """Time stopped in one unit of running time."""
        return self.mttr_s / self.mtbf_s

    def with_spare(self) -> "StopCause":
        """Return the stops with a spare that steps in: only when both are down the station stops.

        Each is down for a share u = r / (1 + r) of the time; both for u2, as long as the first of
        two repairs takes, MTTR / 2. (Two parallel machines, each with its own repairer.)
        """
        both = (self.ratio / (1 + self.ratio)) ** 2
        half = self.mttr_s / 2
        return replace(self, mtbf_s=half * (1 - both) / both, mttr_s=half)


def stops_of(
    setting: StationSetting | None, equipment: Iterable[Equipment], machines: Iterable[Machine]
) -> tuple[StopCause, ...]:
    """Return what stops a station: itself, the equipment at it, the machines of its tasks."""
    stopping: list[StationSetting | Equipment | Machine] = [setting] if setting else []
    return tuple(
        StopCause(
            what="" if isinstance(each, StationSetting) else each.name,
            mtbf_s=times[0] * MINUTE_S,
            mttr_s=times[1] * MINUTE_S,
            cost=None if isinstance(each, StationSetting) else each.cost,
        )
        for each in (*stopping, *equipment, *machines)
        if (times := _times(each))
    )


def equipment_at(
    product: Product, setting: StationSetting | None, tasks: Iterable[Task]
) -> tuple[Equipment, ...]:
    """Return the equipment of a station: its own, and what its tasks need."""
    names = {name for task in tasks for name in task.limits.equipment}
    names.update(setting.equipment if setting else ())
    return tuple(each for each in product.equipment if each.name in names)


def availability(each: Equipment | Machine) -> Fraction:
    """Return the share of the time it runs: MTBF / (MTBF + MTTR)."""
    up, down = map(fraction, _times(each) or (1, 0))
    return up / (up + down)


def _times(each: StationSetting | Equipment | Machine) -> tuple[float, float] | None:
    """Return the times between stops and of a stop; None: it does not stop, or one is missing."""
    up, down = each.mtbf_min, each.mttr_min
    return (up, down) if up and down and is_some(up) and is_some(down) else None


def is_some(minutes: float | None) -> bool:
    """Return whether a time is entered and above 0."""
    return minutes is not None and is_number(minutes) and minutes > 0


def stop_findings(where: str, mtbf_min: float | None, mttr_min: float | None) -> Iterator[Finding]:
    """Name stops of which one number is missing or zero."""
    if mtbf_min is None and mttr_min is None:
        return
    if mtbf_min is None or mttr_min is None:
        there, missing = (
            (f"its stops last {figure(mttr_min)} min", "how long it runs between them")
            if mttr_min is not None
            else (f"it runs {figure(mtbf_min or 0)} min between stops", "how long they last")
        )
        yield warning("stops-half-entered", where, f"{there.capitalize()}; {missing} is missing.")
    elif not is_some(mtbf_min):
        message = f"It runs {figure(mtbf_min)} min between stops: it never works."
        yield error("stop-without-run", where, message)
    elif not is_some(mttr_min):
        message = (
            f"It stops every {figure(mtbf_min)} min, and its stops last {figure(mttr_min)} min."
        )
        yield warning("stop-of-no-length", where, message)
