"""The quality flow of a product: gates, yields, soak, samples, packing and faults of all lines."""

from dataclasses import dataclass, field, replace

from stationflow.line.left_out import is_left_out
from stationflow.line.quality.drop_test import DropPlan, drop_plan
from stationflow.line.quality.fault_pareto import Pareto, pareto
from stationflow.line.quality.gate_numbers import gate_figures
from stationflow.line.quality.gates import GateFigures, gates_of
from stationflow.line.quality.inspection_places import InspectionFigures, inspection_figures
from stationflow.line.quality.line_yields import YieldFigures, line_yield
from stationflow.line.quality.samples import SampleFigures, sample_figures
from stationflow.line.quality.soaks import SoakFigures, soak_figures
from stationflow.model import (
    Explained,
    Finding,
    Product,
    ProductPlan,
    QualityKind,
    Reentry,
    by_severity,
    warning,
)
from stationflow.model.unread import Use
from stationflow.pace.figures import figure

Record = YieldFigures | GateFigures | InspectionFigures | SoakFigures | SampleFigures | DropPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class QualityFigures:
    """What tests, repair, soak and packing of a product need and leave."""

    yields: tuple[YieldFigures, ...] = ()  # of each line with gates
    gates: tuple[GateFigures, ...] = ()  # line by line, in the order units come to them
    inspections: tuple[InspectionFigures, ...] = ()  # of each line with several timed gates
    soaks: tuple[SoakFigures, ...] = ()
    samples: tuple[SampleFigures, ...] = ()
    drops: DropPlan | None = None  # None: no procedure was chosen
    pareto: Pareto = field(default_factory=Pareto)
    findings: tuple[Finding, ...] = ()

    @property
    def numbers(self) -> tuple[Explained, ...]:
        """All numbers in the order of the job."""
        return tuple(number for each in self.records for number in each.numbers)

    @property
    def records(self) -> tuple[Record, ...]:
        """Everything that has numbers."""
        drops = () if self.drops is None else (self.drops,)
        return (*self.yields, *self.gates, *self.inspections, *self.soaks, *self.samples, *drops)


def quality_figures(product: Product, product_plan: ProductPlan | None = None) -> QualityFigures:
    """Return the quality flow of all lines; without a plan no stations are told.

    What rests on something that was not read is left out.
    """
    left_out = {line.name for line in product.lines if is_left_out(product, line.name)}
    yields: list[YieldFigures] = []
    gates: list[GateFigures] = []
    inspections: list[InspectionFigures] = []
    soaks: list[SoakFigures] = []
    found: list[Finding] = []
    for line in product.lines:
        if line.name in left_out:
            continue
        on_line = gates_of(product, product_plan, line)
        if of_line := line_yield(product, line.name, on_line):
            yields.append(of_line)
        of_gates = [
            gate_figures(gate)
            for gate in on_line
            if gate.is_tester or gate.step.first_pass_share is not None
        ]
        gates += of_gates
        found += _short_of_places(line.name, of_gates)
        if of_places := inspection_figures(line.name, on_line):
            inspections.append(of_places)
        soaks += [soak_figures(g) for g in on_line if g.step.kind == QualityKind.SOAK]
    figures = QualityFigures(
        yields=tuple(yields),
        gates=tuple(gates),
        inspections=tuple(inspections),
        soaks=tuple(soaks),
        samples=tuple(
            sample
            for task in product.tasks
            if task.line not in left_out and (sample := sample_figures(task))
        ),
        drops=None if product.stopped((), Use.DROPS) else drop_plan(product.packing),
        pareto=pareto(product, product_plan),
    )
    found += [finding for each in figures.records for finding in getattr(each, "findings", ())]
    return replace(figures, findings=by_severity([*found, *figures.pareto.findings]))


def _short_of_places(line: str, gates: list[GateFigures]) -> list[Finding]:
    """Name the gates that bring repaired units back where too few places come empty."""
    short = [
        gate
        for gate in gates
        if gate.reentry == Reentry.BEFORE_TEST
        and gate.empty_needed is not None
        and gate.place_waiting is None
    ]
    if not short:
        return []
    needed = ", ".join(
        f"{figure((gate.empty_needed or 0) * 100, 1)} % for task {gate.task}" for gate in short
    )
    said = (
        "Repaired units come back before the test into places that come empty: "
        f"{figure(min(g.empty_share for g in short) * 100, 1)} % do, and more are needed, over "
        f"{needed}. What is repaired piles up."
    )
    return [warning("empty-places-too-few", f"Line {line}", said)]
