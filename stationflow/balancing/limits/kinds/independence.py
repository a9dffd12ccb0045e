"""Independence: who checks did not do the work, so the two tasks never share a station."""

from stationflow.balancing.limits.forms import Limit
from stationflow.balancing.limits.stated import pairs_named

LIMIT = Limit(
    task_fields=("independent_of",),
    forms=lambda entered: pairs_named(
        entered,
        lambda limits: limits.independent_of,
        "task {task} has another operator than task {other}",
    ),
)
