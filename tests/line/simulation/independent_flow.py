"""Any flow as processes of SimPy, written apart, with its own random numbers.

Slow and plain: what the compiled loop is measured against, in means and in speed.
"""

import random
from collections.abc import Iterator
from math import inf, log, sqrt
from typing import Any

import simpy

from stationflow.line.simulation.flow_model import (
    GOOD,
    NONE,
    SCRAP,
    Duration,
    FlowModel,
    FlowStation,
    Law,
    StopKind,
)

Steps = Iterator[Any]


class Unit:
    """A unit under way."""

    def __init__(self, born: float) -> None:
        self.born = born
        self.failed_at = -1
        self.carrier = NONE


class SimpyFlow:
    """A run of a model; `good` and `time_good` of its main line."""

    def __init__(self, model: FlowModel, seed: int) -> None:
        self.model = model
        self.random = random.Random(seed)
        self.env = simpy.Environment()
        self.good, self.time_good = 0, 0.0
        self.buffers = [
            simpy.Store(self.env, capacity=inf if b.places is None else max(1, b.places))
            for b in model.buffers
        ]
        self.carriers = [
            simpy.Container(self.env, init=c.count, capacity=inf) for c in model.carriers
        ]
        self.owed = {k: [0.0] * len(s.needs) for k, s in enumerate(model.stations)}
        in_paced: set[int] = set()
        for line in model.paced:
            if line.halts:
                raise NotImplementedError("a moving line is not written here")
            in_paced |= set(range(line.first, line.last + 1))
            self.env.process(self.paced(line.first, line.last, line.pace_s, line.empty_share))
        for k, station in enumerate(model.stations):
            if k not in in_paced:
                for _ in range(station.servers):
                    self.env.process(self.server(k, station))

    def run(self, until: float) -> "SimpyFlow":
        self.env.run(until=until)
        return self

    # Times.
    def draw(self, time: Duration) -> float:
        mean, sd, r = time.mean_s, time.sd_s, self.random
        if time.law == Law.EXPONENTIAL:
            return r.expovariate(1 / mean) if mean else 0.0
        if not sd or time.law == Law.CONSTANT:
            return mean
        if time.law == Law.GAMMA:
            return r.gammavariate((mean / sd) ** 2, sd**2 / mean)
        if time.law == Law.UNIFORM:
            return r.uniform(mean - sd * sqrt(3), mean + sd * sqrt(3))
        if time.law == Law.LOGNORMAL:
            variance = log(1 + (sd / mean) ** 2)
            return r.lognormvariate(log(mean) - variance / 2, sqrt(variance))
        while True:
            drawn = r.gauss(mean, sd)
            if drawn >= 0:
                return drawn

    # Stations.
    def server(self, k: int, station: FlowStation) -> Steps:
        clocks = self.clocks(station)
        while True:
            units = []
            if not station.arrivals:
                for _ in range(station.batch):
                    units.append((yield from self.taken(station)))
                yield from self.parts_in(k, station)
            yield from self.work(station, clocks)
            if station.arrivals:
                units = [Unit(self.env.now)]
            for unit in units:
                yield from self.give(unit, self.judged(k, station, unit))

    def clocks(self, station: FlowStation) -> list[float]:
        if any(stop.kind != StopKind.OPERATION_DEPENDENT for stop in station.stops):
            raise NotImplementedError("stops at any time are not written here")
        return [self.random.expovariate(1 / stop.mtbf_s) for stop in station.stops]

    def taken(self, station: FlowStation) -> Steps:
        back = self.buffers[station.returns] if station.returns != NONE else None
        if back is not None and back.items:
            return (yield from self.out_of(back))
        if station.takes_carrier != NONE:
            yield self.carriers[station.takes_carrier].get(1)
        if station.input == NONE:
            unit = Unit(self.env.now)
        elif back is None:
            unit = yield from self.out_of(self.buffers[station.input])
        else:
            new, old = self.buffers[station.input].get(), back.get()
            got = yield new | old
            for event in (new, old):
                if event not in got:
                    event.cancel()
            if new in got and old in got:  # both came at one moment: one goes back
                back.items.insert(0, got[old])
            unit, taken = got[new] if new in got else got[old]
            if taken is not None:
                taken.succeed()
        if station.takes_carrier != NONE:
            unit.carrier = station.takes_carrier
        return unit

    def out_of(self, buffer: simpy.Store) -> Steps:
        unit, taken = yield buffer.get()
        if taken is not None:
            taken.succeed()
        return unit

    def parts_in(self, k: int, station: FlowStation) -> Steps:
        for i, need in enumerate(station.needs):
            self.owed[k][i] += need.quantity
            while self.owed[k][i] >= 1 - 1e-9:
                self.owed[k][i] -= 1
                yield from self.out_of(self.buffers[need.buffer])

    def work(self, station: FlowStation, clocks: list[float]) -> Steps:
        if station.shortage_share and self.random.random() < station.shortage_share:
            yield self.env.timeout(self.random.expovariate(1 / station.shortage_s))
        left = self.draw(station.work)
        while clocks and min(clocks) < left:
            ran = min(clocks)
            which = clocks.index(ran)
            clocks[:] = [clock - ran for clock in clocks]
            left -= ran
            stop = station.stops[which]
            yield self.env.timeout(ran)
            yield self.env.timeout(self.random.expovariate(1 / stop.mttr_s))
            clocks[which] = self.random.expovariate(1 / stop.mtbf_s)
        clocks[:] = [clock - left for clock in clocks]
        yield self.env.timeout(left)

    def judged(self, k: int, station: FlowStation, unit: Unit) -> int:
        gate = station.gate
        if gate is not None:
            drawn = self.random.random()
            again = unit.failed_at == k
            passes = gate.repeat_pass if again else gate.pass_share
            rejects = gate.repeat_reject if again else gate.reject_share
            if drawn >= passes + rejects:
                return gate.rest_to
            if drawn >= passes:
                unit.failed_at = k
                return gate.reject_to
        if station.gives_carrier:
            self.free_carrier(unit)
        return station.to

    def free_carrier(self, unit: Unit) -> None:
        if unit.carrier != NONE:
            self.env.process(self.way_back(unit.carrier))
            unit.carrier = NONE

    def way_back(self, carrier: int) -> Steps:
        yield self.env.timeout(self.model.carriers[carrier].return_s)
        yield self.carriers[carrier].put(1)

    def give(self, unit: Unit, to: int) -> Steps:
        """Bring a unit where it goes; without places it is held until it is taken."""
        if to >= 0:
            taken = self.env.event() if self.model.buffers[to].places == 0 else None
            yield self.buffers[to].put((unit, taken))
            if taken is not None:
                yield taken
            return
        self.free_carrier(unit)
        if to == GOOD:
            self.good += 1
            self.time_good += self.env.now - unit.born
        else:
            assert to == SCRAP

    # Paced lines of stations with one server each.
    def paced(self, first: int, last: int, pace: float, empty_share: float) -> Steps:
        stations = self.model.stations[first : last + 1]
        clocks = [self.clocks(station) for station in stations]
        places: list[Unit | None] = [None] * len(stations)
        empty = 0.0
        while True:
            began = self.env.now
            working = [
                self.env.process(self.in_place(first + i, stations[i], clocks[i]))
                for i, unit in enumerate(places)
                if unit is not None
            ]
            if working:
                yield self.env.all_of(working)
            if self.env.now < began + pace:
                yield self.env.timeout(began + pace - self.env.now)
            moved: list[Unit | None] = [None] * len(stations)
            for i in range(len(stations) - 1, -1, -1):
                unit = places[i]
                if unit is not None:
                    to = self.judged(first + i, stations[i], unit)
                    if to == stations[i].to and i < len(stations) - 1:
                        moved[i + 1] = unit
                    else:
                        yield from self.give(unit, to)
                if i + 1 < len(stations) and moved[i + 1] is None:
                    moved[i + 1] = self.back_at(stations[i + 1])
            empty += empty_share
            if empty >= 1 - 1e-9:
                empty -= 1
            else:
                moved[0] = yield from self.new_at(stations[0])
            if moved[0] is None:
                moved[0] = self.back_at(stations[0])
            places = moved

    def in_place(self, k: int, station: FlowStation, clocks: list[float]) -> Steps:
        yield from self.parts_in(k, station)
        yield from self.work(station, clocks)

    def back_at(self, station: FlowStation) -> Unit | None:
        if station.returns == NONE or not self.buffers[station.returns].items:
            return None
        unit: Unit = self.buffers[station.returns].items.pop(0)[0]
        return unit

    def new_at(self, station: FlowStation) -> Steps:
        unit = self.back_at(station)
        if unit is not None:
            return unit
        if station.takes_carrier != NONE and not self.carriers[station.takes_carrier].level:
            return None
        if station.input == NONE:
            unit = Unit(self.env.now)
        elif self.buffers[station.input].items:
            unit = yield from self.out_of(self.buffers[station.input])
        else:
            return None
        if station.takes_carrier != NONE:
            yield self.carriers[station.takes_carrier].get(1)
            unit.carrier = station.takes_carrier
        return unit
