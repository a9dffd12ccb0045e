"""Width at the line: the parts of a station's tasks have room beside each other.

A station has the width entered for it, or else the pitch of the line; where neither is
entered, any width.
"""

from collections.abc import Iterator

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import Limit, Measure
from stationflow.units import exact

PARTS_OF_MM = 1000
"""Widths are counted in thousandths of a millimetre: as fine as anybody enters them."""


def _measures(entered: EnteredLimits) -> Iterator[Measure]:
    pitch_m = entered.line.pitch_m
    usual = int(exact(pitch_m) * 1000 * PARTS_OF_MM) if pitch_m else None
    own = [(s.number, s.width_mm) for s in entered.stations if s.width_mm is not None]
    at = tuple((number, int(exact(width) * PARTS_OF_MM)) for number, width in own)
    amounts = tuple(int(exact(limits.space_mm or 0) * PARTS_OF_MM) for limits in entered.tasks)
    if any(amounts) and (at or usual is not None):
        yield Measure(amounts, usual, at, "the parts of a station have the width they need")


LIMIT = Limit(
    task_fields=("space_mm",),
    station_fields=("width_mm",),
    line_fields=("pitch_m",),
    forms=_measures,
)
