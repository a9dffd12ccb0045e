"""The limits of a task in a few words, for whoever points at it in the diagram."""

from stationflow.model import TaskLimits
from stationflow.model.schema.cells import join_list, plain_number
from stationflow.model.schema.tables import TABLE

UNSET = TaskLimits()


def limit_tip(limits: TaskLimits) -> str:
    """Return what is entered among the limits of a task, each with its name.

    >>> limit_tip(TaskLimits(station=3, apart=("10", "20"), guarded=True))
    'fixed station 3; kept apart from 10; 20; high-voltage guard'
    """
    said = []
    for column in TABLE["limits"].columns[1:]:
        value = getattr(limits, column.field)
        if value == getattr(UNSET, column.field):
            continue
        words = join_list(value) if isinstance(value, tuple) else str(value)
        if isinstance(value, bool):
            said.append(column.in_words if value else f"no {column.in_words}")
        elif isinstance(value, (int, float)):
            unit = f" {column.unit}" if column.unit else ""
            said.append(f"{column.in_words} {plain_number(value)}{unit}")
        else:
            said.append(f"{column.in_words} {words}")
    return "; ".join(said)
