"""Soak: positions by Little's law, what bridges an outage of the test, power, length."""

import math
from dataclasses import dataclass, replace
from fractions import Fraction

from stationflow.line.quality.gates import Gate
from stationflow.model import Explained, Finding, warning
from stationflow.pace.figures import figure, fraction
from stationflow.pace.formula import Formula, Written, computed_time, entered_time, plain

LITTLE = "Little (1961), L = lambda x W"
IN_SOAK = Formula(
    name="units under power",
    unit="units",
    right="soak time x soaks of one unit x share not scrapped before / operating takt",
    source=LITTLE,
    key="in-soak",
)
OUTAGE = Formula(
    name="positions for an outage of the test",
    right="outage x share not scrapped before / operating takt",
    source="units that come while the test stands stay where they are",
    is_rounded_up=True,
    key="outage-positions",
)
POSITIONS = Formula(
    name="soak positions needed",
    right="rounded up ((soak time + handling) x soaks of one unit x share not scrapped before / "
    "operating takt) + positions for an outage + spares",
    source=LITTLE,
    other="Soak time / takt alone forgets handling, repeated soaks, spares and the outage.",
    key="positions",
    how="the same in floats, rounded up,",
)
POWER = Formula(
    name="power in soak",
    unit="kW",
    right="units under power x power of one / 1000",
    source="sum over the units; nearly all of it becomes heat in the room",
    key="power",
)
CONNECTED = Formula(
    name="connected power",
    unit="kW",
    right="positions x power of one / 1000",
    source="all positions taken; after a power failure all start at once",
    key="connected",
)
LENGTH = Formula(
    name="length of the soak conveyor",
    unit="m",
    right="positions x pitch",
    source="geometry",
    key="length",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SoakFigures:
    """The numbers of a soak, of one copy of its line while the line runs; None: not computable."""

    task: str
    name: str
    line: str
    station: int | None
    arriving_per_h: float | None = None
    soak_s: float | None = None
    handling_s: float = 0.0
    in_soak: float | None = None  # mean units under power
    outage_positions: int = 0
    spares: int = 0
    positions_needed: int | None = None
    positions: int | None = None  # entered, or needed
    power_kw: float | None = None  # of the units under power, on average
    connected_kw: float | None = None  # of all positions
    length_m: float | None = None  # of a soak on a conveyor
    numbers: tuple[Explained, ...] = ()
    findings: tuple[Finding, ...] = ()


def soak_figures(gate: Gate) -> SoakFigures:
    """Return the numbers of one soak."""
    task, step = gate.task, gate.step
    where = f"Task {task.number}"
    # The hand time of the task is the handling, where none is entered.
    handling = Fraction(step.handling_ms or task.time_ms or 0, 1000)
    figures = SoakFigures(
        task=task.number,
        name=task.name,
        line=gate.line.name,
        station=gate.station,
        soak_s=None if step.process_ms is None else step.process_ms / 1000,
        handling_s=float(handling),
        spares=step.spare_positions,
        positions=step.positions,
    )
    if not step.process_ms or gate.takt is None:
        return figures
    values = {
        "soak time": entered_time(Fraction(step.process_ms, 1000)),
        "handling": entered_time(handling),
        "soaks of one unit": plain(gate.line_tests),
        "share not scrapped before": plain(gate.reach),
        "operating takt": computed_time(gate.takt),
        "outage": entered_time(fraction(step.outage_min or 0) * 60),
    }
    in_soak, of_in_soak = IN_SOAK.opened(values, written=Written(places=6))
    numbers = [of_in_soak]
    outage = Fraction(0)
    if step.outage_min:
        outage, of_outage = OUTAGE.opened(values)
        numbers.append(of_outage)
    values = {
        **values,
        "positions for an outage": plain(outage),
        "spares": plain(step.spare_positions),
    }
    per_unit = float(gate.line_tests * gate.reach / gate.takt)
    needed, of_needed = POSITIONS.opened(
        values,
        math.ceil(round((step.process_ms / 1000 + float(handling)) * per_unit, 9))
        + int(outage)
        + step.spare_positions,
    )
    numbers.append(of_needed)
    positions = step.positions or int(needed)
    figures = replace(
        figures,
        arriving_per_h=float(3600 * gate.reach / gate.takt),
        in_soak=float(in_soak),
        outage_positions=int(outage),
        positions_needed=int(needed),
        positions=positions,
    )
    more = {"positions": plain(positions), "units under power": plain(in_soak)}
    if step.power_w:
        more["power of one"] = plain(step.power_w)
        power, of_power = POWER.opened(more)
        connected, of_connected = CONNECTED.opened(more)
        numbers += [of_power, of_connected]
        figures = replace(figures, power_kw=float(power), connected_kw=float(connected))
    if step.pitch_m:
        more["pitch"] = plain(step.pitch_m)
        length, of_length = LENGTH.opened(more)
        numbers.append(of_length)
        figures = replace(figures, length_m=float(length))
    found: tuple[Finding, ...] = ()
    if positions < needed:
        found = (_too_few(where, positions, int(needed), gate),)
    return replace(
        figures,
        numbers=tuple(
            replace(number, key=f"soak-{task.number}-{number.key}", where=f"soak {task.number}")
            for number in numbers
        ),
        findings=found,
    )


def _too_few(where: str, positions: int, needed: int, gate: Gate) -> Finding:
    step = gate.step
    return warning(
        "positions-too-few",
        where,
        f"{positions} soak positions are entered and {needed} are needed for "
        f"{figure((step.process_ms or 0) / 1000)} s of soak at a start every "
        f"{figure(gate.takt or 0, 3)} s, outage and spares included.",
    )
