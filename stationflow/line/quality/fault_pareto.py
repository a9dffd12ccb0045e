"""From the tally of faults to the stations that make them, and the cards of the test stations."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from stationflow.line.quality.gates import stations_of
from stationflow.model import Fault, Finding, Product, ProductPlan, QualityKind, warning
from stationflow.model.unread import Use

OPERATOR, REPAIRER = "operator of this station", "repairer"
"""Who acts on a fault: an inspection sends nothing to a bench of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ParetoRow:
    """A fault with its share of all that were found; the most frequent comes first."""

    fault: str
    text: str
    count: int
    share: float
    cumulated: float
    task: str  # that causes it; empty: not known
    line: str
    station: int | None  # None: not known, or the line has no plan
    part: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Pareto:
    """The tally, ranked by fault."""

    rows: tuple[ParetoRow, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CardRow:
    """One place of fault on the card of a test station."""

    code: str
    text: str
    task: str
    station: str  # "station 4", "station 2 of board"; empty: not known
    part: str
    who: str  # acts
    reaction: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultCard:
    """The places of fault that one gate finds, to be printed and hung up there."""

    gate: str  # task number
    name: str
    line: str
    station: int | None
    rows: tuple[CardRow, ...]


def pareto(product: Product, product_plan: ProductPlan | None = None) -> Pareto:
    """Return what the tally says, ranked; a fault that leads to no station is named.

    Faults found equally often stand in the order of their codes. A day that is counted twice for
    one fault adds up. Nothing is ranked while something of faults or tally was not read.
    """
    if product.stopped((), Use.FAULTS):
        return Pareto()
    counts: Counter[str] = Counter()
    for each in product.tally:
        counts[each.fault] += max(0, each.count)
    total = counts.total()
    if not total:
        return Pareto()
    faults = {fault.code: fault for fault in reversed(product.faults)}
    place = _places(product, product_plan)
    rows, so_far = [], 0
    for code, count in sorted(counts.items(), key=lambda item: (-item[1], item[0])):
        if not count:
            continue
        so_far += count
        fault = faults.get(code, Fault(code=code))
        line, station = place(fault.task)
        rows.append(
            ParetoRow(
                fault=code,
                text=fault.text,
                count=count,
                share=count / total,
                cumulated=so_far / total,
                task=fault.task,
                line=line,
                station=station,
                part=fault.part,
            )
        )
    return Pareto(rows=tuple(rows), findings=tuple(_without_station(rows, product_plan)))


def fault_cards(product: Product, product_plan: ProductPlan | None = None) -> tuple[FaultCard, ...]:
    """Return the card of each gate that faults are found at, in listed order of the tasks."""
    place = _places(product, product_plan)
    cards = []
    for task in product.tasks:
        found = [fault for fault in product.faults if fault.gate == task.number]
        if not found:
            continue
        line, station = place(task.number)
        is_repaired = task.quality is not None and task.quality.kind != QualityKind.INSPECTION
        rows = tuple(
            CardRow(
                code=fault.code,
                text=fault.text,
                task=fault.task,
                station=_station_words(*place(fault.task), line),
                part=fault.part,
                who=REPAIRER if is_repaired else OPERATOR,
                reaction=fault.reaction,
            )
            for fault in found
        )
        cards.append(
            FaultCard(gate=task.number, name=task.name, line=line, station=station, rows=rows)
        )
    return tuple(cards)


def _places(
    product: Product, product_plan: ProductPlan | None
) -> Callable[[str], tuple[str, int | None]]:
    """Return a function from a task's number to its line and station."""
    lines = {task.number: task.line for task in product.tasks}
    stations = {line: stations_of(product_plan, line) for line in set(lines.values())}

    def place(task: str) -> tuple[str, int | None]:
        line = lines.get(task, "")
        return line, stations.get(line, {}).get(task, (None, 0))[0]

    return place


def _station_words(line: str, station: int | None, here: str) -> str:
    if station is None:
        return ""
    return f"station {station}" if line == here else f"station {station} of {line}"


def _without_station(
    rows: Sequence[ParetoRow], product_plan: ProductPlan | None
) -> Iterator[Finding]:
    """Name faults that lead to no station; those of a line without a plan together."""
    unplanned: dict[str, list[ParetoRow]] = {}
    for row in rows:
        if row.line and not (product_plan and product_plan.of(row.line)):
            unplanned.setdefault(row.line, []).append(row)
        elif row.station is None:
            why = (
                f"the plan of line {row.line} has no task {row.task}"
                if row.line
                else f"task {row.task} that should cause it is not there"
                if row.task
                else "no task is named that causes it"
            )
            said = f"Found {row.count} times, and it leads to no station: {why}."
            yield warning("fault-without-station", f"Fault {row.fault}", said)
    for line, of_line in unplanned.items():
        faults = ", ".join(row.fault for row in of_line[:6]) + (" ..." if len(of_line) > 6 else "")
        said = (
            f"It has no plan, so that {sum(row.count for row in of_line)} faults found lead to no "
            f"station ({faults})."
        )
        yield warning("fault-without-station", f"Line {line}", said)
