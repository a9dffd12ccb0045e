"""A curve that is still being made, as far as its points are known."""

from collections.abc import Sequence
from dataclasses import replace

from stationflow.model import CurvePoint, CycleCurve


def curve_so_far(line: str, points: Sequence[CurvePoint]) -> CycleCurve | None:
    """Return the curve of the points told so far, without plans; None: none is told yet.

    The work content is that of the slowest plan, one of one station unless limits forbid it.
    """
    known = {point.stations: point for point in points}
    if not known:
        return None
    longest = min(point.cycle for point in points)
    kept = [known[min(known)]]
    while kept[-1].cycle > longest:
        stations = kept[-1].stations + 1
        kept.append(known.get(stations, replace(kept[-1], stations=stations)))
    return CycleCurve(
        line=line,
        points=tuple(kept),
        tasks=len(kept),
        work_content=kept[0].cycle,
        longest=longest,
    )
