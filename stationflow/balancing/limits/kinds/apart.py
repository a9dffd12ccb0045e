"""Tasks kept apart: they never share a station."""

from stationflow.balancing.limits.forms import Limit
from stationflow.balancing.limits.stated import pairs_named

LIMIT = Limit(
    task_fields=("apart",),
    forms=lambda entered: pairs_named(
        entered, lambda limits: limits.apart, "tasks {task} and {other} are kept apart"
    ),
)
