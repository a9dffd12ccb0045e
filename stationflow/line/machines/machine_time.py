"""What the time of a machine is made of, by its kind, and what is wrong with its numbers."""

from collections.abc import Iterator, Mapping
from fractions import Fraction

from stationflow.line.stop_times import stop_findings
from stationflow.model import Finding, Machine, MachineKind, error, warning
from stationflow.pace.figures import figure, fraction, is_number
from stationflow.pace.formula import Value, Written, entered_time, plain

BY_PIECES = (MachineKind.INSERTER, MachineKind.PRESS)
NEEDED = {
    MachineKind.INSERTER: ("piece_ms",),
    MachineKind.PRESS: ("piece_ms",),
    MachineKind.IN_LINE: ("speed_m_per_min", "spacing_m"),
    MachineKind.BATCH: ("process_ms", "batch"),
    MachineKind.CUTTER: ("process_ms", "batch"),
}
"""The fields without which the machines of a kind cannot be counted."""
WORDS = {
    "pieces": "pieces in one unit",
    "piece_ms": "time of one piece",
    "load_ms": "loading time",
    "process_ms": "process time",
    "batch": "units in one load",
    "length_m": "length",
    "speed_m_per_min": "speed",
    "spacing_m": "distance between units",
    "yield_share": "yield",
    "magazine": "pieces in a magazine",
    "magazines": "number of magazines",
    "change_ms": "time to change a magazine",
    "count": "number of machines",
    "power_w": "power",
}
ABOVE_NOTHING = (
    *("pieces", "batch", "length_m", "speed_m_per_min", "spacing_m", "magazine", "magazines"),
    "count",
)


def cycle_terms(machine: Machine) -> tuple[str, Mapping[str, Value]]:
    """Return the machine time of one unit of the line as the right side of a formula."""
    values: dict[str, Value] = {}
    over = ""
    loads = machine.batch is not None and machine.batch != 1
    if machine.kind == MachineKind.IN_LINE:
        values["distance between units"] = _metres(machine.spacing_m)
        values["speed"] = _speed(machine.speed_m_per_min)
        right = "distance between units / speed"
        over = "units on one carrier" if loads else ""
    elif machine.kind in BY_PIECES:
        right = "pieces x time of one"
        values |= {"pieces": plain(machine.pieces), "time of one": _time(machine.piece_ms)}
        if machine.load_ms:
            right += " + loading" + (" / units in one load" if loads else "")
            values["loading"] = _time(machine.load_ms)
            values |= {"units in one load": plain(machine.batch or 1)} if loads else {}
        if machine.change_ms and machine.magazine:
            right += " + change of a magazine x pieces / pieces in a magazine"
            values["change of a magazine"] = _time(machine.change_ms)
            values["pieces in a magazine"] = plain(machine.magazine)
    else:
        right = "process"
        values["process"] = _time(machine.process_ms)
        if machine.load_ms:
            right = "(loading + process)"
            values["loading"] = _time(machine.load_ms)
        if machine.kind == MachineKind.CUTTER:
            right += " x parts in one unit / parts of one sheet"
            values["parts in one unit"] = plain(machine.pieces)
            values["parts of one sheet"] = plain(machine.batch or 1)
        else:
            over = "units in one load"
    if over:
        right += f" / {over}"
        values[over] = plain(machine.batch or 1)
    if machine.yield_share != 1:
        right = f"({right}) / yield" if " + " in right and right[0] != "(" else f"{right} / yield"
        values["yield"] = plain(machine.yield_share)
    return right, values


def at_once(machine: Machine) -> Fraction:
    """Return how many units of the line one load of the machine gives; 1: one after the other."""
    load = fraction(machine.batch or 1)
    if machine.kind == MachineKind.CUTTER:
        return load * fraction(machine.yield_share) / fraction(machine.pieces)
    return load


def through_time(machine: Machine) -> Fraction | None:
    """Return how long one unit is in the machine, in seconds; None: its length is not entered."""
    if machine.kind == MachineKind.IN_LINE:
        if machine.length_m is None:
            return None
        return fraction(machine.length_m) * 60 / fraction(machine.speed_m_per_min or 1)
    if machine.kind in BY_PIECES:
        return Fraction(machine.load_ms, 1000) + fraction(machine.pieces) * Fraction(
            machine.piece_ms or 0, 1000
        )
    return Fraction(machine.load_ms + (machine.process_ms or 0), 1000)


def machine_findings(machine: Machine) -> Iterator[Finding]:
    """Name the numbers of a machine that cannot be, and those that are missing."""
    where = f"Machine {machine.name}"
    for name in WORDS:
        number = getattr(machine, name)
        low = "above 0" if name in ABOVE_NOTHING else "0 or more"
        if number is None or (is_number(number) and number > 0):
            continue
        if name in ABOVE_NOTHING or not is_number(number) or number < 0:
            shown = figure(number) if is_number(number) else f"{number:g}"
            message = f"The {WORDS[name]} is {shown}; it has to be {low}."
            yield error("machine-number-impossible", where, message)
    if not 0 < machine.yield_share <= 1:
        message = f"The yield is {machine.yield_share:g}; a share lies above 0 and up to 1."
        yield error("share-out-of-range", where, message)
    missing = [name for name in NEEDED[machine.kind] if getattr(machine, name) is None]
    if missing:
        named = " and ".join(WORDS[name] for name in missing)
        message = f"It is of the kind {machine.kind}, and its {named} is not entered."
        yield warning("machine-not-counted", where, message)
    yield from stop_findings(where, machine.mtbf_min, machine.mttr_min)


def _time(ms: int | None) -> Value:
    return entered_time(Fraction(ms or 0, 1000))


def _metres(metres: float | None) -> Value:
    return Value(fraction(metres or 0), Written(places=6, unit="m"))


def _speed(metres_per_min: float | None) -> Value:
    """Return a speed as a value in metres a second, written as it is entered."""
    entered = fraction(metres_per_min or 0)
    return Value(entered / 60, f"({figure(entered)} m / 60 s)")
