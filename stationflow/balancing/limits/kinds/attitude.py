"""Attitude of the product: a station that needs the unit in several ways turns it over.

Every way after the first costs the station the time to turn a unit over that is entered for
the line, however its tasks are ordered: those of one attitude are done one after another.
Where no time is entered, turning costs nothing; where a unit cannot be turned, a time above
the limit keeps the attitudes apart.
"""

from collections import defaultdict
from collections.abc import Iterator

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import Limit, Turns


def _turns(entered: EnteredLimits) -> Iterator[Turns]:
    lying: dict[str, list[int]] = defaultdict(list)
    for task, limits in enumerate(entered.tasks):
        if limits.attitude:
            lying[limits.attitude].append(task)
    if len(lying) > 1 and entered.line.turn_ms:
        said = f"turning the unit over between {', '.join(lying)} takes time"
        yield Turns(tuple(map(tuple, lying.values())), entered.line.turn_ms, said)


LIMIT = Limit(task_fields=("attitude",), line_fields=("turn_ms",), forms=_turns)
