"""Machines that do work of a line without being one of its stations."""

from dataclasses import dataclass
from enum import StrEnum

from stationflow.model.task import MAIN_LINE


class MachineKind(StrEnum):
    """How a machine works, which says what its time is made of."""

    INSERTER = "inserter"  # so many placements, from magazines
    IN_LINE = "in-line"  # units pass through: soldering, oven, cooling; by length and speed
    BATCH = "batch"  # many units in one load: cleaning, coating, etching
    PRESS = "press"  # so many strokes
    CUTTER = "cutter"  # parts out of sheets, lengths or coils


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """A machine, or several alike, that a line needs."""

    name: str  # tells machines apart
    kind: MachineKind
    line: str = MAIN_LINE  # whose units it works on
    # the task it does, at whose station it stands; empty: it works ahead of the line
    task: str = ""
    pieces: float = 1.0  # placements, strokes or cut parts in one unit of the line
    piece_ms: int | None = None  # of one placement or stroke
    load_ms: int = 0  # to load and unload it, for each unit, batch or sheet
    process_ms: int | None = None  # of one batch, or one sheet
    batch: float | None = None  # units in one load; parts out of one sheet
    length_m: float | None = None  # that a unit passes through
    speed_m_per_min: float | None = None
    spacing_m: float | None = None  # from unit to unit on it
    yield_share: float = 1.0  # of what it makes (0 to 1)
    magazine: float | None = None  # pieces in one; None: it has none
    magazines: int | None = None  # at the machine
    change_ms: int = 0  # to change one magazine
    count: int | None = None  # machines there are; None: to be computed
    # for units waiting before and behind it; None: not planned
    places_before: int | None = None
    places_after: int | None = None
    mtbf_min: float | None = None  # mean running time between failures
    mttr_min: float | None = None  # mean time to repair
    power_w: float | None = None  # of one machine
    cost: float | None = None  # of one more
