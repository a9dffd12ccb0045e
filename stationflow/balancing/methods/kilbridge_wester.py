"""Kilbridge-Wester: tasks come by their column in the precedence diagram."""

from stationflow.balancing.arrows import columns
from stationflow.balancing.problem import BalanceProblem


def by_column(problem: BalanceProblem) -> list[int]:
    """Return the positions by column, then longest time first, then in listed order.

    References
    ----------
    .. [1] Kilbridge, M. D. and Wester, L. (1961). "A heuristic method of assembly
       line balancing". Journal of Industrial Engineering 12(4), 292-298.
    """
    column = columns(problem.predecessors)
    return sorted(
        range(problem.size), key=lambda position: (column[position], -problem.times[position])
    )
