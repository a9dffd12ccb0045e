"""Working height: tasks whose heights are too far apart never share a station.

How far they may be apart is entered for the line; where nothing is, tables are set for
each task.
"""

from collections import defaultdict
from collections.abc import Iterator
from itertools import combinations

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import Limit, Pairs
from stationflow.units import exact


def _pairs(entered: EnteredLimits) -> Iterator[Pairs]:
    reach = entered.line.height_range_mm
    if reach is None:
        return
    at: dict[float, list[int]] = defaultdict(list)
    for task, limits in enumerate(entered.tasks):
        if limits.working_height_mm is not None:
            at[limits.working_height_mm].append(task)
    for low, high in combinations(sorted(at), 2):
        if exact(high) - exact(low) > exact(reach):
            said = f"working heights {low:g} mm and {high:g} mm do not share a station"
            yield Pairs(tuple(at[low]), tuple(at[high]), said)


LIMIT = Limit(task_fields=("working_height_mm",), line_fields=("height_range_mm",), forms=_pairs)
