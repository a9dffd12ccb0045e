"""A product: all that the engineer enters, kept once."""

from collections.abc import Collection
from dataclasses import dataclass, field

from stationflow.model.demand import Calendar, Demand, Model, ReachOptions
from stationflow.model.fault import Fault, FaultCount
from stationflow.model.finding import Finding
from stationflow.model.line import FurtherJoin, Line
from stationflow.model.machine import Machine
from stationflow.model.packed_unit import Packing
from stationflow.model.task import Task
from stationflow.model.unread import Unread, Use
from stationflow.units import TimeUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One row of the parts list."""

    number: str  # the part number; tells parts apart
    name: str = ""
    quantity: float | None = None  # in one product; None: not entered
    unit: str = ""  # "m", "g"; empty: pieces
    container: str = ""  # its code (code and words; never a colour alone)
    container_quantity: float | None = None  # in a full container
    weight_g: float | None = None  # of one
    present_share: float = 1.0  # share of the units for which it is there in time (0 to 1)
    shortage_min: float | None = None  # mean time the line waits for it when it is not

    @property
    def unit_label(self) -> str:
        """The unit as it is printed."""
        return self.unit or "pcs"


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment:
    """A machine, tester or fixture of which the plant has a limited number."""

    name: str
    quantity: int = 1
    # mtbf_min, mttr_min: mean running time between failures and mean time to repair, in minutes
    mtbf_min: float | None = None
    mttr_min: float | None = None
    cost: float | None = None
    shared: bool = False  # whether one does for two stations next to each other


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeLag:
    """How much time, or how many stations, lie between the end of a task and the start of another.

    Adhesive that cures and solder that cools need a shortest time; both times are in ms. The
    numbers of stations say how many stations after the first task the other one is.
    """

    before: str
    after: str
    shortest_ms: int | None = None
    longest_ms: int | None = None
    least_stations: int | None = None
    most_stations: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Costs:
    """What a line costs to run, in the currency of the plant; None: not entered."""

    operator_cost_h: float | None = None  # of one operator
    station_cost_week: float | None = None  # of one equipped station
    space_cost_m2_week: float | None = None  # of one square metre
    line_width_m: float | None = None  # across a line, aisles and parts included


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A picture of the product; its bytes are kept beside it under the checksum."""

    name: str  # inside the pictures folder: "cover.png"
    checksum: str  # SHA-256 of the file's bytes, in hexadecimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Product:
    """A product and everything about making it."""

    code: str
    name: str = ""
    author: str = ""
    remarks: str = ""
    time_unit: TimeUnit = TimeUnit.SECOND  # in which times are shown; they are kept in whole ms
    calendar: Calendar = field(default_factory=Calendar)
    demand: Demand = field(default_factory=Demand)
    reach: ReachOptions = field(default_factory=ReachOptions)
    lines: tuple[Line, ...] = (Line(),)
    models: tuple[Model, ...] = ()  # of the mix; empty: there is one model only
    tasks: tuple[Task, ...] = ()
    parts: tuple[Part, ...] = ()
    equipment: tuple[Equipment, ...] = ()
    lags: tuple[TimeLag, ...] = ()
    pictures: tuple[Picture, ...] = ()
    joins: tuple[FurtherJoin, ...] = ()  # of feeders whose units are consumed at several places
    machines: tuple[Machine, ...] = ()
    packing: Packing = field(default_factory=Packing)
    faults: tuple[Fault, ...] = ()
    tally: tuple[FaultCount, ...] = ()
    costs: Costs = field(default_factory=Costs)
    unread: tuple[Unread, ...] = ()  # what its files say beside this and could not be read

    @property
    def main_line(self) -> Line | None:
        """The line that feeds no other; None if there is none."""
        return next((line for line in self.lines if line.is_main), None)

    @property
    def made_lines(self) -> tuple[Line, ...]:
        """The lines with stations: all but those whose units are bought in."""
        return tuple(line for line in self.lines if line.is_main or not line.bought_in)

    def line(self, name: str) -> Line | None:
        """Return the line of this name, or None."""
        return next((line for line in self.lines if line.name == name), None)

    def tasks_of(self, line: str) -> tuple[Task, ...]:
        """Return the tasks of one line, in listed order."""
        return tuple(task for task in self.tasks if task.line == line)

    def part(self, number: str) -> Part | None:
        """Return the part of this number, or None."""
        return next((part for part in self.parts if part.number == number), None)

    def stopped(
        self, lines: Collection[str], *uses: Use, tasks: Collection[str] = ()
    ) -> tuple[Finding, ...]:
        """Return what was not read and is needed for something of these lines, or these tasks."""
        if not self.unread:
            return ()
        numbers = {task.number for task in self.tasks if task.line in lines} | set(tasks)
        return tuple(
            dict.fromkeys(
                each.finding
                for each in self.unread
                if not set(uses).isdisjoint(each.uses)
                and (
                    not (each.of_line or each.of_task)
                    or each.of_line in lines
                    or each.of_task in numbers
                )
            )
        )
