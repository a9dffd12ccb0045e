"""A product with the plans of its lines becomes a flow of units.

Places between two stations, and what stands behind one with places of its own, cut a paced line:
each part steps by itself. The stations without places between them step together, at the pace or
when the slowest is done.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from math import ceil

from stationflow.line.left_out import output_left_out
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
    PacedLine,
    gate_of_test,
)
from stationflow.line.simulation.line_nodes import Node, nodes_along
from stationflow.model import (
    BalanceResult,
    Conveyor,
    Finding,
    Line,
    LineForm,
    Product,
    ProductPlan,
    Reentry,
    warning,
)
from stationflow.network.line_tree import line_tree, units_per_start

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
            ahead, nodes = nodes_along(self.product, self.plan, line, result, self.joins, copy)
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

    def wire(self, line: Line, nodes: Sequence[Node], source: int, end: int) -> None:
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
        self, line: Line, nodes: Sequence[Node], i: int, end: int, returns: list[int]
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


def _places_between(one: Node, other: Node) -> int:
    batch = other.station.batch if other.station.batch > 1 else 0
    return max(other.before, batch, 0 if one.step_s is None else 1)


def _step_together(one: Node, other: Node) -> bool:
    return one.step_s is not None and other.step_s is not None and not other.before


def _empty_share(product: Product, line: Line) -> float:
    """Return the share of places that are left empty where units start; the same for all gates."""
    steps = (task.quality for task in product.tasks_of(line.name) if task.quality)
    return min(0.99, max((max(0.0, step.empty_share) for step in steps), default=0.0))
