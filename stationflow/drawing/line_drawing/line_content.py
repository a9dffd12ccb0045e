"""What stands on the drawing of the line: stations, feeders, and the list of its positions."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from stationflow.balancing.time_words import count
from stationflow.model import Line, Machine, Product, Station, Task
from stationflow.model.product_plan import LinePlan, ProductPlan
from stationflow.model.quality_step import QualityKind, Reentry
from stationflow.network.line_tree import line_tree
from stationflow.pace.figures import figure

PART = " \N{MIDDLE DOT} "
"""Stands between the title of a line and each thing that is said of it."""


class Symbol(StrEnum):
    """The symbols of the drawing, by the letter that begins the number of a position."""

    MACHINE = "M"
    TEST = "T"
    INSPECTION = "I"
    REPAIR = "R"
    SOAK = "S"
    JOIN = "J"
    PACKING = "P"


KINDS = {
    QualityKind.INSPECTION: (Symbol.INSPECTION, "Inspection"),
    QualityKind.SAFETY_TEST: (Symbol.TEST, "Safety test"),
    QualityKind.FUNCTION_TEST: (Symbol.TEST, "Function test"),
    QualityKind.SOAK: (Symbol.SOAK, "Soak"),
    QualityKind.REPAIR: (Symbol.REPAIR, "Repair"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One position: its symbol, its number ("T1"), and what stands about it in the list."""

    symbol: Symbol
    code: str
    name: str
    words: str
    length_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnStation:
    """A station as it is drawn."""

    number: int
    name: str  # its longest task, and how many more there are
    load: float  # in the time unit of the plan
    share: float | None  # of the limit; None: there is no limit
    length_m: float | None
    copies: int = 1
    places_after: int = 0  # for units waiting behind it
    marks: tuple[Mark, ...] = ()
    tip: str = ""
    is_soak: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnLine:
    """A line as it is drawn, with the feeders that join it."""

    line: Line
    caption: str
    stations: tuple[DrawnStation, ...] = ()
    ahead: tuple[Mark, ...] = ()  # machines that work before its first station
    end: tuple[Mark, ...] = ()  # packing behind the last one
    feeders: tuple["DrawnLine", ...] = ()
    join_at: int = 0  # place of the station of the fed line that takes its units, from 0
    without: str = ""  # why it has no stations
    told_m: float | None = None  # its length as the figures say it, with copies of stations

    @property
    def length_m(self) -> float | None:
        """Its length with the places between stations; None: not all lengths are given."""
        lengths = [station.length_m for station in self.stations]
        if not lengths or None in lengths:
            return None
        return sum(length for length in lengths if length) + sum(map(self.waiting_m, self.stations))

    def waiting_m(self, station: DrawnStation) -> float:
        """Return the length along the line of the places behind a station."""
        return 0.0 if self.line.waits_beside else station.places_after * (self.line.pitch_m or 0.0)

    def all(self) -> Iterator["DrawnLine"]:
        """Yield the line and all that feed it, directly or not."""
        yield self
        for feeder in self.feeders:
            yield from feeder.all()

    def marks(self) -> Iterator[Mark]:
        """Yield its positions from left to right, then those of its feeders."""
        yield from self.ahead
        for station in self.stations:
            yield from station.marks
        yield from self.end
        for feeder in self.feeders:
            yield from feeder.marks()


@dataclass(frozen=True, slots=True, kw_only=True)
class Notes:
    """What the figures of the whole line say of what is drawn, in a few words each."""

    lines: Mapping[str, str] = field(default_factory=dict)  # by the name of the line
    lengths_m: Mapping[str, float] = field(default_factory=dict)  # by the name of the line
    machines: Mapping[str, str] = field(default_factory=dict)  # by the name of the machine
    tasks: Mapping[str, str] = field(default_factory=dict)  # tests and soaks, by task number


NO_NOTES = Notes()


def drawn_lines(
    product: Product, plan: ProductPlan, notes: Notes = NO_NOTES
) -> tuple[DrawnLine, ...]:
    """Return the main line with its feeders, then lines that lead nowhere."""
    tree = line_tree(product)
    content = _Content(product, plan, notes)
    seen: set[str] = set()
    # The main line, other lines that feed none we know, then what is left of a circle of lines.
    order = sorted(
        tree.lines.values(), key=lambda line: (line != product.main_line, line.feeds in tree.lines)
    )
    ends = [line for line in order if line.feeds not in tree.lines]
    drawn = [content.drawn(line, seen) for line in ends]
    drawn += [content.drawn(line, seen) for line in order if line.name not in seen]
    return tuple(drawn)


def in_overview(line: DrawnLine) -> DrawnLine:
    """Return a line without what an overview has no room for: words, repair, places between."""
    stations = tuple(
        replace(
            station,
            places_after=0,
            marks=tuple(mark for mark in station.marks if mark.symbol != Symbol.REPAIR),
        )
        for station in line.stations
    )
    title, feeders = line.caption.partition(PART)[0], tuple(map(in_overview, line.feeders))
    return replace(line, caption=title, stations=stations, feeders=feeders)


class _Content:
    """Gathers what is drawn and numbers the positions."""

    def __init__(self, product: Product, plan: ProductPlan, notes: Notes) -> None:
        self.product, self.plan, self.notes = product, plan, notes
        self.tree = line_tree(product)
        self.tasks = {task.number: task for task in product.tasks}
        self.numbers: Counter[Symbol] = Counter()

    def mark(self, symbol: Symbol, name: str, words: str, length_m: float | None = None) -> Mark:
        self.numbers[symbol] += 1
        code = f"{symbol.value}{self.numbers[symbol]}"
        return Mark(symbol=symbol, code=code, name=name, words=words, length_m=length_m)

    def drawn(self, line: Line, seen: set[str], join_at: int = 0) -> DrawnLine:
        """Return one line; in a circle of lines each is drawn once."""
        seen.add(line.name)
        planned = self.plan.of(line.name)
        result = planned.result if planned else None
        machines = [m for m in self.product.machines if m.line == line.name]
        ahead = tuple(self.machine(m) for m in machines if not m.task)
        stations = tuple(self.stations(line, planned)) if planned else ()
        is_end = line == self.product.main_line and self.product.packing.gross_kg is not None
        end = (self.packing(),) if is_end else ()
        place = {
            number: at
            for at, s in enumerate(result.stations if result else ())
            for number in s.tasks
        }
        feeders = tuple(
            self.drawn(other, seen, place.get(other.join, 0))
            for other in self.tree.lines.values()
            if other.feeds == line.name and other.name not in seen
        )
        return DrawnLine(
            line=line,
            caption=self.caption(line, planned),
            stations=stations,
            ahead=ahead,
            end=end,
            feeders=feeders,
            join_at=join_at,
            without="" if stations else self.why_none(line),
            told_m=self.notes.lengths_m.get(line.name),
        )

    def why_none(self, line: Line) -> str:
        if line.bought_in:
            return "bought in"
        tasks = len(self.product.tasks_of(line.name))
        return f"no plan in force, {count(tasks, 'task')}"

    def caption(self, line: Line, planned: LinePlan | None) -> str:
        """Return what stands above a line."""
        said = [line.label]
        if line.feeds:
            said.append(f"{figure(line.quantity)} for each unit of {self.label(line.feeds)}")
        if line.copies > 1:
            said.append(f"{line.copies} lines side by side")
        if planned:
            result = planned.result
            said.append(count(len(result.stations), "station"))
            if result.limit:
                said.append(f"limit {figure(result.limit, 1)} {result.time_unit}")
        if note := self.notes.lines.get(line.name):
            said.append(note)
        return PART.join(said)

    def label(self, name: str) -> str:
        line = self.product.line(name)
        return line.label if line else name

    def stations(self, line: Line, planned: LinePlan) -> Iterator[DrawnStation]:
        result = planned.result
        settings = {setting.number: setting for setting in line.stations}
        last = len(result.stations) - 1
        for at, (station, load) in enumerate(zip(result.stations, result.loads, strict=True)):
            setting = settings.get(station.number)
            length = setting.length_m if setting and setting.length_m else line.pitch_m
            tasks = [self.tasks[n] for n in station.tasks if n in self.tasks]
            yield DrawnStation(
                number=station.number,
                name=_station_name(tasks),
                load=load,
                share=load / result.limit if result.limit else None,
                length_m=length,
                copies=station.copies,
                places_after=line.places_after(station.number, is_last=at == last),
                marks=tuple(self.marks(line, station, tasks)),
                tip=_tip(station, load, result.time_unit, tasks),
                is_soak=any(t.quality and t.quality.kind == QualityKind.SOAK for t in tasks),
            )

    def marks(self, line: Line, station: Station, tasks: list[Task]) -> Iterator[Mark]:
        """Yield the positions at a station: machines, tests with their repair, further joins."""
        where = f"station {station.number} of {line.label}"
        numbers = {task.number for task in tasks}
        for join in self.product.joins:
            if join.feeds == line.name and join.join in numbers:
                words = f"{figure(join.quantity)} for each unit, {where}"
                yield self.mark(Symbol.JOIN, f"Units of {self.label(join.line)}", words)
        for machine in self.product.machines:
            if machine.line == line.name and machine.task in numbers:
                yield self.machine(machine, where)
        for task in tasks:
            yield from self.quality(task, where)

    def machine(self, machine: Machine, where: str = "") -> Mark:
        number = f"{machine.count} of them" if machine.count and machine.count > 1 else ""
        said = [machine.kind.value, number, self.notes.machines.get(machine.name, "")]
        said.append(where or f"ahead of {self.label(machine.line)}")
        words = ", ".join(part for part in said if part)
        return self.mark(Symbol.MACHINE, machine.name, words, machine.length_m)

    def quality(self, task: Task, where: str) -> Iterator[Mark]:
        step = task.quality
        if step is None:
            return
        symbol, kind = KINDS[step.kind]
        said = [f"task {task.number}", where]
        if step.process_ms:
            said.append(f"{figure(step.process_ms / 1000, 1)} s")
        if step.first_pass_share is not None and symbol != Symbol.REPAIR:
            said.append(f"first pass {figure(100 * step.first_pass_share, 1)} %")
        if step.empty_share:
            said.append(f"{figure(100 * step.empty_share, 1)} % of the places left empty behind it")
        said.append(self.notes.tasks.get(task.number) or _positions(step.positions))
        test = self.mark(symbol, f"{kind}: {task.name}", ", ".join(part for part in said if part))
        yield test
        if symbol != Symbol.REPAIR and step.repair_ms and (step.first_pass_share or 0) < 1:
            back = "before the test" if step.reentry == Reentry.BEFORE_TEST else "behind the test"
            people = f", {count(step.repairers, 'repairer')}" if step.repairers else ""
            words = f"mean {figure(step.repair_ms / 1000, 1)} s, back into the line {back}{people}"
            yield self.mark(Symbol.REPAIR, f"Repair of {test.code}", words)

    def packing(self) -> Mark:
        packing = self.product.packing
        said = [
            packing.form.value if packing.form else "",
            f"{figure(packing.gross_kg or 0, 2)} kg",
        ]
        said.append(f"{packing.per_pallet} on a pallet" if packing.per_pallet else "")
        return self.mark(Symbol.PACKING, "Packed unit", ", ".join(part for part in said if part))


def _positions(positions: int | None) -> str:
    return count(positions, "position") if positions else ""


def _station_name(tasks: list[Task]) -> str:
    if not tasks:
        return "no task"
    longest = max(tasks, key=lambda task: task.time_ms or 0)
    more = f" (+{len(tasks) - 1})" if len(tasks) > 1 else ""
    return f"{longest.name or longest.number}{more}"


def _tip(station: Station, load: float, unit: str, tasks: list[Task]) -> str:
    names = "; ".join(f"{task.number} {task.name}" for task in tasks)
    return f"Station {station.number}, {figure(load, 1)} {unit}: {names}"
