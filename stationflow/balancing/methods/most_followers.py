"""Most followers: the task that most other tasks wait for comes first."""

from stationflow.balancing.arrows import closure
from stationflow.balancing.problem import BalanceProblem


def by_followers(problem: BalanceProblem) -> list[int]:
    """Return the positions, most followers first, then longest time, then in listed order.

    All tasks that cannot start before are counted, not the direct ones only.

    References
    ----------
    .. [1] Jacobs, F. R. and Chase, R. B. "Operations and Supply Chain Management",
       chapter on facility layout: assembly line balancing, largest number of followers.
    """
    followers = [after.bit_count() for after in closure(problem.successors)]
    return sorted(
        range(problem.size), key=lambda position: (-followers[position], -problem.times[position])
    )
