"""Queues in the long run: how many wait, and how long.

Rates and times go together: units an hour with hours, units a second with seconds. Given exact
fractions, everything but the exponential and the root gives exact fractions.
"""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Generic, TypeVar

Number = TypeVar("Number", float, Fraction)
HUGE = 1e200
"""Weights of states are divided by it before they grow beyond what a float holds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Queue(Generic[Number]):
    """A queue in the long run; all None: it grows without end."""

    wait_share: Number | None = None  # of those who come, have to wait; None: not told
    waiting: Number | None = None  # mean number that wait
    present: Number | None = None  # mean number that wait or are served
    wait: Number | None = None  # mean time before service


def erlang_b(servers: int, offered: Number) -> Number:
    """Return the share that is lost when nobody may wait (Erlang 1917).

    `offered`: arrival rate x mean service time. B(0) = 1, B(k) = a B(k-1) / (k + a B(k-1)), which
    loses no digits for any number of servers.

    >>> erlang_b(3, Fraction(2))
    Fraction(4, 19)
    """
    lost = offered * 0 + 1
    for server in range(1, servers + 1):
        lost = offered * lost / (server + offered * lost)
    return lost


def erlang_c(servers: int, offered: Number) -> Number | None:
    """Return the share that waits when all may wait (Erlang 1917); None: the load is 1 or more.

    C = c B / (c - a (1 - B)).

    >>> erlang_c(3, Fraction(2)), erlang_c(2, Fraction(2))
    (Fraction(4, 9), None)
    """
    if offered >= servers:
        return None
    lost = erlang_b(servers, offered)
    return servers * lost / (servers - offered * (1 - lost))


def general_queue(
    arrivals: Number,
    mean: Number,
    servers: int = 1,
    *,
    arrival_scatter: Number | None = None,
    service_scatter: Number | None = None,
) -> Queue[Number]:
    """Return G/G/c by Allen and Cunneen: Lq of M/M/c x (ca2 + cs2) / 2.

    `mean` is the mean service time; a scatter is the square of standard deviation / mean (None:
    1, exponential). Exact for M/M/c, where Lq = C rho / (1 - rho) and the rest follows by Little's
    law (Gross and Harris, Fundamentals of Queueing Theory), and for M/G/1, where it is the formula
    of Pollaczek and Khinchine; for G/G/1 it is that of Kingman (1961).

    >>> float(general_queue(2.0, 1 / 3, service_scatter=0.0).waiting)  # M/D/1
    0.6666666666666665
    """
    one = mean * 0 + 1
    ca2 = one if arrival_scatter is None else arrival_scatter
    cs2 = one if service_scatter is None else service_scatter
    offered = arrivals * mean
    load = offered / servers
    share = erlang_c(servers, offered)
    if share is None:
        return Queue()
    waiting = share * load / (1 - load) * (ca2 + cs2) / 2
    return Queue(
        wait_share=share,
        waiting=waiting,
        present=waiting + offered,
        wait=waiting / arrivals if arrivals else waiting,
    )


def state_shares(
    births: Callable[[int], Number], deaths: Callable[[int], Number], states: int
) -> list[Number]:
    """Return the share of the time in each of the states 0, 1, 2... of a birth-death chain.

    `births(k)` is the rate from state k to k + 1, `deaths(k)` that from k to k - 1.
    """
    weights = [births(0) * 0 + 1]
    for state in range(1, states):
        weights.append(weights[-1] * births(state - 1) / deaths(state))
        if isinstance(weights[-1], float) and weights[-1] > HUGE:
            weights = [weight / HUGE for weight in weights]
    total = sum(weights[1:], weights[0])
    return [weight / total for weight in weights]


def finite_population(units: int, servers: int, failing: Number, service: Number) -> Queue[Number]:
    """Return the machine-repair model: each of so many units fails at the rate `failing` while up.

    "Present" are the units that are down.

    >>> round(finite_population(5, 1, 0.1, 1.0).present, 5)
    0.63952
    """
    shares = state_shares(
        lambda k: failing * (units - k), lambda k: service * min(k, servers), units + 1
    )
    zero = failing * 0
    waiting = sum((max(0, k - servers) * p for k, p in enumerate(shares)), zero)
    present = sum((k * p for k, p in enumerate(shares)), zero)
    entering = sum((failing * (units - k) * p for k, p in enumerate(shares)), zero)
    return Queue(waiting=waiting, present=present, wait=waiting / entering)
