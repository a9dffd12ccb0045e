"""The same lines as processes of SimPy, written apart: who does what when, with given times."""

from collections.abc import Iterator, Sequence
from typing import Any

import simpy

Log = list[tuple[float, str, int, int, str]]
"""Time, line, station, unit, what it does."""


def passed_by_hand(
    times: Sequence[Sequence[float]], places: Sequence[int], servers: Sequence[int], until: float
) -> Log:
    """Units go from station to station; a unit holds its station until it has the next place."""
    env = simpy.Environment()
    log: Log = []
    stations = [simpy.Resource(env, capacity=s) for s in servers]
    buffers = [simpy.Resource(env, capacity=p) if p else None for p in places]
    next_times = [iter(row) for row in times]
    last = len(stations) - 1

    def unit(number: int, held: Any) -> Iterator[Any]:
        for k in range(last + 1):
            time = next(next_times[k])
            log.append((env.now, "main", k + 1, number, "starts"))
            yield env.timeout(time)
            log.append((env.now, "main", k + 1, number, "ends"))
            if k == last:
                stations[k].release(held)
                return
            buffer = buffers[k]
            place = None
            if buffer is not None:
                place = buffer.request()
                yield place
                stations[k].release(held)
            claim = stations[k + 1].request()
            yield claim
            if buffer is None:
                stations[k].release(held)
            else:
                buffer.release(place)
            held = claim

    def source() -> Iterator[Any]:
        number = 0
        while True:
            number += 1
            claim = stations[0].request()
            yield claim
            env.process(unit(number, claim))

    env.process(source())
    env.run(until=until)
    return log


def joined_with_a_bench(
    times: Sequence[Sequence[float]],
    judged: dict[int, Sequence[float]],
    until: float,
) -> Log:
    """`small_flows.joined_line` as processes: two stations, a feeder of two, a test, a bench.

    Times and judgements in its order of stations.
    """
    env = simpy.Environment()
    log: Log = []
    one, two, fed = (simpy.Store(env, capacity=c) for c in (2, 3, 1))
    boards = simpy.Container(env, capacity=2)
    failed, repaired = simpy.Store(env), simpy.Store(env)
    next_times = [iter(row) for row in times]
    judgements = {k: iter(row) for k, row in judged.items()}
    has_failed: set[int] = set()

    def work(k: int, line: str, number: int, unit: int) -> Iterator[Any]:
        log.append((env.now, line, number, unit, "starts"))
        yield env.timeout(next(next_times[k]))
        log.append((env.now, line, number, unit, "ends"))

    def first() -> Iterator[Any]:
        unit = 0
        while True:
            unit += 1
            yield from work(0, "main", 1, unit)
            yield one.put(unit)

    def second() -> Iterator[Any]:
        owed = 0.0
        while True:
            unit = yield one.get()
            owed += 1.5
            for _ in range(int(owed)):
                yield boards.get(1)
            owed -= int(owed)
            yield from work(1, "main", 2, unit)
            yield two.put(unit)

    def test() -> Iterator[Any]:
        while True:
            if repaired.items:
                unit = yield repaired.get()
            else:
                new, back = two.get(), repaired.get()
                got = yield new | back
                if back in got:
                    new.cancel()
                    unit = got[back]
                else:
                    back.cancel()
                    unit = got[new]
            yield from work(2, "main", 3, unit)
            share = 0.6 if unit in has_failed else 0.8
            if next(judgements[2]) >= share:
                has_failed.add(unit)
                yield failed.put(unit)

    def feeder_first() -> Iterator[Any]:
        unit = 0
        while True:
            unit += 1
            yield from work(3, "feeder", 1, unit)
            yield fed.put(unit)

    def feeder_second() -> Iterator[Any]:
        while True:
            unit = yield fed.get()
            yield from work(4, "feeder", 2, unit)
            yield boards.put(1)

    def bench() -> Iterator[Any]:
        while True:
            unit = yield failed.get()
            yield from work(5, "main", 0, unit)
            if next(judgements[5]) < 0.9:
                yield repaired.put(unit)

    for process in (first, second, test, feeder_first, feeder_second, bench):
        env.process(process())
    env.run(until=until)
    return log
