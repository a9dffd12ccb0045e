"""What stands along one line with its plan: stations, what is behind them and ahead of them.

A station keeps its unit for its work, its machine or test, and the repositioning of each cycle.
What takes longer than the pace and has places of its own (soak, testers, ovens, loads) stands
behind its station. How many machines, testers, positions and benches there are, and how long a
machine takes, is what the figures of machines, gates and soak say: at the operating takt, or
without one at the pace of the plan.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import takewhile
from math import ceil, floor, prod, sqrt

from stationflow.line.machines.machine_figures import machine_figures
from stationflow.line.quality.gate_numbers import gate_figures
from stationflow.line.quality.gates import Gate as Test
from stationflow.line.quality.gates import gates_of
from stationflow.line.quality.soaks import soak_figures
from stationflow.line.simulation.flow_model import (
    Duration,
    FlowStation,
    Gate,
    Need,
    Stop,
    gate_of_test,
)
from stationflow.line.stop_times import StopCause, equipment_at, stops_of
from stationflow.model import (
    BalanceResult,
    Line,
    Machine,
    MachineKind,
    Product,
    ProductPlan,
    QualityKind,
    Reentry,
    Station,
    Task,
)
from stationflow.network.line_tree import line_tree, units_per_start
from stationflow.pace.figures import fraction
from stationflow.pace.takt import pace_facts

LEAST_S = 1.0
"""A line without time, or without any up to its first rejects, steps so often: none is endless."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """What is judged at a node, and its bench."""

    first: float  # shares that pass the first time, and after a repair
    repeat: float
    scrap: float  # share of the rejects
    reentry: Reentry
    repair_s: float
    repair_cv: float
    benches: int


@dataclass(slots=True, kw_only=True)
class Node:
    """A station to be, before it is known what it takes from and gives to."""

    station: FlowStation
    step_s: float | None = None  # it steps with its neighbours at this pace
    before: int = 0  # places between the node before and this one
    test: Judged | None = None


def nodes_along(
    product: Product,
    plan: ProductPlan,
    line: Line,
    result: BalanceResult,
    joins: dict[str, int],
    copy: int,
) -> tuple[list[Node], list[Node]]:
    """Return the machines ahead of a line, which its copies share, and what is along this copy.

    `joins` has the buffer of each feeder before its join; `copy` counts from 1.
    """
    return _LineNodes(product, plan, line, result, joins, copy).nodes()


@dataclass(slots=True)
class _LineNodes:
    """What stands along one line."""

    product: Product
    plan: ProductPlan
    line: Line
    result: BalanceResult
    joins: dict[str, int]  # the buffer of each feeder before its join
    copy: int  # of the line, from 1
    tasks: dict[str, Task] = field(init=False)
    step_s: float | None = field(init=False)
    takt: Fraction = field(init=False)  # at which machines, testers, positions are counted
    tests: dict[str, Test] = field(init=False)  # by the task that does them

    def __post_init__(self) -> None:
        self.tasks = {task.number: task for task in self.product.tasks_of(self.line.name)}
        self.step_s = None
        if self.line.conveyor.is_paced:
            pace = (self.result.limit or self.result.cycle_time) + self.lost_s
            self.step_s = pace or LEAST_S
        facts, _ = pace_facts(self.product, self.line.name)
        self.takt = facts.operating_takt if facts else fraction(self.pace_s)
        self.tests = {
            test.task.number: replace(test, takt=self.takt)
            for test in gates_of(self.product, self.plan, self.line)
        }

    @property
    def lost_s(self) -> float:
        return max(0, self.line.repositioning_ms) / 1000

    @property
    def pace_s(self) -> float:
        """The time from unit to unit, as it was planned."""
        return self.step_s or (self.result.limit or self.result.cycle_time) + self.lost_s or LEAST_S

    def nodes(self) -> tuple[list[Node], list[Node]]:
        ahead, found = list(self.ahead()), list[Node]()
        places = (ahead and self.machines("")[-1].places_after) or 0
        for station in self.result.stations:
            nodes = self.at_station(station)
            machines = self.machines(*station.tasks)
            in_front = [m.places_before or 0 for m in machines if m.kind != MachineKind.BATCH]
            nodes[0].before = max(places, *in_front, 0)
            found += nodes
            behind = [machine.places_after or 0 for machine in machines]
            is_last = station is self.result.stations[-1]
            places = max(self.line.places_after(station.number, is_last=is_last), *behind, 0)
        found += self.at_end()
        timeless = list(takewhile(lambda node: node.station.work.mean_s == 0, [*ahead, *found]))
        is_left = any(node.test or node.station.gate for node in timeless)  # by rejects, at once
        if (
            self.step_s is None
            and timeless
            and (is_left or len(timeless) == len(ahead) + len(found))
        ):
            timeless[0].station = replace(timeless[0].station, work=Duration(mean_s=LEAST_S))
        return ahead, found

    def machines(self, *tasks: str) -> list[Machine]:
        return [m for m in self.product.machines if m.line == self.line.name and m.task in tasks]

    def ahead(self) -> Iterator[Node]:
        """Yield the machines that work ahead of the line, in listed order."""
        places = 0
        for machine in self.machines(""):
            told = machine_figures(machine, self.takt, copies=max(1, self.line.copies))
            if told.cycle_s is not None:
                yield self.machine_node(machine, told.cycle_s, told.machines or 1, 0, places)
                places = machine.places_after or 0

    def machine_node(
        self, machine: Machine, cycle: float, count: int, number: int, before: int
    ) -> Node:
        """Return a machine, or several alike, that takes units from the places before it."""
        batch, servers, time = 1, count, cycle
        if machine.kind == MachineKind.BATCH:
            batch = max(1, floor(machine.batch or 1))
            time = cycle * (machine.batch or 1)
        elif machine.kind == MachineKind.IN_LINE and machine.length_m and cycle:
            time = machine.length_m / (machine.speed_m_per_min or 1) * 60
            servers = count * max(1, round(time / cycle))
            time = max(time, cycle)
        return Node(
            station=FlowStation(
                work=Duration(mean_s=time),
                line=self.line.name,
                number=number,
                name=machine.name,
                servers=servers,
                batch=batch,
                stops=_stops(stops_of(None, (), [machine])) if servers == count else (),
            ),
            before=max(before, machine.places_before or 0),
        )

    def at_station(self, station: Station) -> list[Node]:
        """Return a station and what stands behind it: testers, soak, ovens, loads."""
        tasks = [self.tasks[number] for number in station.tasks if number in self.tasks]
        mean, sd = self.work(station, tasks)
        behind: list[Node] = []
        here: list[Test] = []
        for test in (self.tests[task.number] for task in tasks if task.number in self.tests):
            apart = self.apart(test, station.number, mean)
            if apart is not None:
                behind.append(apart)
                continue
            if not test.task.machine:  # the time of a machine is all of it
                mean += max(0, test.step.process_ms or 0) / 1000
            here.append(test)
        for machine in self.machines(*(t.number for t in tasks)):
            behind += self.behind(machine, station, tasks)
        missing, wait = _shortage(self.product, tasks)
        node = Node(
            station=FlowStation(
                work=Duration(mean_s=mean, sd_s=sd),
                line=self.line.name,
                number=station.number,
                servers=max(1, station.copies),
                needs=tuple(self.needs(tasks)),
                stops=self.stops(station, tasks),
                shortage_share=missing,
                shortage_s=wait,
            ),
            step_s=self.step_s,
            test=_judged(here),
        )
        return [node, *behind]

    def work(self, station: Station, tasks: Sequence[Task]) -> tuple[float, float]:
        """Return mean and standard deviation of the work: of its tasks, and of the models."""
        ticks = station.work_ticks
        if len(station.operators) > 1:  # until the last operator is done
            times = {task.number: task.time_ms or 0 for task in tasks}
            ticks = max(
                t + times.get(n, 0) for o in station.operators for n, t in o.tasks or (("", 0),)
            )
        mean = self.result.in_time_unit(ticks) + self.lost_s
        variance = sum((max(0, task.time_sd_ms or 0) / 1000) ** 2 for task in tasks)
        shares = {model.name: model.share for model in self.product.models}
        whole = sum(shares.get(name, 0) for name, _ in station.model_ticks)
        if whole:
            of_models = [
                (shares.get(name, 0) / whole, self.result.in_time_unit(t))
                for name, t in station.model_ticks
            ]
            center = sum(share * time for share, time in of_models)
            variance += sum(share * (time - center) ** 2 for share, time in of_models)
        return mean, sqrt(variance)

    def apart(self, test: Test, number: int, mean: float) -> Node | None:
        """Return soak, or testers that take longer than the pace, with positions of their own."""
        task, step = test.task, test.step
        process = max(0, step.process_ms or 0) / 1000
        if not process:
            return None
        if step.kind == QualityKind.SOAK:
            soak = soak_figures(test)
            work, servers = process + max(0.0, soak.handling_s), soak.positions
        else:
            servers = gate_figures(test).testers
            if (servers or 1) == 1 and mean + process <= self.pace_s:
                return None
            work = max(0.0, process - (task.time_ms or 0) / 1000) if task.machine else process
        return Node(
            station=FlowStation(
                work=Duration(mean_s=work),
                line=self.line.name,
                number=number,
                name=f"{'soak' if step.kind == QualityKind.SOAK else 'test'} {task.number}",
                servers=max(1, servers or 1),
            ),
            test=_judged([test]),
        )

    def behind(self, machine: Machine, station: Station, tasks: Sequence[Task]) -> Iterator[Node]:
        """Yield a machine that keeps its units longer than its task takes at the station."""
        if machine.kind not in (MachineKind.IN_LINE, MachineKind.BATCH):
            return
        copies = max(1, self.line.copies)
        told = machine_figures(machine, self.takt, copies=copies, station=station.number)
        if told.cycle_s is None:
            return
        # Those of all copies, as evenly as can be; none is without.
        count = max(1, ((told.machines or 1) + copies - self.copy) // copies)
        node = self.machine_node(machine, told.cycle_s, count, station.number, 0)
        if machine.kind == MachineKind.IN_LINE:  # its stops are those of the station before it
            at_station = sum(t.time_ms or 0 for t in tasks if t.number == machine.task) / 1000
            rest = node.station.work.mean_s - at_station
            if rest <= 0:
                return
            # The first place is at the station: units follow one another at the machine's cycle.
            servers = count * max(1, round(rest / told.cycle_s))
            work = Duration(mean_s=rest)
            node.before = 0
            node.station = replace(node.station, work=work, servers=servers, stops=())
        yield node

    def needs(self, tasks: Sequence[Task]) -> Iterator[Need]:
        numbers = {task.number for task in tasks}
        for join in line_tree(self.product).feeders(self.line.name):
            if join.join in numbers and join.line in self.joins:
                yield Need(buffer=self.joins[join.line], quantity=float(units_per_start(join)))

    def stops(self, station: Station, tasks: Sequence[Task]) -> tuple[Stop, ...]:
        """Return the stops of the station, of its equipment and of the machines of its tasks."""
        setting = next((s for s in self.line.stations if s.number == station.number), None)
        machines = self.machines(*(t.number for t in tasks))
        at_it = [m for m in machines if m.kind != MachineKind.BATCH]  # that stands behind it
        return _stops(stops_of(setting, equipment_at(self.product, setting, tasks), at_it))

    def at_end(self) -> Iterator[Node]:
        """Yield what is lost on the way beyond the tests, and the transport to the join."""
        line_yield = self.line.yield_share
        if self.line.is_main:
            line_yield = self.product.demand.yield_share
        planned = [test for test in self.tests.values() if test.station is not None]
        through = float(prod(test.good for test in planned))
        lost = line_yield / through if through else 1.0
        if 0 <= lost < 1 - 1e-9:
            yield self.end_node("rejects", 0.0, 1, gate_of_test(lost))
        if self.line.transport_ms > 0:
            time = self.line.transport_ms / 1000
            yield self.end_node("transport", time, 2 * ceil(time / self.pace_s) + 1, None)

    def end_node(self, what: str, time: float, servers: int, gate: Gate | None) -> Node:
        number = self.result.stations[-1].number
        name = f"{what} of {self.line.name}"
        return Node(
            station=FlowStation(
                work=Duration(mean_s=time),
                line=self.line.name,
                number=number,
                name=name,
                servers=servers,
                gate=gate,
            )
        )


def _judged(tests: Sequence[Test]) -> Judged | None:
    """Return the tests of one station as one, with the bench of the first that has one."""
    failing = [test for test in tests if test.first < 1]
    if not failing:
        return None
    bench = next((test for test in failing if test.step.repair_ms), failing[0])
    step = bench.step
    return Judged(
        first=prod(float(test.first) for test in failing),
        repeat=prod(float(test.repeat) for test in failing),
        scrap=float(bench.scrap),
        reentry=step.reentry,
        repair_s=max(0, step.repair_ms or 0) / 1000,
        repair_cv=1.0 if step.repair_cv is None else max(0.0, step.repair_cv),
        benches=max(1, gate_figures(bench).benches or step.repairers or 1),
    )


def _stops(causes: Sequence[StopCause]) -> tuple[Stop, ...]:
    return tuple(Stop(mtbf_s=cause.mtbf_s, mttr_s=cause.mttr_s) for cause in causes)


def _shortage(product: Product, tasks: Sequence[Task]) -> tuple[float, float]:
    """Return how often a part of these tasks is missing, and how long it is waited for."""
    names = {use.part for task in tasks for use in task.parts}
    short = [
        (1 - part.present_share, wait_s)
        for part in product.parts
        if part.number in names and 0 <= part.present_share < 1
        if (wait_s := (part.shortage_min or 0) * 60) > 0
    ]
    if not short:
        return 0.0, 0.0
    share = 1 - prod(1 - missing for missing, _ in short)
    wait = sum(missing * time for missing, time in short) / sum(missing for missing, _ in short)
    return share, wait
