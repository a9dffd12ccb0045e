"""Queues in the long run: how many wait, and how long.

Rates and times go together: units an hour with hours, units a second with seconds. Given exact
fractions, everything but the exponential and the root gives exact fractions.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Generic, TypeVar

Number = TypeVar("Number", float, Fraction)
HUGE = 1e200
"""Weights of states are divided by it before they grow beyond what a float holds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Queue(Generic[Number]):
    """A queue in the long run. All but the load None: it grows without end."""

    load: Number  # of each server: 1 or more has no long run where there is room for all
    empty_share: Number | None = None  # of the time nobody is there
    wait_share: Number | None = None  # of those who come, wait
    waiting: Number | None = None  # mean number that wait
    present: Number | None = None  # mean number that wait or are served
    wait: Number | None = None  # mean time before service
    time: Number | None = None  # mean time there, service included
    lost_share: Number | None = None  # of those who come, find no room

    @property
    def is_stable(self) -> bool:
        """Whether there is a long run."""
        return self.waiting is not None

    def wait_longer_share(self, time: float) -> float | None:
        """Return the share that waits longer than a time: C exp(-(c mu - lambda) t) for M/M/c.

        The rate in it is what wait share / mean wait gives; for other service times it is the
        same law with the same mean, an approximation.
        """
        if self.wait_share is None or self.wait is None:
            return None
        if not self.wait:
            return 0.0
        share = float(self.wait_share)
        return share * math.exp(-time * share / float(self.wait))


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


def markov_queue(arrivals: Number, service: Number, servers: int = 1) -> Queue[Number]:
    """Return M/M/c: `arrivals` and `service` are rates, service that of one server.

    Lq = C rho / (1 - rho), the rest by Little's law (Gross and Harris, Fundamentals of Queueing
    Theory). P0 = 1 - rho holds for one server only.

    >>> queue = markov_queue(Fraction(2), Fraction(3), servers=2)
    >>> queue.empty_share, queue.waiting, queue.time
    (Fraction(1, 2), Fraction(1, 12), Fraction(3, 8))
    """
    return general_queue(arrivals, 1 / service, servers)


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
    1, exponential). Exact for M/M/c, and for M/G/1, where it is the formula of Pollaczek and
    Khinchine. The share that nobody is there is told for M/M/c and M/G/1 only.

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
        return Queue(load=load)
    waiting = share * load / (1 - load) * (ca2 + cs2) / 2
    wait = waiting / arrivals if arrivals else waiting
    empty = None
    if ca2 == 1 and (servers == 1 or cs2 == 1):
        terms = [one]
        for server in range(1, servers):
            terms.append(terms[-1] * offered / server)
        empty = 1 / (sum(terms, one * 0) + terms[-1] * offered / servers / (1 - load))
    return Queue(
        load=load,
        empty_share=empty,
        wait_share=share,
        waiting=waiting,
        present=waiting + offered,
        wait=wait,
        time=wait + mean,
        lost_share=one * 0,
    )


def kingman_wait(
    load: Number, mean: Number, arrival_scatter: Number, service_scatter: Number
) -> Number | None:
    """Return the mean wait of G/G/1: (ca2 + cs2) / 2 x u / (1 - u) x mean service time.

    Kingman (1961); the VUT equation of Hopp and Spearman, Factory Physics. None: u is 1 or more.

    >>> kingman_wait(0.5, 2.0, 1.0, 0.0)
    1.0
    """
    if load >= 1:
        return None
    return (arrival_scatter + service_scatter) / 2 * load / (1 - load) * mean


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


def finite_room(arrivals: Number, service: Number, servers: int, room: int) -> Queue[Number]:
    """Return M/M/c/K: who finds `room` units there, those served included, is lost.

    >>> finite_room(Fraction(9, 10), Fraction(1), servers=1, room=1).lost_share
    Fraction(9, 19)
    """
    if room < servers:
        raise ValueError(f"room for {room} is less than the {servers} servers take")
    shares = state_shares(lambda k: arrivals, lambda k: service * min(k, servers), room + 1)
    entering = arrivals * (1 - shares[-1])
    return _of_states(shares, servers, entering, arrivals / (servers * service), shares[-1])


def finite_population(units: int, servers: int, failing: Number, service: Number) -> Queue[Number]:
    """Return the machine-repair model: each of so many units fails at the rate `failing` while up.

    Load is that of the servers. "Present" are the units that are down.

    >>> round(finite_population(5, 1, 0.1, 1.0).present, 5)
    0.63952
    """
    shares = state_shares(
        lambda k: failing * (units - k), lambda k: service * min(k, servers), units + 1
    )
    entering = sum((failing * (units - k) * p for k, p in enumerate(shares)), failing * 0)
    load = entering / (servers * service)
    return _of_states(shares, servers, entering, load, failing * 0)


def _of_states(
    shares: Sequence[Number], servers: int, entering: Number, load: Number, lost: Number
) -> Queue[Number]:
    """Return a queue from the shares of its states; `entering` is the rate that comes in."""
    zero = load * 0
    waiting = sum((max(0, k - servers) * p for k, p in enumerate(shares)), zero)
    present = sum((k * p for k, p in enumerate(shares)), zero)
    return Queue(
        load=load,
        empty_share=shares[0],
        wait_share=None,
        waiting=waiting,
        present=present,
        wait=waiting / entering,
        time=present / entering,
        lost_share=lost,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowCase(Generic[Number]):
    """Output and flow time of a line with so many units in it."""

    output: Number  # units in a unit of time
    time: Number  # of one unit on the line


def best_case(rate: Number, raw_time: Number, units: int) -> FlowCase[Number]:
    """Return the best a line can do: no scatter (Hopp and Spearman, Factory Physics).

    `rate` is that of the bottleneck, `raw_time` the sum of the mean times of one unit.
    """
    time = max(raw_time, units / rate)
    return FlowCase(output=units / time, time=time)


def practical_worst_case(rate: Number, raw_time: Number, units: int) -> FlowCase[Number]:
    """Return the practical worst case: equal stations with exponential times (same source).

    Flow time T0 + (w - 1) / rb; output w rb / (W0 + w - 1) with W0 = rb T0.

    >>> practical_worst_case(0.5, 8.0, 4)
    FlowCase(output=0.2857142857142857, time=14.0)
    """
    time = raw_time + (units - 1) / rate
    return FlowCase(output=units / time, time=time)


def worst_case(raw_time: Number, units: int) -> FlowCase[Number]:
    """Return the worst case: every unit waits for all others (same source)."""
    return FlowCase(output=1 / raw_time, time=units * raw_time)
