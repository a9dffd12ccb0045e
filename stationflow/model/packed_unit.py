"""The packed unit: what the drop plan and the pallet need to know of it."""

from dataclasses import dataclass
from enum import StrEnum


class PackForm(StrEnum):
    """The form of a packed unit."""

    BOX = "box"
    CYLINDER = "cylinder"
    SACK = "sack"


class DropProcedure(StrEnum):
    """The published procedure that says how high a packed unit is dropped from."""

    ISTA_1A = "ISTA 1A"
    ISTA_2A = "ISTA 2A"
    # manual handling, by assurance level
    D4169_I = "D4169 I"
    D4169_II = "D4169 II"
    D4169_III = "D4169 III"


@dataclass(frozen=True, slots=True, kw_only=True)
class Packing:
    """A unit in its packing; what is not entered is None or empty."""

    gross_kg: float | None = None
    form: PackForm | None = None
    # outside: of a cylinder the height, and its diameter as length and width
    length_mm: float | None = None
    width_mm: float | None = None
    height_mm: float | None = None
    per_pallet: int | None = None
    drop_procedure: DropProcedure | None = None
    weakest_corner: str = ""  # "2-3-5"; empty: not known
