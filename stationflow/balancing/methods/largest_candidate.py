"""Largest candidate rule: the longest task that may join comes first."""

from stationflow.balancing.problem import BalanceProblem


def by_time(problem: BalanceProblem) -> list[int]:
    """Return the positions, longest time first, then in listed order.

    References
    ----------
    .. [1] Groover, M. P. "Automation, Production Systems, and Computer-Integrated
       Manufacturing", chapter on manual assembly lines: largest candidate rule.
    """
    return sorted(range(problem.size), key=lambda position: -problem.times[position])
