"""Drop test of a packed unit: heights by gross mass, order of the drops, form of the record."""

from bisect import bisect_right
from dataclasses import dataclass, replace

from stationflow.model import (
    DropProcedure,
    Explained,
    Finding,
    PackForm,
    Packing,
    note,
    warning,
)
from stationflow.pace.figures import figure, fraction
from stationflow.pace.formula import Formula, Value, Written

GRAVITY = 9.80665  # m/s2, the standard value
POUND_KG = 0.45359237
ISTA = "ISTA procedure 1A / 2A, free-fall heights by gross weight"
D4169 = "ASTM D4169, manual handling, from memory: compare with the standard before it is agreed"
METHOD = "ASTM D5276 is the method of free fall for boxes, cylinders and sacks"


@dataclass(frozen=True, slots=True, kw_only=True)
class Heights:
    """Drop heights of a procedure: each class holds from its lower edge to below the next."""

    unit: str  # of the edges, which decides
    edges: tuple[float, ...]  # where a class ends
    heights_mm: tuple[float, ...]
    source: str
    # edges of the same classes in the other unit, which are no exact conversion; empty: none given
    other_edges: tuple[float, ...] = ()

    def place(self, gross_kg: float) -> int:
        """Return the class of a gross mass; beyond the last one there is none."""
        mass = gross_kg if self.unit == "kg" else gross_kg / POUND_KG
        return bisect_right(self.edges, mass)

    def other_place(self, gross_kg: float) -> int:
        """Return the class of a gross mass by the edges in the other unit."""
        return bisect_right(self.other_edges, gross_kg / POUND_KG)


ISTA_KG, ISTA_LB = (10, 19, 28, 45, 68), (21, 41, 61, 100, 150)
D4169_LB = (20, 40, 60, 80, 100, 200)


def _inches(*heights: float) -> tuple[float, ...]:
    return tuple(round(height * 25.4, 1) for height in heights)


HEIGHTS = {
    DropProcedure.ISTA_1A: Heights(unit="kg", edges=ISTA_KG, other_edges=ISTA_LB,
                                   heights_mm=(760, 610, 460, 310, 200), source=ISTA),
    DropProcedure.ISTA_2A: Heights(unit="kg", edges=ISTA_KG, other_edges=ISTA_LB,
                                   heights_mm=(970, 810, 660, 510, 310), source=ISTA),
    DropProcedure.D4169_I: Heights(unit="lb", edges=D4169_LB, source=D4169,
                                   heights_mm=_inches(24, 21, 18, 15, 12, 10)),
    DropProcedure.D4169_II: Heights(unit="lb", edges=D4169_LB, source=D4169,
                                    heights_mm=_inches(15, 13, 12, 10, 9, 7)),
    DropProcedure.D4169_III: Heights(unit="lb", edges=D4169_LB, source=D4169,
                                     heights_mm=_inches(9, 8, 7, 6, 5, 4)),
}  # fmt: skip
CORNER = "2-3-5"
"""The corner that is dropped on where none is known to be the weakest."""
RECORD_HEAD = (
    "Packed unit (number)", "Gross mass as weighed (kg)", "Taken at random from",
    "Floor (steel or concrete)", "Date", "Tested by",
)  # fmt: skip
RECORD_COLUMNS = ("Drop", "On", "Height (mm)", "Seen on the pack", "Seen on the unit", "Passed")
RECORD_END = (
    "Unit opened, function and safety test passed",
    "Pack still holds and protects the unit",
    "Result",
    "Signed",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drop:
    """One drop."""

    number: int
    onto: str  # "corner 2-3-5", "edge 2-5 (the shortest)", "face 5 (a smallest)"
    height_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DropPlan:
    """How a packed unit is dropped; without a height there is a finding that says why."""

    procedure: DropProcedure
    gross_kg: float | None
    decided_in: str  # the unit whose class edges decide
    height_mm: float | None = None
    speed_m_s: float | None = None  # at the floor
    energy_j: float | None = None
    drops: tuple[Drop, ...] = ()
    # the form to be filled in: head, a row for each drop, what is answered at the end
    record_head: tuple[str, ...] = RECORD_HEAD
    record_columns: tuple[str, ...] = RECORD_COLUMNS
    record_end: tuple[str, ...] = RECORD_END
    numbers: tuple[Explained, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def record_rows(self) -> tuple[tuple[str, ...], ...]:
        """The rows of the form, to be filled in behind the height."""
        blank = ("",) * (len(RECORD_COLUMNS) - 3)
        return tuple((f"{d.number}", d.onto, f"{d.height_mm:g}", *blank) for d in self.drops)


SPEED = Formula(
    name="impact speed",
    unit="m/s",
    right="square root of (2 x gravity x drop height)",
    source="free fall without air",
)
ENERGY = Formula(
    name="impact energy",
    unit="J",
    right="gross mass x gravity x drop height",
    source="free fall without air",
    how="half the mass x the speed squared",
)
# Faces of a box: 1 top, 3 bottom, 2 and 4 the sides, 5 and 6 the ends. Its length runs from 5 to 6.
AXES = {"1": "height", "3": "height", "2": "width", "4": "width", "5": "length", "6": "length"}
PAIRS = {"length": ("5", "6"), "width": ("2", "4"), "height": ("1", "3")}


def drop_plan(packing: Packing) -> DropPlan | None:
    """Return how the packed unit is dropped; None: no procedure was chosen."""
    procedure, mass = packing.drop_procedure, packing.gross_kg
    if procedure is None:
        return None
    table = HEIGHTS[procedure]
    plan = DropPlan(procedure=procedure, gross_kg=mass, decided_in=table.unit)
    if mass is None or not mass > 0:
        entered = "none" if mass is None else f"{mass:g} kg"
        said = f"The gross mass decides the drop height, and {entered} is entered."
        return replace(plan, findings=(_no_plan(said),))
    place = table.place(mass)
    if place == len(table.edges):
        said = (
            f"{figure(mass)} kg is not below {table.edges[-1]:g} {table.unit}, where the heights "
            f"of {procedure} end; another procedure of its family is made for such packs."
        )
        return replace(plan, findings=(_no_plan(said),))
    height = table.heights_mm[place]
    metres = fraction(height) / 1000
    put_in = {
        "gravity": Value(fraction(GRAVITY), f"{GRAVITY} m/s2"),
        "drop height": Value(metres, Written(places=6, unit="m")),
    }
    speed, of_speed = SPEED.opened(put_in, None)
    energy, of_energy = ENERGY.opened(
        {**put_in, "gross mass": Value(fraction(mass), Written(places=6, unit="kg"))},
        mass * float(speed) ** 2 / 2,
    )
    numbers = (_of_height(table, place, mass), of_speed, of_energy)
    drops, findings = _drops(packing, height)
    if table.other_edges and table.other_place(mass) != place:
        findings += (_near_edge(table, mass, height),)
    return replace(
        plan,
        height_mm=height,
        speed_m_s=float(speed),
        energy_j=float(energy),
        drops=drops,
        numbers=tuple(replace(number, where="packing") for number in numbers),
        findings=findings,
    )


def _no_plan(said: str) -> Finding:
    return warning("no-drop-plan", "Packing", said)


def _of_height(table: Heights, place: int, mass: float) -> Explained:
    low = table.edges[place - 1] if place else 0
    entered = figure(mass if table.unit == "kg" else mass / POUND_KG, 2)
    return Explained(
        name="drop height",
        value=table.heights_mm[place],
        unit="mm",
        formula="drop height = height of the class of the gross mass",
        worked=f"{entered} {table.unit} lies from {low:g} to below {table.edges[place]:g} "
        f"{table.unit}: {table.heights_mm[place]:g} mm",
        source=f"{table.source}. {METHOD}",
        other="Classes are printed in pounds and in kilograms, and are no exact conversion of each "
        f"other; here {table.unit} decides.",
    )


def _near_edge(table: Heights, mass: float, height: float) -> Finding:
    place = table.other_place(mass)
    pounds = figure(mass / POUND_KG, 1)
    other = (
        f"{table.heights_mm[place]:g} mm"
        if place < len(table.heights_mm)
        else "none of its heights"
    )
    return note(
        "near-drop-class",
        "Packing",
        f"{figure(mass)} kg gives {height:g} mm; the same table in pounds gives {other} for "
        f"{pounds} lb. Kilograms decide here.",
    )


def _drops(packing: Packing, height: float) -> tuple[tuple[Drop, ...], tuple[Finding, ...]]:
    """Return the drops in order; none for a form that the procedure gives no order for."""
    if packing.form not in (None, PackForm.BOX):
        said = (
            f"The order of the drops is that of a box; the pack is a {packing.form}. The height "
            "holds for it all the same."
        )
        return (), (_no_plan(said),)
    corner = packing.weakest_corner.replace(" ", "") or CORNER
    faces = corner.split("-")
    if sorted(AXES.get(face, "") for face in faces) != ["height", "length", "width"]:
        said = (
            f"The weakest corner is entered as {packing.weakest_corner!r}; a corner is where three "
            f"faces meet, one of 1 and 3, one of 2 and 4, one of 5 and 6. {CORNER} is used."
        )
        return _in_order(packing, CORNER.split("-"), height), (_no_plan(said),)
    return _in_order(packing, faces, height), ()


def _in_order(packing: Packing, faces: list[str], height: float) -> tuple[Drop, ...]:
    if packing.drop_procedure in (DropProcedure.ISTA_1A, DropProcedure.ISTA_2A):
        onto = [f"corner {'-'.join(faces)}", *_edges(packing, faces), *_faces(packing)]
    else:
        onto = [
            "face 1 (the top)",
            "edge 3-5 (at the bottom)",
            "edge 2-3 (at the bottom, beside it)",
            "corner 2-3-5 (at the bottom)",
            "corner 3-4-6 (at the bottom, opposite)",
            "face 3 (the bottom)",
        ]
    return tuple(Drop(number=n, onto=o, height_mm=height) for n, o in enumerate(onto, start=1))


def _sizes(packing: Packing) -> dict[str, float] | None:
    sizes = {
        "length": packing.length_mm,
        "width": packing.width_mm,
        "height": packing.height_mm,
    }
    known = {axis: size for axis, size in sizes.items() if size is not None and size > 0}
    return known if len(known) == len(sizes) else None


def _edges(packing: Packing, faces: list[str]) -> list[str]:
    """Return the three edges from a corner: the shortest, the next, the longest."""
    words = ("the shortest", "the next", "the longest")
    sizes = _sizes(packing)
    if sizes is None:
        return [f"{word} edge from that corner" for word in words]
    # The edge between two faces runs along the axis of the third.
    named = {AXES[third]: "-".join(f for f in faces if f != third) for third in faces}
    axes = sorted(sizes, key=lambda axis: sizes[axis])
    return [f"edge {named[axis]} ({word})" for axis, word in zip(axes, words, strict=True)]


def _faces(packing: Packing) -> list[str]:
    """Return the six faces: both smallest, both medium, both largest."""
    words = ("a smallest", "a medium", "a largest")
    sizes = _sizes(packing)
    if sizes is None:
        return [f"{which} {word[2:]} face" for word in words for which in ("one", "the other")]
    # The face across the longest axis is the smallest.
    axes = sorted(sizes, key=lambda axis: -sizes[axis])
    return [
        f"face {face} ({word})"
        for axis, word in zip(axes, words, strict=True)
        for face in PAIRS[axis]
    ]
