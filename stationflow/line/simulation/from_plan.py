"""A product with the plans of its lines becomes a flow of units.

A station keeps its unit for its work, its machine or test, and the repositioning of each cycle.
What takes longer than the pace and has places of its own (soak, testers, ovens, loads) stands
behind its station: there a paced line is cut, and each part steps by itself. Of a paced line the
stations without places between them step together, at the pace or when the slowest is done.
How many machines, testers, positions and benches there are, and how long a machine takes, is what
the figures of machines, gates and soak say: at the operating takt, or without one at the pace of
the plan.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import takewhile
from math import ceil, floor, prod, sqrt

from stationflow.line.left_out import output_left_out
from stationflow.line.machines.machine_figures import machine_figures
from stationflow.line.quality.gate_numbers import gate_figures
from stationflow.line.quality.gates import Gate as Test
from stationflow.line.quality.gates import gates_of
from stationflow.line.quality.soaks import soak_figures
from stationflow.line.simulation.flow_model import (
    GOOD,
    NONE,
    SCRAP,
    Carriers,
    Duration,
    FlowBuffer,
    FlowModel,
    FlowStation,
    Gate,
    Law,
    Need,
    PacedLine,
    Stop,
    gate_of_test,
)
from stationflow.line.stop_times import StopCause, equipment_at, stops_of
from stationflow.model import (
    BalanceResult,
    Conveyor,
    Finding,
    Line,
    LineForm,
    Machine,
    MachineKind,
    Product,
    ProductPlan,
    QualityKind,
    Reentry,
    Station,
    Task,
    warning,
)
from stationflow.network.line_tree import line_tree, units_per_start
from stationflow.pace.figures import fraction
from stationflow.pace.takt import pace_facts

LEAST_S = 1.0
"""A line without time, or without any up to its first rejects, steps so often: none is endless."""


STRAIGHTENED = {
    LineForm.U_LINE: "It is a U-line; it is simulated as a straight line whose units pass each "
    "station once.",
    LineForm.TWO_SIDED: "It is two-sided; it is simulated as a straight line in which the stations "
    "that face each other come one after the other.",
}
"""What becomes of the form of a line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedFlow:
    """The flow of a product, and what was left out of it."""

    model: FlowModel | None  # None: the main line has no plan, or something was not read
    findings: tuple[Finding, ...] = ()


def planned_flow(product: Product, plan: ProductPlan) -> PlannedFlow:
    """Return the flow of all lines that have a plan; others always have a unit ready."""
    main = product.main_line
    if stopped := output_left_out(product):
        return PlannedFlow(model=None, findings=stopped)
    if main is None or _result(plan, main) is None:
        message = "The main line has no plan, so that nothing can be simulated."
        return PlannedFlow(model=None, findings=(warning("no-plan", "Line main", message),))
    return _Lines(product, plan, main).flow()


def _result(plan: ProductPlan, line: Line) -> BalanceResult | None:
    planned = plan.of(line.name)
    return planned.result if planned and planned.result.stations else None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Judged:
    """What is judged at a node, and its bench."""

    first: float  # shares that pass the first time, and after a repair
    repeat: float
    scrap: float  # share of the rejects
    reentry: Reentry
    repair_s: float
    repair_cv: float
    benches: int


@dataclass(slots=True, kw_only=True)
class _Node:
    """A station to be, before it is known what it takes from and gives to."""

    station: FlowStation
    step_s: float | None = None  # it steps with its neighbours at this pace
    before: int = 0  # places between the node before and this one
    test: _Judged | None = None


@dataclass(slots=True)
class _Lines:
    product: Product
    plan: ProductPlan
    main: Line
    stations: list[FlowStation] = field(init=False, default_factory=list)
    buffers: list[FlowBuffer] = field(init=False, default_factory=list)
    paced: list[PacedLine] = field(init=False, default_factory=list)
    carriers: list[Carriers] = field(init=False, default_factory=list)
    joins: dict[str, int] = field(init=False, default_factory=dict)
    findings: list[Finding] = field(init=False, default_factory=list)

    def flow(self) -> PlannedFlow:
        tree = line_tree(self.product)
        lines = [line for line in tree.lines.values() if tree.way_to_main(line.name)]
        planned = [line for line in lines if _result(self.plan, line) is not None]
        for line in lines:
            if line not in planned and not line.bought_in:
                message = "It has no plan; the simulation takes its units as always there."
                self.findings.append(warning("no-plan", f"Line {line.label}", message))
        for line in planned:
            if not line.is_main:
                most = max((ceil(units_per_start(j)) for j in tree.joins[line.name]), default=1)
                places = max(line.buffer_places, most, 1)
                self.joins[line.name] = self.buffer(f"before the join of {line.name}", places)
        for line in planned:
            result = _result(self.plan, line)
            assert result is not None
            self.findings += _left_out(line, result)
            self.add_line(line, result)
        model = FlowModel(
            stations=tuple(self.stations),
            buffers=tuple(self.buffers),
            paced=tuple(self.paced),
            carriers=tuple(self.carriers),
            main=self.main.name,
        )
        return PlannedFlow(model=model, findings=tuple(self.findings))

    def buffer(self, name: str, places: int | None) -> int:
        self.buffers.append(FlowBuffer(places=places, name=name))
        return len(self.buffers) - 1

    def add_line(self, line: Line, result: BalanceResult) -> None:
        units = line_tree(self.product).units_per_product(line.name)
        copies = max(1, line.copies)
        carrier = NONE
        if line.carriers and line.carriers > 0:
            carrier = len(self.carriers)
            self.carriers.append(
                Carriers(count=line.carriers, return_s=max(0, line.carrier_return_ms) / 1000)
            )
        end = self.joins.get(line.name, GOOD)
        source = NONE
        for copy in range(1, copies + 1):
            along = _LineNodes(self.product, self.plan, line, result, self.joins, copy)
            ahead, nodes = along.nodes()
            if ahead and copy == 1:  # all copies take from them
                places = _places_between(ahead[-1], nodes[0])
                source = self.buffer(f"before {nodes[0].station.label}", places)
            starts = nodes if source == NONE else ahead
            starts[0].station = replace(starts[0].station, takes_carrier=carrier)
            nodes[-1].station = replace(nodes[-1].station, gives_carrier=carrier != NONE)
            for group, share in ((ahead, 1), (nodes, copies)):
                for node in group:
                    name = node.station.name if copy == 1 else f"{node.station.label}, copy {copy}"
                    per_unit = float(units or 1) / share
                    node.station = replace(node.station, name=name, per_unit=per_unit)
            if ahead and copy == 1:
                self.wire(line, ahead, NONE, source)
            self.wire(line, nodes, source, end)

    def wire(self, line: Line, nodes: Sequence[_Node], source: int, end: int) -> None:
        """Put the nodes one behind another, with their buffers, paced parts and benches."""
        first = len(self.stations)
        self.stations += [node.station for node in nodes]
        inputs, returns = [source] + [NONE] * (len(nodes) - 1), [NONE] * len(nodes)
        for i in range(1, len(nodes)):
            if not _step_together(nodes[i - 1], nodes[i]):
                places = _places_between(nodes[i - 1], nodes[i])
                inputs[i] = self.buffer(f"before {nodes[i].station.label}", places)
        for i, node in enumerate(nodes):
            if node.test is not None:
                back = self.add_bench(line, nodes, i, end, returns)
                gate = gate_of_test(node.test.first, node.test.repeat, reject_to=back)
                self.stations[first + i] = replace(self.stations[first + i], gate=gate)
        for i in range(len(nodes)):
            to = end if i + 1 == len(nodes) else inputs[i + 1]
            self.stations[first + i] = replace(
                self.stations[first + i], input=inputs[i], to=to, returns=returns[i]
            )
        start = 0
        empty_share = _empty_share(self.product, line)
        for i in range(1, len(nodes) + 1):
            if i == len(nodes) or not _step_together(nodes[i - 1], nodes[i]):
                step_s = nodes[start].step_s
                if step_s is not None:
                    self.paced.append(
                        PacedLine(
                            first=first + start,
                            last=first + i - 1,
                            pace_s=step_s,
                            empty_share=empty_share,
                            halts=line.conveyor == Conveyor.CONTINUOUS,
                        )
                    )
                    empty_share = 0.0  # only where units start
                start = i

    def add_bench(
        self, line: Line, nodes: Sequence[_Node], i: int, end: int, returns: list[int]
    ) -> int:
        """Add the bench of a test; return the buffer before it, or scrap where there is no exit."""
        node = nodes[i]
        test = node.test
        assert test is not None
        repeat, scrap = test.repeat, test.scrap
        if repeat == 0 and scrap == 0:
            return SCRAP
        label = node.station.label
        retested = test.reentry == Reentry.AFTER_TEST
        place = i + 1 if retested else i
        before = self.buffer(f"failed at {label}", None)
        if place < len(nodes):
            if returns[place] == NONE:
                returns[place] = self.buffer(f"back to {nodes[place].station.label}", None)
            to = returns[place]
        else:
            to = end
        passes = (1 - scrap) * repeat if retested else 1 - scrap
        again = (1 - scrap) * (1 - repeat) if retested else 0.0
        gate = Gate(
            pass_share=passes,
            repeat_pass=passes,
            reject_share=again,
            repeat_reject=again,
            reject_to=before,
        )
        mean, cv = test.repair_s, test.repair_cv
        law = Law.EXPONENTIAL if cv == 1 else Law.GAMMA
        self.stations.append(
            FlowStation(
                work=Duration(mean_s=max(mean, 1e-3), sd_s=cv * mean, law=law),
                line=line.name,
                number=node.station.number,
                name=f"repair of {label}",
                input=before,
                to=to,
                servers=test.benches,
                gate=gate,
            )
        )
        return before


def _left_out(line: Line, result: BalanceResult) -> Iterator[Finding]:
    """Yield what the plan of a line has and its flow has not."""
    where = f"Line {line.label}"
    if line.form in STRAIGHTENED:
        yield warning("simulated-straight", where, STRAIGHTENED[line.form])
    shared = [str(station.number) for station in result.stations if len(station.operators) > 1]
    if shared:
        message = (
            f"Several operators work at station {', '.join(shared)}; it is simulated with one who "
            "is busy until the last of them is done."
        )
        yield warning("simulated-straight", where, message)


def _places_between(one: _Node, other: _Node) -> int:
    batch = other.station.batch if other.station.batch > 1 else 0
    return max(other.before, batch, 0 if one.step_s is None else 1)


def _step_together(one: _Node, other: _Node) -> bool:
    return one.step_s is not None and other.step_s is not None and not other.before


def _empty_share(product: Product, line: Line) -> float:
    """Return the share of places that are left empty where units start; the same for all gates."""
    steps = (task.quality for task in product.tasks_of(line.name) if task.quality)
    return min(0.99, max((max(0.0, step.empty_share) for step in steps), default=0.0))


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

    def nodes(self) -> tuple[list[_Node], list[_Node]]:
        """Return the machines ahead of the line, which its copies share, and what is along it."""
        ahead, found = list(self.ahead()), list[_Node]()
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

    def ahead(self) -> Iterator[_Node]:
        """Yield the machines that work ahead of the line, in listed order."""
        places = 0
        for machine in self.machines(""):
            told = machine_figures(machine, self.takt, copies=max(1, self.line.copies))
            if told.cycle_s is not None:
                yield self.machine_node(machine, told.cycle_s, told.machines or 1, 0, places)
                places = machine.places_after or 0

    def machine_node(
        self, machine: Machine, cycle: float, count: int, number: int, before: int
    ) -> _Node:
        """Return a machine, or several alike, that takes units from the places before it."""
        batch, servers, time = 1, count, cycle
        if machine.kind == MachineKind.BATCH:
            batch = max(1, floor(machine.batch or 1))
            time = cycle * (machine.batch or 1)
        elif machine.kind == MachineKind.IN_LINE and machine.length_m and cycle:
            time = machine.length_m / (machine.speed_m_per_min or 1) * 60
            servers = count * max(1, round(time / cycle))
            time = max(time, cycle)
        return _Node(
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

    def at_station(self, station: Station) -> list[_Node]:
        """Return a station and what stands behind it: testers, soak, ovens, loads."""
        tasks = [self.tasks[number] for number in station.tasks if number in self.tasks]
        mean, sd = self.work(station, tasks)
        behind: list[_Node] = []
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
        node = _Node(
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

    def apart(self, test: Test, number: int, mean: float) -> _Node | None:
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
        return _Node(
            station=FlowStation(
                work=Duration(mean_s=work),
                line=self.line.name,
                number=number,
                name=f"{'soak' if step.kind == QualityKind.SOAK else 'test'} {task.number}",
                servers=max(1, servers or 1),
            ),
            test=_judged([test]),
        )

    def behind(self, machine: Machine, station: Station, tasks: Sequence[Task]) -> Iterator[_Node]:
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

    def at_end(self) -> Iterator[_Node]:
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

    def end_node(self, what: str, time: float, servers: int, gate: Gate | None) -> _Node:
        number = self.result.stations[-1].number
        name = f"{what} of {self.line.name}"
        return _Node(
            station=FlowStation(
                work=Duration(mean_s=time),
                line=self.line.name,
                number=number,
                name=name,
                servers=servers,
                gate=gate,
            )
        )


def _judged(tests: Sequence[Test]) -> _Judged | None:
    """Return the tests of one station as one, with the bench of the first that has one."""
    failing = [test for test in tests if test.first < 1]
    if not failing:
        return None
    bench = next((test for test in failing if test.step.repair_ms), failing[0])
    step = bench.step
    return _Judged(
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
