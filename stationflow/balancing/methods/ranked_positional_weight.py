"""Ranked positional weight: the longer the work behind a task, the earlier it comes."""

from stationflow.balancing.arrows import closure, closure_matrix
from stationflow.balancing.problem import BalanceProblem


def positional_weights(problem: BalanceProblem) -> tuple[int, ...]:
    """Return the positional weight of each position, in whole units.

    Its own time plus the times of all tasks that cannot start before it, each once however many
    paths lead to it (Helgeson and Birnie 1961, Journal of Industrial Engineering 12(6), 394-398).
    """
    import numpy as np

    after = closure_matrix(closure(problem.successors))
    # Not a matrix product: its threads wait for each other longer than the sum takes.
    times = np.array(problem.times, dtype=np.float64)
    behind = np.rint(np.einsum("ij,j->i", after, times)).astype(np.int64)
    return tuple(time + work for time, work in zip(problem.times, behind.tolist(), strict=True))


def by_positional_weight(problem: BalanceProblem) -> list[int]:
    """Return the positions, largest positional weight first, then in listed order."""
    weights = positional_weights(problem)
    return sorted(range(problem.size), key=lambda position: -weights[position])
