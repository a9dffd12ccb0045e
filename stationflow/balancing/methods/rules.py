"""The rules of priority: which task comes first; ties go by the listed order in the end."""

from stationflow.balancing.arrows import Sums, closure, columns
from stationflow.balancing.problem import BalanceProblem


def by_time(problem: BalanceProblem) -> list[int]:
    """Largest candidate rule: the longest task that may join comes first."""
    return sorted(range(problem.size), key=lambda at: -problem.times[at])


def by_column(problem: BalanceProblem) -> list[int]:
    """Kilbridge-Wester: tasks come by their column in the precedence diagram."""
    column = columns(problem.predecessors)
    return sorted(range(problem.size), key=lambda at: (column[at], -problem.times[at]))


def by_followers(problem: BalanceProblem) -> list[int]:
    """Most followers: all tasks that cannot start before are counted, not the direct ones only."""
    followers = [after.bit_count() for after in closure(problem.successors)]
    return sorted(range(problem.size), key=lambda at: (-followers[at], -problem.times[at]))


def positional_weights(problem: BalanceProblem) -> tuple[int, ...]:
    """Return the positional weight of each position, in whole units.

    Its own time plus the times of all tasks that cannot start before it, each once however
    many paths lead to it (Helgeson and Birnie 1961, Journal of Industrial Engineering 12(6),
    394-398).
    """
    behind = Sums(closure(problem.successors)).of(problem.times)
    return tuple(time + work for time, work in zip(problem.times, behind, strict=True))


def by_positional_weight(problem: BalanceProblem) -> list[int]:
    """Ranked positional weight: the longer the work behind a task, the earlier it comes."""
    weights = positional_weights(problem)
    return sorted(range(problem.size), key=lambda at: -weights[at])
