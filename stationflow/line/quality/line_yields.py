"""Yields of a line: rolled over its gates, normalised, and what is left in the end."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from stationflow.line.quality.gates import Gate
from stationflow.line.quality.repair_loop import repair_loop
from stationflow.line.quality.yields import SIX_SIGMA, defects_per_unit, normalised_yield
from stationflow.model import Explained, Finding, Product, warning
from stationflow.pace.figures import figure
from stationflow.pace.formula import Formula, Written, plain


@dataclass(frozen=True, slots=True, kw_only=True)
class YieldFigures:
    """The yields of one line over all its gates."""

    line: str
    rolled_yield: float  # share that passes every gate the first time
    normalised_yield: float
    defects_per_unit: float | None  # None: nothing passes
    final_yield: float | None  # share that is good in the end; None: some unit goes round for ever
    starts_per_good: float | None
    numbers: tuple[Explained, ...] = ()
    findings: tuple[Finding, ...] = ()


def line_yield(product: Product, name: str, gates: Sequence[Gate]) -> YieldFigures | None:
    """Return the yields of a line; None: it has no gates."""
    if not gates:
        return None
    firsts = {f"first pass at {gate.task.number}": plain(gate.first) for gate in gates}
    each = [float(gate.first) for gate in gates]
    rolled, of_rolled = Formula(
        name="rolled throughput yield",
        right=" x ".join(firsts),
        source=SIX_SIGMA,
        other="It is not the share that is shipped in the end: repaired units are in that.",
        key="rolled-yield",
        how="the sum of the logarithms",
    ).opened(firsts, _by_logarithms(each), Written(places=6))
    normal, defects = normalised_yield(each), defects_per_unit(float(rolled))
    numbers = [of_rolled, *_of_defects(float(rolled), normal, defects, len(gates))]
    loops = {g.task.number: repair_loop(g.first, g.repeat, g.scrap) for g in gates}
    goods = {f"final at {n}": plain(loop.good) for n, loop in loops.items() if loop is not None}
    final = starts = None
    found: tuple[Finding, ...] = ()
    if len(goods) == len(gates):
        final, of_final = Formula(
            name="final yield of the line",
            right=" x ".join(goods),
            source="gates one after the other multiply",
            key="final-yield",
            how="the sum of the logarithms",
        ).opened(
            goods, _by_logarithms([float(v.number) for v in goods.values()]), Written(places=6)
        )
        numbers.append(of_final)
        if final:
            starts, of_starts = Formula(
                name="starts for one good unit",
                right="1 / final yield",
                source="definition of yield",
                key="starts-per-good",
            ).opened({"final yield": plain(final)}, None, Written(places=6))
            numbers.append(of_starts)
        found = _entered_above(product, name, final)
    return YieldFigures(
        line=name,
        rolled_yield=float(rolled),
        normalised_yield=normal,
        defects_per_unit=defects,
        final_yield=None if final is None else float(final),
        starts_per_good=None if starts is None else float(starts),
        numbers=tuple(
            replace(number, key=f"{name}-{number.key}", where=f"line {name}") for number in numbers
        ),
        findings=found,
    )


def _by_logarithms(shares: Sequence[float]) -> float:
    return math.exp(math.fsum(map(math.log, shares))) if all(shares) else 0.0


def _of_defects(
    rolled: float, normal: float, defects: float | None, steps: int
) -> tuple[Explained, ...]:
    none = "nothing passes, and no number of defects says that"
    return (
        Explained(
            name="normalised yield",
            value=normal,
            unit="",
            formula="normalised yield = rolled throughput yield ^ (1 / gates)",
            worked=f"{figure(rolled)} ^ (1 / {steps}) = {figure(normal)}",
            source=SIX_SIGMA,
            key="normalised-yield",
        ),
        Explained(
            name="defects per unit",
            value=defects,
            unit="",
            formula="defects per unit = - ln(rolled throughput yield)",
            worked=none if defects is None else f"- ln({figure(rolled)}) = {figure(defects)}",
            source=SIX_SIGMA,
            other="Counted defects / units is the same where defects fall at random: "
            "yield = e^-DPU.",
            key="defects-per-unit",
        ),
    )


def _entered_above(product: Product, name: str, final: Fraction) -> tuple[Finding, ...]:
    line = product.line(name)
    if line is None:
        return ()
    entered = product.demand.yield_share if line.is_main else line.yield_share
    if entered <= float(final) + 1e-9:
        return ()
    said = (
        f"The yield entered is {figure(entered)}, and the gates leave {figure(final)} of the units "
        "good: the line starts too few."
    )
    return (warning("yield-above-gates", f"Line {name}", said),)
