"""A product: all that the engineer enters, kept once."""

from dataclasses import dataclass, field

from stationflow.model.demand import Calendar, Demand, Model, ReachOptions
from stationflow.model.line import Line
from stationflow.model.task import Task
from stationflow.units import TimeUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One row of the parts list.

    Attributes
    ----------
    number
        The part number; tells parts apart.
    name
        What it is.
    quantity
        Quantity in one product by the parts list; None: not entered.
    unit
        Unit of the quantity: "m", "g"; empty: pieces.
    container
        Code of the container it comes in (code and words; never a colour alone).
    container_quantity
        Quantity in a full container.
    weight_g
        Mass of one, in grams.
    """

    number: str
    name: str = ""
    quantity: float | None = None
    unit: str = ""
    container: str = ""
    container_quantity: float | None = None
    weight_g: float | None = None

    @property
    def unit_label(self) -> str:
        """The unit as it is printed."""
        return self.unit or "pcs"


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment:
    """A machine, tester or fixture of which the plant has a limited number.

    Attributes
    ----------
    quantity
        How many there are.
    mtbf_min, mttr_min
        Mean running time between failures and mean time to repair, in minutes.
    cost
        Price of one more, in the plant's currency.
    """

    name: str
    quantity: int = 1
    mtbf_min: float | None = None
    mttr_min: float | None = None
    cost: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeLag:
    """A shortest or longest time between the end of one task and the start of another.

    Adhesive that cures and solder that cools need a shortest time; both are in ms.
    """

    before: str
    after: str
    shortest_ms: int | None = None
    longest_ms: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A picture of the product; its bytes are kept beside it under the checksum.

    Attributes
    ----------
    name
        File name inside the pictures folder: "cover.png".
    checksum
        SHA-256 of the file's bytes, in hexadecimal.
    """

    name: str
    checksum: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Product:
    """A product and everything about making it.

    Attributes
    ----------
    code
        The product code; tells products apart.
    name
        What the product is called.
    author
        Who plans it.
    remarks
        Free words.
    time_unit
        The unit in which times are shown. Times are always kept in whole ms.
    lines
        The main line and its feeders.
    models
        The models of the mix; empty: there is one model only.
    tasks
        The tasks, in the order the engineer listed them.
    """

    code: str
    name: str = ""
    author: str = ""
    remarks: str = ""
    time_unit: TimeUnit = TimeUnit.SECOND
    calendar: Calendar = field(default_factory=Calendar)
    demand: Demand = field(default_factory=Demand)
    reach: ReachOptions = field(default_factory=ReachOptions)
    lines: tuple[Line, ...] = (Line(),)
    models: tuple[Model, ...] = ()
    tasks: tuple[Task, ...] = ()
    parts: tuple[Part, ...] = ()
    equipment: tuple[Equipment, ...] = ()
    lags: tuple[TimeLag, ...] = ()
    pictures: tuple[Picture, ...] = ()

    @property
    def main_line(self) -> Line | None:
        """The line that feeds no other; None if there is none."""
        return next((line for line in self.lines if line.is_main), None)

    def line(self, name: str) -> Line | None:
        """Return the line of this name, or None."""
        return next((line for line in self.lines if line.name == name), None)

    def tasks_of(self, line: str) -> tuple[Task, ...]:
        """Return the tasks of one line, in listed order."""
        return tuple(task for task in self.tasks if task.line == line)

    def part(self, number: str) -> Part | None:
        """Return the part of this number, or None."""
        return next((part for part in self.parts if part.number == number), None)
