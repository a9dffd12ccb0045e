"""What stands in a file and could not be read, and what must not be made without it."""

from dataclasses import dataclass
from enum import StrEnum

from stationflow.model.cell_place import CellPlace
from stationflow.model.finding import Finding


class Use(StrEnum):
    """What is made from a value."""

    WORK = "work"  # the balance of a line: times, order, limits
    PACE = "pace"
    REACH = "reach"  # what can be done when demand outgrows the line
    CARDS = "cards"
    FLOW = "flow"  # the figures of a line: machines, tests, repair, places, leads
    OUTPUT = "output"  # what all lines together give, by formula and simulated
    LIFTING = "lifting"  # lifting indices
    JOINT = "joint"  # which line does a task, where all are balanced at once
    PRICES = "prices"  # the plan of cheapest equipment
    COSTS = "costs"  # what lines side by side cost a week
    FAULTS = "faults"  # the faults found, ranked, and the fault cards
    DROPS = "drops"  # the drop test of the packed unit


class AsWritten(str):
    """The text of a cell that could not be read, as it goes back into a file."""

    __slots__ = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class UnreadCell(CellPlace):
    """The one value of the product in whose place a text stands that could not be read."""

    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unread:
    """Something that is there and was not read; the product has the usual value in its place."""

    finding: Finding
    uses: tuple[Use, ...]
    # of_line, of_task: whose it is; both empty: it may concern any line
    of_line: str = ""
    of_task: str = ""
    cell: UnreadCell | None = None  # None: more than one value; the product cannot stand for it
