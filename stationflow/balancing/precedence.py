"""Precedence: what other parts ask of it, gathered in one place.

The questions about arrows are answered in `arrows`, those about the engineer's
data in `task_check`.
"""

from stationflow.balancing.arrows import (
    closure,
    columns,
    find_circle,
    longest_path,
    order_strength,
    redundant_arrows,
    topological_order,
)
from stationflow.balancing.task_check import check_tasks

__all__ = [
    "check_tasks",
    "closure",
    "columns",
    "find_circle",
    "longest_path",
    "order_strength",
    "redundant_arrows",
    "topological_order",
]
