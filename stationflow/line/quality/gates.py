"""Gates of a line: the tests and inspections, with what comes to each of them."""

from dataclasses import dataclass, replace
from fractions import Fraction
from math import prod

from stationflow.line.quality.repair_loop import repair_loop
from stationflow.line.stop_times import availability, equipment_at
from stationflow.model import (
    Explained,
    Finding,
    Line,
    Product,
    ProductPlan,
    QualityKind,
    QualityStep,
    Reentry,
    Task,
)
from stationflow.pace.figures import fraction, is_number
from stationflow.pace.takt import pace_facts
from stationflow.pace.working_time import exact_time_per_day


@dataclass(frozen=True, slots=True, kw_only=True)
class GateFigures:
    """The numbers of one gate, of one copy of its line while the line runs.

    None: it cannot be computed from what is entered, or grows without end; a finding says which.
    """

    task: str
    name: str
    line: str
    kind: QualityKind
    station: int | None  # None: the line has no plan
    reentry: Reentry
    # first, repeat, scrap: the shares used
    first_pass: float
    repeat_pass: float
    scrap: float
    reach_share: float  # of the units started that come to the gate
    arriving_per_h: float | None = None  # units that come to it for the first time
    repairs_per_unit: float | None = None
    tests_per_unit: float | None = None
    scrap_per_unit: float | None = None
    final_yield: float | None = None
    test_s: float | None = None
    testers_needed: int | None = None
    testers: int | None = None  # entered, or needed
    tester_load: float | None = None
    tester_wait_s: float | None = None
    failed_per_h: float | None = None  # visits at the repair bench
    bench_tests_per_h: float | None = None  # of repaired units, where they come back after the test
    repair_s: float | None = None
    benches_needed: int | None = None
    benches: int | None = None  # entered, or needed
    bench_load: float | None = None
    bench_wait_s: float | None = None
    in_repair: float | None = None  # mean units that wait for a bench or are repaired
    float_p99: int | None = None  # units in repair, not exceeded in 99 % of the time
    float_p999: int | None = None
    empty_needed: float | None = None  # share of empty places that re-entry before the test takes
    empty_share: float = 0.0  # share of the places that come to the gate empty
    launch_share: float | None = None  # of the places that may get a new unit at most: 1 / v
    place_pace_s: float | None = None  # from place to place, with the planned empty places
    vacancy: float | None = None  # share of empty places behind the gate
    place_waiting: float | None = None  # repaired units that wait for a place, upper estimate
    place_wait_s: float | None = None
    # the most units off the line within so many hours, where nothing drains the float
    growth: tuple[tuple[float, int], ...] = ()
    numbers: tuple[Explained, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate:
    """What is entered about a gate, and what comes to it."""

    task: Task
    step: QualityStep  # with what its repair bench says besides
    line: Line
    station: int | None
    reach: Fraction  # share of the units started that come to it
    takt: Fraction | None  # from start to start, in s
    day_h: Fraction  # working time of a day
    available: Fraction  # share of the time its testers run

    @property
    def where(self) -> str:
        """The gate as it is named in numbers."""
        return f"gate {self.task.number}"

    @property
    def first(self) -> Fraction:
        """Share that passes the first time; not entered: all."""
        share = self.step.first_pass_share
        return Fraction(1) if share is None else _met(share)

    @property
    def repeat(self) -> Fraction:
        """Share that passes after a repair; not entered: as the first time."""
        share = self.step.repeat_pass_share
        return self.first if share is None or self.first == 1 else _met(share)

    @property
    def scrap(self) -> Fraction:
        """Share of the rejects that is scrapped; not entered: none."""
        return _met(self.step.scrap_share or 0)

    @property
    def good(self) -> Fraction:
        """Share that passes in the end; where a repair has no exit, the first time."""
        loop = repair_loop(self.first, self.repeat, self.scrap)
        return self.first if loop is None else loop.good

    @property
    def test_time(self) -> Fraction | None:
        """Time a tester is taken by one test in s; None: not timed.

        Hand and test time add up; the time of a machine is all of it.
        """
        hand, process = self.task.time_ms or 0, self.step.process_ms or 0
        total = max(hand, process) if self.task.machine else hand + process
        return Fraction(total, 1000) if total else None

    @property
    def line_tests(self) -> Fraction:
        """Tests of one unit on the line; those after repair where it comes back before the test."""
        loop = repair_loop(self.first, self.repeat, self.scrap)
        is_back = loop is not None and self.step.reentry == Reentry.BEFORE_TEST
        return loop.tests if loop and is_back else Fraction(1)

    @property
    def is_tester(self) -> bool:
        """Whether it has testers to be counted; soak has positions."""
        return self.step.kind != QualityKind.SOAK


def gates_of(product: Product, product_plan: ProductPlan | None, line: Line) -> tuple[Gate, ...]:
    """Return the gates of a line in the order units come to them.

    With a plan that is the order of its stations, else the listed order. A repair task is the
    bench of the gate before it. A gate with a share that cannot be is left out, with its bench: the
    check of what is entered names it.
    """
    pace, _ = pace_facts(product, line.name)
    day_h = exact_time_per_day(product.calendar) / 3600
    stations = stations_of(product_plan, line.name)
    tasks = product.tasks_of(line.name)
    ordered = sorted(tasks, key=lambda t: stations.get(t.number, (0, 0)) if stations else (0, 0))
    gates: list[Gate] = []
    has_gate = False  # whether the last gate met so far is one of `gates`
    for task in ordered:
        step = task.quality
        if step is None or step.lot is not None:  # a sample of each lot holds no unit back
            continue
        if step.kind == QualityKind.REPAIR:
            if has_gate:
                gates[-1] = replace(gates[-1], step=_with_bench(gates[-1].step, step))
            continue
        has_gate = _is_possible(step)
        if not has_gate:
            continue
        gates.append(
            Gate(
                task=task,
                step=step,
                line=line,
                station=stations[task.number][0] if task.number in stations else None,
                reach=Fraction(1),
                takt=pace.operating_takt if pace else None,
                day_h=day_h,
                available=prod(
                    map(availability, equipment_at(product, None, [task])), start=Fraction(1)
                ),
            )
        )
    reach = Fraction(1)
    for at, gate in enumerate(gates):
        gates[at] = replace(gate, reach=reach)
        reach *= gate.good
    return tuple(gates)


def stations_of(product_plan: ProductPlan | None, line: str) -> dict[str, tuple[int, int]]:
    """Return the station of each task of a line, with its place there; empty: no plan."""
    plan = product_plan.of(line) if product_plan else None
    return {
        task: (station.number, place)
        for station in (plan.result.stations if plan else ())
        for place, task in enumerate(station.tasks)
    }


def _with_bench(gate: QualityStep, bench: QualityStep) -> QualityStep:
    """Return the gate with what only its repair bench says; places of a bench are its repairers."""
    repairers = bench.repairers if bench.positions is None else bench.positions
    return replace(
        gate,
        repair_ms=bench.repair_ms if gate.repair_ms is None else gate.repair_ms,
        repair_cv=bench.repair_cv if gate.repair_cv is None else gate.repair_cv,
        repairers=repairers if gate.repairers is None else gate.repairers,
    )


def _met(share: float) -> Fraction:
    """Return a share exactly; one smaller than is met in a plant is none."""
    return fraction(share) if is_number(share) else Fraction(0)


def _is_possible(step: QualityStep) -> bool:
    shares = (step.first_pass_share, step.repeat_pass_share, step.scrap_share, step.empty_share)
    return all(share is None or 0 <= share <= 1 for share in shares)
