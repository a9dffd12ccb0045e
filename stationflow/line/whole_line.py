"""The whole line at one pace: the figures of lines, machines, tests and soak of a product plan."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from stationflow.line.geometry.line_figures import LineFigures, ScheduleRow, all_line_figures
from stationflow.line.geometry.line_places import Stay
from stationflow.line.left_out import all_left_out, is_left_out
from stationflow.line.machines.machine_figures import MachineFigures, machine_figures
from stationflow.line.machines.machine_time import at_once, through_time
from stationflow.line.plan_checks import check_plans
from stationflow.line.quality.gates import GateFigures
from stationflow.line.quality.product_quality import QualityFigures, quality_figures
from stationflow.line.quality.soaks import SoakFigures
from stationflow.model import (
    Explained,
    Finding,
    Machine,
    MachineKind,
    Period,
    Product,
    ProductPlan,
    by_severity,
)
from stationflow.pace.figures import fraction
from stationflow.pace.formula import Formula, computed_time
from stationflow.pace.pace_explained import LineFacts
from stationflow.pace.takt import pace_facts
from stationflow.pace.working_time import exact_time_per_period

FILLING = Formula(
    name="filling time",
    unit="s",
    right="most lead of a feeder + time until the first unit leaves",
    source="the first unit waits nowhere: the sum of its places and positions",
    other="Counted from the first start of any feeder, its buffer places filled; from the first "
    "start on the main line it is less by the lead. What is bought in is there already.",
)
CLEARING = Formula(
    name="clearing time",
    unit="s",
    right="time until the last unit leaves",
    source="the last unit waits nowhere: the sum of its places and positions",
    other="Counted from the last start on the main line; feeders end before by their lead.",
)
CHAIN = {
    *("takt-time", "operating-takt", "starts-per-week", "cycle", "needed", "utilisation"),
    *("magazines-empty", "places", "length", "through", "carriers-needed", "lead", "lead-units"),
    *("filling-time", "clearing-time"),
}
CHAIN_OF_TESTS = ("-testers-needed", "-tester-load", "-benches-needed", "-bench-load", "-positions")
"""Keys of the numbers in the chain from demand to leads; of tests and soak, how they end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WholeLine:
    """All lines of a product at one pace, as the plans in force have them."""

    lines: tuple[LineFigures, ...] = ()  # in listed order, bought-in ones too
    machines: tuple[MachineFigures, ...] = ()
    quality: QualityFigures = field(default_factory=QualityFigures)
    filling_s: float | None = None  # from the first start of a feeder to the first unit that leaves
    clearing_s: float | None = None  # from the last start on the main line to the last one
    of_pace: tuple[Explained, ...] = ()  # numbers of demand and pace, line by line
    own_numbers: tuple[Explained, ...] = ()  # of the line as a whole
    findings: tuple[Finding, ...] = ()

    @property
    def numbers(self) -> tuple[Explained, ...]:
        """Every number, opened, from demand over machines, tests and soak to places and leads."""
        machines = (number for each in self.machines for number in each.numbers)
        lines = (number for each in self.lines for number in each.numbers)
        return (*self.of_pace, *machines, *self.quality.numbers, *lines, *self.own_numbers)

    @property
    def chain(self) -> tuple[Explained, ...]:
        """The numbers of the chain from demand to leads: what each line, machine and test needs."""
        return tuple(
            number
            for number in self.numbers
            if number.key in CHAIN or number.key.endswith(CHAIN_OF_TESTS)
        )

    @property
    def gates(self) -> tuple[GateFigures, ...]:
        """Inspections and tests."""
        return self.quality.gates

    @property
    def soaks(self) -> tuple[SoakFigures, ...]:
        """Soak under power."""
        return self.quality.soaks

    @property
    def schedule(self) -> tuple[ScheduleRow, ...]:
        """When the first unit comes to each station and the last leaves it, in order of time."""
        rows = (row for line in self.lines for row in line.schedule)
        return tuple(sorted(rows, key=lambda row: row.first_s))

    def line(self, name: str) -> LineFigures | None:
        """Return the figures of a line, or None."""
        return next((each for each in self.lines if each.line == name), None)


def whole_line(product: Product, plans: ProductPlan) -> WholeLine:
    """Return the figures of the whole line; what has no plan or no pace has none.

    Nor has a line of which something was not read that they rest on.
    """
    told = {line.name: pace_facts(product, line.name)[0] for line in product.lines}
    known = {name: facts for name, facts in told.items() if facts is not None}
    paces = {name: facts for name, facts in known.items() if not is_left_out(product, name)}
    machines = tuple(_machine(product, machine, plans, paces) for machine in product.machines)
    stays = _stays(product, plans, paces, machines)
    lines = all_line_figures(product, plans, paces, stays)
    quality = quality_figures(product, plans)
    whole = WholeLine(
        lines=lines,
        machines=machines,
        quality=quality,
        of_pace=tuple(number for facts in known.values() for number in facts.numbers),
    )
    findings = (
        *all_left_out(product),
        *check_plans(product, plans),
        *(finding for line in lines for finding in line.findings),
        *(finding for machine in machines for finding in machine.findings),
        *quality.findings,
    )
    return replace(_filled(product, whole), findings=by_severity(findings))


def station_of(plans: ProductPlan, line: str, task: str) -> int | None:
    """Return the number of the station that has a task, or None."""
    plan = plans.of(line)
    stations = plan.result.stations if plan else ()
    return next((each.number for each in stations if task in each.tasks), None)


def _machine(
    product: Product, machine: Machine, plans: ProductPlan, paces: Mapping[str, LineFacts]
) -> MachineFigures:
    facts = paces.get(machine.line)
    shift = exact_time_per_period(product.calendar, Period.SHIFT)
    return machine_figures(
        machine,
        facts.operating_takt if facts else None,
        copies=facts.line.copies if facts else 1,
        station=station_of(plans, machine.line, machine.task) if machine.task else None,
        shift=shift or None,
    )


def _stays(
    product: Product,
    plans: ProductPlan,
    paces: Mapping[str, LineFacts],
    machines: tuple[MachineFigures, ...],
) -> dict[str, dict[int, Stay]]:
    """Return what keeps a unit at a station beyond its place: machines, tests and soak there."""
    found: dict[str, dict[int, Stay]] = {}

    def add(line: str, station: int | None, time: Fraction, length: float | None = None) -> None:
        if station is not None:
            of_line = found.setdefault(line, {})
            held = of_line.get(station, Stay())
            of_line[station] = Stay(
                time=held.time + time, length_m=held.length_m + fraction(length or 0)
            )

    for machine, figures in zip(product.machines, machines, strict=True):
        facts = paces.get(machine.line)
        if facts is not None and figures.through_s is not None:
            time = _time_in(machine, facts.operating_takt)
            is_long = machine.kind == MachineKind.IN_LINE
            add(machine.line, figures.station, time, machine.length_m if is_long else None)
    for task in product.tasks:
        if task.quality is not None and task.quality.process_ms:
            time = Fraction(task.quality.process_ms + task.quality.handling_ms, 1000)
            add(task.line, station_of(plans, task.line, task.number), time)
    return found


def _time_in(machine: Machine, operating_takt: Fraction) -> Fraction:
    """Return how long a machine keeps a unit beyond the place of its station.

    A load waits until it is complete, and is taken away one by one: for every unit the two add up
    to the takts of the others.
    """
    through = through_time(machine) or Fraction(0)
    if machine.kind in (MachineKind.IN_LINE, MachineKind.BATCH):
        return through + (at_once(machine) - 1) * operating_takt
    return max(Fraction(0), through - operating_takt)


def _filled(product: Product, whole: WholeLine) -> WholeLine:
    """Add filling and clearing, where the main line and all its feeders have plans."""
    main = whole.line(product.main_line.name) if product.main_line else None
    made = {line.name for line in product.made_lines}
    leads = [line.lead_s for line in whole.lines if line.line in made]
    if main is None or not main.schedule or not main.is_planned or None in leads:
        return whole
    most = max(0.0, *(lead or 0.0 for lead in leads))
    through = main.schedule[-1].last_s
    filling, of_filling = FILLING.opened(
        {
            "most lead of a feeder": computed_time(fraction(most)),
            "time until the first unit leaves": computed_time(fraction(through)),
        }
    )
    clearing, of_clearing = CLEARING.opened(
        {"time until the last unit leaves": computed_time(fraction(through))}
    )
    return replace(
        whole,
        filling_s=float(filling),
        clearing_s=float(clearing),
        own_numbers=(of_filling, of_clearing),
    )
