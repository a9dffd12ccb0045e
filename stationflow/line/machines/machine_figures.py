"""Machines at the pace of their line: how many, how busy, when empty, where units wait."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from stationflow.line.machines.machine_time import (
    at_once,
    cycle_terms,
    machine_findings,
    through_time,
)
from stationflow.line.stop_times import availability
from stationflow.model import Explained, Finding, Machine, MachineKind, Severity, error, warning
from stationflow.pace.figures import figure, fraction
from stationflow.pace.formula import (
    Formula,
    Value,
    Written,
    computed_time,
    entered_time,
    plain,
    rounded_time,
)

CAPACITY = "capacity of parallel machines: time wanted / time there is"
BALANCE = "balance of units at a steady pace"
CYCLE = Formula(
    name="machine time of one unit", unit="s", right="", source="definition", key="cycle"
)
AVAILABILITY = Formula(
    name="availability of the machine",
    right="time between failures / (time between failures + time to repair)",
    source="Hopp and Spearman, Factory Physics, availability",
    other="The availability of the demand is that of the whole line and already in the operating "
    "takt.",
    key="availability",
)
NEEDED = Formula(
    name="machines needed",
    right="machine time of one unit / (operating takt x availability)",
    is_rounded_up=True,
    source=CAPACITY,
    key="needed",
)
UTILISATION = Formula(
    name="utilisation",
    right="machine time of one unit / (machines x operating takt x availability)",
    source=CAPACITY,
    other="Some divide by all the time, stops included; then it is lower.",
)
THROUGH = Formula(
    name="time in the machine",
    unit="s",
    right="length / speed",
    source="definition of speed",
    key="through",
)
INSIDE = Formula(
    name="units in the machine",
    right="length / distance between units",
    source="Little (1961): units = rate x time",
    is_rounded_up=True,
    key="inside",
)
SPEED_NEEDED = Formula(
    name="speed the pace asks for",
    unit="m/min",
    right="distance between units / operating takt x 60",
    source="a unit leaves in every operating takt",
    key="speed-needed",
)
LENGTH_NEEDED = Formula(
    name="length the process asks for",
    unit="m",
    right="speed x process",
    source="definition of speed",
    key="length-needed",
)
EMPTY = Formula(
    name="magazines run empty after",
    unit="s",
    right="magazines x pieces in a magazine x machines x operating takt / pieces",
    source=BALANCE,
    other="This is with all magazines full at the start and used evenly.",
    key="magazines-empty",
)
CHANGES = Formula(
    name="changes of magazines per shift",
    right="pieces x working time of a shift / (operating takt x pieces in a magazine)",
    source=BALANCE,
    key="changes-per-shift",
)
PLACES = Formula(name="places", right="", source=BALANCE, is_rounded_up=True)
POWER = Formula(name="power", unit="W", right="machines x power of one", source="definition")


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineFigures:
    """A machine at the pace of its line. None: it cannot be computed, or it has none."""

    machine: str
    line: str
    station: int | None = None  # at which it stands; None: it works ahead of the line
    cycle_s: float | None = None  # machine time of one unit of the line
    needed: int | None = None  # machines
    machines: int | None = None  # those there are; where none are entered, those needed
    utilisation: float | None = None
    through_s: float | None = None  # time a unit is in it
    inside: int | None = None  # units in it
    empty_after_s: float | None = None  # until its magazines run empty
    changes_per_shift: float | None = None
    places_before: int | None = None  # for units that wait before it
    places_after: int | None = None
    power_w: float | None = None  # of all of them
    numbers: tuple[Explained, ...] = ()
    findings: tuple[Finding, ...] = ()


def machine_figures(
    machine: Machine,
    operating_takt: Fraction | None,
    *,
    copies: int = 1,
    station: int | None = None,
    shift: Fraction | None = None,
) -> MachineFigures:
    """Return the figures of a machine at the operating takt of its line, in seconds.

    Machines needed = time of one unit / (operating takt x availability), rounded up; `copies` of
    the line have each their own where the machine stands at a `station`, and share them where it
    works ahead of the line. `shift` is the working time of one shift in seconds.
    """
    if operating_takt is None or station is not None:
        figures = _figures(machine, operating_takt, copies, shift)
    else:
        figures = _figures(machine, operating_takt / copies, 1, shift)
    return replace(figures, station=station)


@lru_cache(maxsize=512)  # a page, and many plans of one product, ask for the same machines again
def _figures(
    machine: Machine, pace: Fraction | None, lines: int, shift: Fraction | None
) -> MachineFigures:
    """Return the figures of a machine wherever it stands, one for each of so many lines."""
    findings = tuple(machine_findings(machine))
    figures = MachineFigures(machine=machine.name, line=machine.line, findings=findings)
    wrong = any(f.severity == Severity.ERROR or f.code == "machine-not-counted" for f in findings)
    if pace is None or wrong:
        return figures
    counted = _counted(machine, figures, pace, lines)
    told = _with_magazines(machine, _passed_through(machine, counted, pace), pace, shift)
    told = _with_places(machine, told, pace)
    where = f"machine {machine.name}"
    named = tuple(replace(number, where=where) for number in told.numbers)
    return replace(told, numbers=named)


def _counted(
    machine: Machine, figures: MachineFigures, pace: Fraction, lines: int
) -> MachineFigures:
    """Add time of one unit, machines needed and utilisation."""
    right, values = cycle_terms(machine)
    cycle, of_cycle = replace(CYCLE, right=right).opened(values)
    numbers = [*figures.numbers, of_cycle]
    runs = availability(machine)
    if runs != 1:
        numbers.append(
            AVAILABILITY.opened(
                {
                    "time between failures": _minutes(machine.mtbf_min),
                    "time to repair": _minutes(machine.mttr_min),
                }
            )[1]
        )
    values = {
        "machine time of one unit": rounded_time(cycle),
        "operating takt": computed_time(pace),
        "availability": plain(runs),
    }
    needed, of_needed = NEEDED.opened(values)
    if lines > 1:
        needed, of_needed = replace(
            NEEDED, right=f"copies x rounded up({NEEDED.right})", is_rounded_up=False
        ).opened({**values, "copies": plain(lines)})
    there = machine.count or max(int(needed), 1)
    use, of_use = replace(
        UTILISATION,
        right=UTILISATION.right.replace("/", "x copies /", 1) if lines > 1 else UTILISATION.right,
    ).opened(
        {**values, "machines": plain(there), "copies": plain(lines)}, written=Written(places=4)
    )
    numbers += [of_needed, of_use]
    findings = list(figures.findings)
    if use > 1:
        message = (
            f"At the pace of line {machine.line} {there} of it would be busy for "
            f"{figure(use * 100, 1)} % of their time; {int(needed)} are needed."
        )
        findings.append(error("machine-overloaded", f"Machine {machine.name}", message))
    power = None
    if machine.power_w is not None:
        power, of_power = POWER.opened(
            {
                "machines": plain(there),
                "power of one": Value(fraction(machine.power_w), Written(unit="W")),
            }
        )
        numbers.append(of_power)
    return replace(
        figures,
        cycle_s=float(cycle),
        needed=int(needed),
        machines=there,
        utilisation=float(use),
        power_w=None if power is None else float(power),
        numbers=tuple(numbers),
        findings=tuple(findings),
    )


def _passed_through(machine: Machine, figures: MachineFigures, pace: Fraction) -> MachineFigures:
    """Add how long a unit is in the machine, and how many are."""
    through = through_time(machine)
    if machine.kind != MachineKind.IN_LINE:
        inside = math.ceil(at_once(machine)) * (figures.machines or 1)
        return replace(figures, through_s=float(through or 0), inside=inside)
    terms = cycle_terms(machine)[1]
    speed, between = terms["speed"], terms["distance between units"]
    on_carrier = plain(machine.batch or 1)
    process = Fraction(machine.process_ms or 0, 1000)
    values = {"distance between units": between, "operating takt": computed_time(pace)}
    right = SPEED_NEEDED.right
    if on_carrier.number != 1:
        right = right.replace("operating takt", "(units on one carrier x operating takt)")
        values["units on one carrier"] = on_carrier
    metres = Written(places=4, unit="m/min")
    numbers = [replace(SPEED_NEEDED, right=right).opened(values, written=metres)[1]]
    if process:
        values = {"speed": speed, "process": entered_time(process)}
        length_needed, opened = LENGTH_NEEDED.opened(values)
        numbers.append(opened)
    figures = replace(figures, numbers=(*figures.numbers, *numbers))
    if machine.length_m is None or through is None:
        return figures
    length = Value(fraction(machine.length_m), Written(places=6, unit="m"))
    _, of_through = THROUGH.opened({"length": length, "speed": speed})
    right, values = INSIDE.right, {"length": length, "distance between units": between}
    if on_carrier.number != 1:
        right += " x units on one carrier"
        values["units on one carrier"] = on_carrier
    held, of_inside = replace(INSIDE, right=right).opened(values)
    findings = figures.findings
    if through < process:
        message = (
            f"A unit is in it for {figure(through, 1)} s, and its process takes "
            f"{figure(process, 1)} s: at this speed it would have to be "
            f"{figure(length_needed, 3)} m long."
        )
        findings += (error("machine-too-short", f"Machine {machine.name}", message),)
    return replace(
        figures,
        through_s=float(through),
        inside=int(held) * (figures.machines or 1),
        numbers=(*figures.numbers, of_through, of_inside),
        findings=findings,
    )


def _with_magazines(
    machine: Machine, figures: MachineFigures, pace: Fraction, shift: Fraction | None
) -> MachineFigures:
    """Add when the magazines run empty, and how many are changed in a shift."""
    if machine.magazine is None:
        return figures
    values: Mapping[str, Value] = {
        "magazines": plain(machine.magazines or 1),
        "pieces in a magazine": plain(machine.magazine),
        "machines": plain(figures.machines or 1),
        "operating takt": computed_time(pace),
        "pieces": plain(machine.pieces),
        **({"working time of a shift": entered_time(shift)} if shift else {}),
    }
    empty, of_empty = EMPTY.opened(values)
    changes, more = None, [of_empty]
    if shift:
        changes, of_changes = CHANGES.opened(values, written=Written(places=1))
        more.append(of_changes)
    return replace(
        figures,
        empty_after_s=float(empty),
        changes_per_shift=None if changes is None else float(changes),
        numbers=(*figures.numbers, *more),
    )


def _with_places(machine: Machine, figures: MachineFigures, pace: Fraction) -> MachineFigures:
    """Add the places for units that wait: those a load gathers, and those a change holds up."""
    load = at_once(machine)
    has_loads = load > 1
    values = {
        "units in one load": plain(load),
        "operating takt": computed_time(pace),
        "change of a magazine": entered_time(Fraction(machine.change_ms, 1000)),
    }
    before = ["rounded up(units in one load)"] * (has_loads and machine.kind != MachineKind.CUTTER)
    if machine.change_ms and machine.magazine:
        before.append("rounded up(change of a magazine / operating takt)")
    after = ["rounded up(units in one load)"] * has_loads
    numbers, findings, found = list(figures.numbers), list(figures.findings), list[int]()
    for side, terms, planned in (
        ("before", before, machine.places_before),
        ("after", after, machine.places_after),
    ):
        places = Fraction(0)
        if terms:
            places, opened = replace(
                PLACES,
                name=f"places {side} it",
                right=" + ".join(terms),
                is_rounded_up=False,
                key=f"places-{side}",
            ).opened(values)
            numbers.append(opened)
        found.append(int(places))
        if planned is not None and planned < places:
            message = (
                f"{int(places)} units wait {side} it at the pace of line {machine.line}, and there "
                f"are {planned} places."
            )
            findings.append(warning("places-short", f"Machine {machine.name}", message))
    return replace(
        figures,
        places_before=found[0],
        places_after=found[1],
        numbers=tuple(numbers),
        findings=tuple(findings),
    )


def _minutes(minutes: float | None) -> Value:
    return Value(fraction(minutes or 0), Written(places=6, unit="min"))
