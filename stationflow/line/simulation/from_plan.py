"""A product with the plans of its lines becomes a flow of units.

A station keeps its unit for its work, its machine or test, and the repositioning of each cycle.
What takes longer than the pace and has places of its own (soak, testers, ovens, loads) stands
behind its station: there a paced line is cut, and each part steps by itself. Of a paced line the
stations without places between them step together, at the pace or when the slowest is done.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import takewhile
from math import ceil, floor, prod, sqrt

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
    QualityStep,
    Reentry,
    Station,
    Task,
    warning,
)
from stationflow.network.line_tree import line_tree, units_per_start

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

    model: FlowModel | None  # None: the main line has no plan
    findings: tuple[Finding, ...] = ()


def planned_flow(product: Product, plan: ProductPlan) -> PlannedFlow:
    """Return the flow of all lines that have a plan; others always have a unit ready."""
    main = product.main_line
    if main is None or _result(plan, main) is None:
        message = "The main line has no plan, so that nothing can be simulated."
        return PlannedFlow(model=None, findings=(warning("no-plan", "Line main", message),))
    return _Lines(product, plan, main).flow()


def _result(plan: ProductPlan, line: Line) -> BalanceResult | None:
    planned = plan.of(line.name)
    return planned.result if planned and planned.result.stations else None


@dataclass(slots=True, kw_only=True)
class _Node:
    """A station to be, before it is known what it takes from and gives to."""

    station: FlowStation
    step_s: float | None = None  # it steps with its neighbours at this pace
    before: int = 0  # places between the node before and this one
    test: QualityStep | None = None  # what is judged there


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
        per_unit = float(units or 1) / max(1, line.copies)
        carrier = NONE
        if line.carriers and line.carriers > 0:
            carrier = len(self.carriers)
            self.carriers.append(
                Carriers(count=line.carriers, return_s=max(0, line.carrier_return_ms) / 1000)
            )
        for copy in range(1, max(1, line.copies) + 1):
            nodes = _LineNodes(self.product, line, result, self.joins).nodes()
            nodes[0].station = replace(nodes[0].station, takes_carrier=carrier)
            nodes[-1].station = replace(nodes[-1].station, gives_carrier=carrier != NONE)
            for node in nodes:
                name = node.station.name
                if copy > 1:
                    name = f"{node.station.label}, copy {copy}"
                node.station = replace(node.station, name=name, per_unit=per_unit)
            self.wire(line, nodes)

    def wire(self, line: Line, nodes: Sequence[_Node]) -> None:
        """Put the nodes one behind another, with their buffers, paced parts and benches."""
        end = self.joins.get(line.name, GOOD)
        first = len(self.stations)
        self.stations += [node.station for node in nodes]
        inputs, returns = [NONE] * len(nodes), [NONE] * len(nodes)
        for i in range(1, len(nodes)):
            if not _step_together(nodes[i - 1], nodes[i]):
                places = max(
                    nodes[i].before, nodes[i].station.batch if nodes[i].station.batch > 1 else 0
                )
                places = max(places, 1 if nodes[i - 1].step_s is not None else 0)
                inputs[i] = self.buffer(f"before {nodes[i].station.label}", places)
        for i, node in enumerate(nodes):
            if node.test is not None:
                back = self.add_bench(line, nodes, i, end, returns)
                gate = gate_of_test(*_passes(node.test), reject_to=back)
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
        step = node.test
        assert step is not None
        _, repeat = _passes(step)
        scrap = step.scrap_share or 0.0
        if repeat == 0 and scrap == 0:
            return SCRAP
        label = node.station.label
        retested = step.reentry == Reentry.AFTER_TEST
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
        mean = max(0, step.repair_ms or 0) / 1000
        cv = 1.0 if step.repair_cv is None else max(0.0, step.repair_cv)
        law = Law.EXPONENTIAL if cv == 1 else Law.GAMMA
        self.stations.append(
            FlowStation(
                work=Duration(mean_s=max(mean, 1e-3), sd_s=cv * mean, law=law),
                line=line.name,
                number=node.station.number,
                name=f"repair of {label}",
                input=before,
                to=to,
                servers=max(1, step.repairers or _benches(nodes, step, mean)),
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


def _step_together(one: _Node, other: _Node) -> bool:
    return one.step_s is not None and other.step_s is not None and not other.before


def _benches(nodes: Sequence[_Node], step: QualityStep, repair_s: float) -> int:
    """Return the fewest repairers that keep up where all nodes keep up with the slowest."""
    slowest = max(
        max(n.step_s or 0, n.station.work.mean_s / n.station.servers / n.station.batch)
        for n in nodes
    )
    first, repeat = _passes(step)
    visits = (1 - first) / max(1e-9, 1 - (1 - repeat) * (1 - (step.scrap_share or 0)))
    return floor(visits * repair_s / max(slowest, LEAST_S)) + 1


def _passes(step: QualityStep) -> tuple[float, float]:
    """Return the shares that pass the first time, and after a repair."""
    first = 1.0 if step.first_pass_share is None else step.first_pass_share
    return first, first if step.repeat_pass_share is None else step.repeat_pass_share


def _is_possible(step: QualityStep) -> bool:
    shares = (step.first_pass_share, step.repeat_pass_share, step.scrap_share)
    return all(share is None or 0 <= share <= 1 for share in shares)


def _empty_share(product: Product, line: Line) -> float:
    """Return the share of places that are left empty where units start; the same for all gates."""
    steps = (task.quality for task in product.tasks_of(line.name) if task.quality)
    return min(0.99, max((max(0.0, step.empty_share) for step in steps), default=0.0))


@dataclass(slots=True)
class _LineNodes:
    """What stands along one line."""

    product: Product
    line: Line
    result: BalanceResult
    joins: dict[str, int]  # the buffer of each feeder before its join
    tasks: dict[str, Task] = field(init=False)
    step_s: float | None = field(init=False)

    def __post_init__(self) -> None:
        self.tasks = {task.number: task for task in self.product.tasks_of(self.line.name)}
        self.step_s = None
        if self.line.conveyor.is_paced:
            pace = (self.result.limit or self.result.cycle_time) + self.lost_s
            self.step_s = pace or LEAST_S

    @property
    def lost_s(self) -> float:
        return max(0, self.line.repositioning_ms) / 1000

    @property
    def pace_s(self) -> float:
        """The time from unit to unit, as it was planned."""
        return self.step_s or (self.result.limit or self.result.cycle_time) + self.lost_s or LEAST_S

    def nodes(self) -> list[_Node]:
        found = list(self.ahead())
        places = (found and self.machines("")[-1].places_after) or 0
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
        timeless = list(takewhile(lambda node: node.station.work.mean_s == 0, found))
        is_left = any(node.test or node.station.gate for node in timeless)  # by rejects, at once
        if self.step_s is None and timeless and (is_left or len(timeless) == len(found)):
            found[0].station = replace(found[0].station, work=Duration(mean_s=LEAST_S))
        return found

    def machines(self, *tasks: str) -> list[Machine]:
        return [m for m in self.product.machines if m.line == self.line.name and m.task in tasks]

    def ahead(self) -> Iterator[_Node]:
        """Yield the machines that work ahead of the line, in listed order."""
        places = 0
        for machine in self.machines(""):
            cycle = _machine_cycle(machine)
            if cycle is not None:
                yield self.machine_node(machine, cycle, 0, places)
                places = machine.places_after or 0

    def machine_node(self, machine: Machine, cycle: float, number: int, before: int) -> _Node:
        """Return a machine that takes units from the places before it."""
        count = max(1, machine.count or ceil(cycle / self.pace_s - 1e-9))
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
                stops=tuple(_stop(machine.mtbf_min, machine.mttr_min)) if servers == count else (),
            ),
            before=max(before, machine.places_before or 0),
        )

    def at_station(self, station: Station) -> list[_Node]:
        """Return a station and what stands behind it: testers, soak, ovens, loads."""
        tasks = [self.tasks[number] for number in station.tasks if number in self.tasks]
        mean, sd = self.work(station, tasks)
        behind: list[_Node] = []
        judged: list[QualityStep] = []
        for task, step in self.steps(tasks):
            apart = self.apart(task, step, mean)
            if apart is not None:
                apart.test = step if _fails(step) else None
                behind.append(apart)
                continue
            if not task.machine:  # the time of a machine is all of it
                mean += max(0, step.process_ms or 0) / 1000
            if _fails(step):
                judged.append(step)
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
                stops=tuple(self.stops(station, tasks)),
                shortage_share=missing,
                shortage_s=wait,
            ),
            step_s=self.step_s,
            test=_together(judged),
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

    def steps(self, tasks: Sequence[Task]) -> Iterator[tuple[Task, QualityStep]]:
        """Yield what is judged at a station, each with its bench; samples hold no unit back."""
        listed = [
            task for s in self.result.stations for n in s.tasks if (task := self.tasks.get(n))
        ]
        for task in tasks:
            step = task.quality
            if step is None or step.kind == QualityKind.REPAIR or step.lot is not None:
                continue
            if _is_possible(step):
                yield task, _with_bench(step, listed[listed.index(task) + 1 :])

    def apart(self, task: Task, step: QualityStep, mean: float) -> _Node | None:
        """Return soak, or testers that take longer than the pace, with positions of their own."""
        process = max(0, step.process_ms or 0) / 1000
        hand = (task.time_ms or 0) / 1000
        positions = step.positions or 0
        if not process:
            return None
        if step.kind == QualityKind.SOAK:
            held = process + (max(0, step.handling_ms) / 1000 or hand)
            visits = 1.0
            if step.reentry == Reentry.BEFORE_TEST and _fails(step):
                first, repeat = _passes(step)
                scrap = step.scrap_share or 0
                visits += (1 - first) * (1 - scrap) / max(1e-9, 1 - (1 - repeat) * (1 - scrap))
            needed = ceil(held * visits / self.pace_s) + step.spare_positions
            work, servers = held, positions or needed
        elif positions > 1 or mean + process > self.pace_s:
            work = max(0.0, process - hand) if task.machine else process
            servers = positions or ceil((hand + process) / self.pace_s)
        else:
            return None
        return _Node(
            station=FlowStation(
                work=Duration(mean_s=work),
                line=self.line.name,
                number=self.number_of(task),
                name=f"{'soak' if step.kind == QualityKind.SOAK else 'test'} {task.number}",
                servers=max(1, servers),
            )
        )

    def number_of(self, task: Task) -> int:
        return next(s.number for s in self.result.stations if task.number in s.tasks)

    def behind(self, machine: Machine, station: Station, tasks: Sequence[Task]) -> Iterator[_Node]:
        """Yield a machine that keeps its units longer than its task takes at the station."""
        cycle = _machine_cycle(machine)
        if cycle is None or machine.kind not in (MachineKind.IN_LINE, MachineKind.BATCH):
            return
        node = self.machine_node(machine, cycle, station.number, 0)
        if machine.kind == MachineKind.IN_LINE:  # its stops are those of the station before it
            at_station = sum(t.time_ms or 0 for t in tasks if t.number == machine.task) / 1000
            rest = node.station.work.mean_s - at_station
            if rest <= 0:
                return
            # The first place is at the station: units follow one another at the machine's cycle.
            servers = max(1, machine.count or 1) * max(1, round(rest / cycle)) if cycle else 1
            work = Duration(mean_s=rest)
            node.before = 0
            node.station = replace(node.station, work=work, servers=servers, stops=())
        yield node

    def needs(self, tasks: Sequence[Task]) -> Iterator[Need]:
        numbers = {task.number for task in tasks}
        for join in line_tree(self.product).feeders(self.line.name):
            if join.join in numbers and join.line in self.joins:
                yield Need(buffer=self.joins[join.line], quantity=float(units_per_start(join)))

    def stops(self, station: Station, tasks: Sequence[Task]) -> Iterator[Stop]:
        """Yield the stops of the station, of its equipment and of the machines of its tasks."""
        setting = next((s for s in self.line.stations if s.number == station.number), None)
        names = {name for task in tasks for name in task.limits.equipment}
        if setting is not None:
            names |= set(setting.equipment)
            yield from _stop(setting.mtbf_min, setting.mttr_min)
        for each in self.product.equipment:
            if each.name in names:
                yield from _stop(each.mtbf_min, each.mttr_min)
        for machine in self.machines(*(t.number for t in tasks)):
            if machine.kind != MachineKind.BATCH:  # it stands behind the station
                yield from _stop(machine.mtbf_min, machine.mttr_min)

    def at_end(self) -> Iterator[_Node]:
        """Yield what is lost on the way beyond the tests, and the transport to the join."""
        line_yield = self.line.yield_share
        if self.line.is_main:
            line_yield = self.product.demand.yield_share
        tests = [step for _, step in self.steps(list(self.tasks_in_plan())) if _fails(step)]
        through = prod(_final_yield(step) for step in tests)
        lost = line_yield / through if through else 1.0
        if 0 <= lost < 1 - 1e-9:
            yield self.end_node("rejects", 0.0, 1, gate_of_test(lost))
        if self.line.transport_ms > 0:
            time = self.line.transport_ms / 1000
            yield self.end_node("transport", time, 2 * ceil(time / self.pace_s) + 1, None)

    def tasks_in_plan(self) -> Iterable[Task]:
        numbers = [number for s in self.result.stations for number in s.tasks]
        return (self.tasks[number] for number in numbers if number in self.tasks)

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


def _fails(step: QualityStep) -> bool:
    return step.first_pass_share is not None and step.first_pass_share < 1


def _final_yield(step: QualityStep) -> float:
    first, repeat = _passes(step)
    scrap = step.scrap_share or 0.0
    again = 1 - (1 - repeat) * (1 - scrap)
    return 1 - (1 - first) * scrap / again if again else first


def _together(steps: Sequence[QualityStep]) -> QualityStep | None:
    """Return the tests of one station as one, with the bench of the first that has one."""
    if len(steps) < 2:
        return steps[0] if steps else None
    bench = next((step for step in steps if step.repair_ms), steps[0])
    return replace(
        bench,
        first_pass_share=prod(_passes(step)[0] for step in steps),
        repeat_pass_share=prod(_passes(step)[1] for step in steps),
    )


def _with_bench(gate: QualityStep, later: Sequence[Task]) -> QualityStep:
    """Return the gate with what the repair task before the next gate says of its bench."""
    for task in later:
        bench = task.quality
        if bench is None or bench.lot is not None:
            continue
        if bench.kind != QualityKind.REPAIR:
            break
        repairers = bench.repairers if bench.positions is None else bench.positions
        gate = replace(
            gate,
            repair_ms=bench.repair_ms if gate.repair_ms is None else gate.repair_ms,
            repair_cv=bench.repair_cv if gate.repair_cv is None else gate.repair_cv,
            repairers=repairers if gate.repairers is None else gate.repairers,
        )
    return gate


def _machine_cycle(machine: Machine) -> float | None:
    """Return the time of one unit in s; None: a number is missing or cannot be."""
    load, change = machine.load_ms / 1000, machine.change_ms / 1000
    batch = machine.batch if machine.batch is not None else 1.0
    good = machine.yield_share
    numbers = (machine.piece_ms, machine.process_ms, machine.length_m, machine.speed_m_per_min)
    if not (batch > 0 and 0 < good <= 1 and machine.pieces > 0 and min(load, change) >= 0):
        return None
    if any(number is not None and not number >= 0 for number in (*numbers, machine.spacing_m)):
        return None
    if machine.kind in (MachineKind.INSERTER, MachineKind.PRESS):
        if machine.piece_ms is None:
            return None
        changes = change * machine.pieces / machine.magazine if machine.magazine else 0.0
        return (machine.pieces * machine.piece_ms / 1000 + load / batch + changes) / good
    if machine.kind == MachineKind.IN_LINE:
        if not machine.speed_m_per_min or not machine.spacing_m:
            return None
        return machine.spacing_m / machine.speed_m_per_min * 60 / batch / good
    if machine.process_ms is None:
        return None
    pieces = machine.pieces if machine.kind == MachineKind.CUTTER else 1.0
    return (load + machine.process_ms / 1000) * pieces / batch / good


def _stop(mtbf_min: float | None, mttr_min: float | None) -> Iterator[Stop]:
    if mtbf_min and mttr_min and mtbf_min > 0 and mttr_min > 0:
        yield Stop(mtbf_s=mtbf_min * 60, mttr_s=mttr_min * 60)


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
