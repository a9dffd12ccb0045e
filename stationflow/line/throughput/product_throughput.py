"""The output of a product's lines by formula: losses, the most likely limiter, what would help."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stationflow.line.left_out import not_read_words, output_left_out
from stationflow.line.throughput.buffer_values import BufferValue, buffer_values
from stationflow.line.throughput.long_lines import LineOutput, line_output
from stationflow.line.throughput.product_stages import LineFlow, StageTree, flow_lines
from stationflow.line.throughput.stages import (
    Stage,
    availability_by_operation,
    availability_by_time,
)
from stationflow.model import Explained, Finding, Product, ProductPlan
from stationflow.pace.figures import figure
from stationflow.pace.takt import line_pace

NUDGE = 0.02
"""Each stage is made better by this share, to see which one holds the others."""
HOUR_S = 3600.0
ENOUGH = 1e-6
"""Of the units wanted: so many too few are the noise of numbers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LostOutput:
    """What a cause takes from the output."""

    name: str  # "scatter", "stops", "rejects"
    per_h: float  # units an hour
    share: float  # of the output of the slowest stage


@dataclass(frozen=True, slots=True, kw_only=True)
class Throughput:
    """The output of all lines together. Units are those of the product, an hour of working time."""

    line: str  # the main line
    ideal_per_h: float | None = None  # what the slowest stage gives without scatter and stops
    output_per_h: float | None = None  # good units; None: it cannot be told
    wanted_per_h: float | None = None  # good units that the demand asks for; None: there is no pace
    losses: tuple[LostOutput, ...] = ()  # from the one to the other
    # line and number of the station that most likely limits the output; 0: no station, its pace
    limiter_line: str = ""
    limiter_number: int = 0
    values: tuple[BufferValue, ...] = ()  # what gains most first
    numbers: tuple[Explained, ...] = ()
    findings: tuple[Finding, ...] = ()  # what was not read, so that there is no output

    @property
    def limiter(self) -> str:
        """What most likely limits the output, in words; empty: it is not told."""
        if not self.limiter_line:
            return ""
        if not self.limiter_number:
            return f"the pace of line {self.limiter_line}"
        return f"station {self.limiter_number} of line {self.limiter_line}"

    @property
    def answer(self) -> str:
        """Whether the lines hold the pace of the demand, in words; empty: it cannot be told."""
        if self.findings:
            return f"The output is left out: {not_read_words(self.findings)}"
        made, wanted = self.output_per_h, self.wanted_per_h
        if made is None or wanted is None:
            return ""
        said = f"By formula {figure(made, 1)} good units an hour; {figure(wanted, 1)} are wanted: "
        short = wanted - made
        said += "enough." if short <= ENOUGH * wanted else f"{figure(short, 1)} too few."
        return f"{said} Most likely {self.limiter} limits the output." if self.limiter else said

    @property
    def values_by_cost(self) -> tuple[BufferValue, ...]:
        """What there may be one more of, what gains most for its weekly cost first."""
        weekly = [v for v in self.values if v.gain_per_cost is not None and v.is_weekly]
        return tuple(sorted(weekly, key=lambda value: -(value.gain_per_cost or 0)))


def throughput(product: Product, plan: ProductPlan) -> Throughput:
    """Return the output of all lines of a product with their plans, by formula.

    Stations of a paced line without a place between them step together: at the pace, or when the
    slowest is ready where all wait for it, and a stop of one stops all. Stations without a pace
    and lines that feed others are taken apart (`long_lines`). Places of the main line planned empty
    start no unit.
    """
    main = product.main_line
    not_read = output_left_out(product)
    lines = () if not_read else flow_lines(product, plan)
    if main is None or not lines:
        return Throughput(line=main.name if main else "", findings=not_read)
    quality = (task.quality for task in product.tasks_of(main.name) if task.quality)
    empty_share = min(1.0, max((step.empty_share for step in quality), default=0.0))
    tree = StageTree(lines)
    base = line_output(tree.stages)
    per_h = HOUR_S * main.copies
    ideal = per_h / max(tree.without_waiting)
    scattering, running = per_h * base.without_stops, per_h * base.output
    good = running * product.demand.yield_share * (1 - empty_share)
    taken = (
        ("scatter", ideal - scattering),
        ("stops", scattering - running),
        ("empty places", running * empty_share),
        ("rejects", running * (1 - empty_share) * (1 - product.demand.yield_share)),
    )
    losses = tuple(LostOutput(name=n, per_h=lost, share=lost / ideal) for n, lost in taken)
    line, number = _limiter(lines, tree, base)
    takt = line_pace(product, main.name).takt_time_s
    return Throughput(
        line=main.name,
        ideal_per_h=ideal,
        output_per_h=good,
        wanted_per_h=per_h / takt if takt else None,
        losses=losses,
        limiter_line=line,
        limiter_number=number,
        values=buffer_values(product, lines, base, good, empty_share) if good > 0 else (),
        numbers=_numbers(product, tree, base, losses, ideal, good),
    )


def _limiter(lines: Sequence[LineFlow], tree: StageTree, base: LineOutput) -> tuple[str, int]:
    """Return the station whose stage gains most when it is made a little better.

    Of stations that step together: the one that stops most where stops take more than scatter,
    else the one with the most work, or the pace that leaves it time in every unit. Where no stage
    alone gains anything, the most work decides.
    """
    gains = [
        line_output([*tree.stages[:at], _better(stage), *tree.stages[at + 1 :]], base).output
        for at, stage in enumerate(tree.stages)
    ]
    most = max(gains)
    held = [at for at, gain in enumerate(gains) if gain >= most * (1 - 1e-6)]
    stations = [
        (line, station)
        for line in lines
        for station in line.stations
        if tree.at[line.name, station.number] in held
    ]
    by_work = {id(s): (s.time_s + s.sd_s) * line.per_unit for line, s in stations}
    left_by_scatter = max(tree.without_waiting) * base.without_stops
    if any(s.stop_ratio for _, s in stations) and base.running < left_by_scatter:
        line, station = max(stations, key=lambda each: (each[1].stop_ratio, by_work[id(each[1])]))
    else:
        line, station = max(stations, key=lambda each: by_work[id(each[1])])
        is_step_late = line.waits and station.sd_s > 0
        if line.step_s is not None and station.time_s < line.step_s and not is_step_late:
            return line.name, 0
    return line.name, station.number


def _better(stage: Stage) -> Stage:
    less = 1 - NUDGE
    return replace(
        stage,
        time=stage.time * less,
        mtbf=stage.mtbf and stage.mtbf * less,  # as often stopped in one unit
        mttr=stage.mttr * less,
    )


def _numbers(
    product: Product,
    tree: StageTree,
    base: LineOutput,
    losses: Sequence[LostOutput],
    ideal: float,
    good: float,
) -> tuple[Explained, ...]:
    main = product.main_line
    assert main is not None
    slowest = max(tree.without_waiting)
    where = f"line {main.name}"
    copies = "" if main.copies == 1 else f" x {main.copies}"
    scattering = ideal - losses[0].per_h
    without = scattering / ideal
    stops = [stage for stage in tree.stages if stage.stop_ratio]
    ratios = " + ".join(figure(stage.stop_ratio, 4) for stage in stops[:12])
    more = f" + {len(stops) - 12} more" if len(stops) > 12 else ""
    by_operation, by_time = availability_by_operation(stops), availability_by_time(stops)
    filled = 1 - losses[2].per_h / (scattering * base.running)
    shares = f"{figure(base.running, 4)} x {figure(filled, 4)} x {product.demand.yield_share:g}"
    return (
        Explained(
            name="output of the slowest stage",
            value=ideal,
            unit="units/h",
            formula="output = 3600 s x copies of the line / longest time of a stage",
            worked=f"3600 s{copies} / {figure(slowest, 3)} s = {figure(ideal, 3)} units/h",
            source="definition of the cycle time",
            where=where,
        ),
        Explained(
            name="share left by scatter",
            value=without,
            unit="",
            formula="output of the line taken apart into pairs of stages / output of the slowest "
            "stage; stations that step together wait for the longest of all times",
            worked=f"{figure(scattering, 3)} units/h / {figure(ideal, 3)} units/h = "
            f"{figure(without, 4)}",
            source="Dallery and Frein (1993), with pairs after Hunt (1956) fitted to any scatter; "
            "within 2.5 % of simulated lines of 5 to 20 stages",
            where=where,
        ),
        Explained(
            name="share of time running",
            value=base.running,
            unit="",
            formula="lines with stops taken apart into pairs of stages with a buffer between them",
            worked=f"{len(tree.stages)} stages, {len(stops)} of them stop: "
            f"{figure(base.running, 4)}",
            source="Dallery, David and Xie (1989); Di Mascolo, David and Dallery (1991)",
            where=where,
        ),
        Explained(
            name="share of time running without buffers",
            value=by_operation,
            unit="",
            formula="1 / (1 + sum of MTTR / MTBF), stations stop only while they work",
            worked=f"1 / (1 + {ratios or '0'}{more}) = {figure(by_operation, 4)}",
            source="Buzacott (1967), operation-dependent failures",
            other="Stations that stop at any time, also while the line stands (time-dependent "
            f"failures): product of 1 / (1 + MTTR / MTBF) = {figure(by_time, 4)}.",
            where=where,
        ),
        Explained(
            name="output by formula",
            value=good,
            unit="units/h",
            formula="output = output of the slowest stage x share left by scatter x share of time "
            "running x share of places filled x share of good units",
            worked=f"{figure(ideal, 3)} units/h x {figure(without, 4)} x {shares} = "
            f"{figure(good, 3)} units/h",
            source="losses taken one upon the other",
            other="Lines that scatter and stop at once: within about 6 % of simulated ones.",
            where=where,
        ),
    )
