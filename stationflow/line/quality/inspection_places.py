"""Which inspections of a line pay: work of looking here against work of repair later."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from stationflow.line.quality.gates import Gate
from stationflow.line.quality.repair_loop import repair_loop
from stationflow.model import Explained, QualityKind
from stationflow.pace.figures import figure
from stationflow.pace.formula import Formula, Written, plain, rounded_time

DEMING = "Deming, Out of the Crisis: inspect all or none, by the share of faults against k1 / k2"
PLACES = (
    "least expected work over all choices of gates, by dynamic programming over the last gate that "
    "was kept (Lindsay and Bishop 1964)"
)
BREAK_EVEN = Formula(
    name="share of faults from which the gate pays",
    right="work of one test / (work of repair at the next gate - work of repair here)",
    source=DEMING,
    other="What a fault costs at the customer is not in it: tests and the last gate stay.",
    key="break-even",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """A place where units could be inspected, with the faults that arise on the way to it."""

    faults: Fraction  # per unit, since the stage before
    inspect: Fraction  # work of one inspection in s
    repair: Fraction  # work on a fault that is found here in s
    must: bool = False  # it is kept in any case


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionFigures:
    """Whether the inspections of a line pay, in operator seconds of one unit."""

    line: str
    numbers: tuple[Explained, ...]


def best_places(stages: Sequence[Stage]) -> tuple[Fraction, tuple[int, ...]]:
    """Return the least expected work of one unit, and the stages that are kept for it.

    A kept stage finds every fault that arose since the last one that was kept; the last stage is
    kept in any case, so that none goes out.
    """
    # best[j]: least work up to stage j - 1, which is kept; with the stages kept
    best: list[tuple[Fraction, tuple[int, ...]]] = [(Fraction(0), ())]
    for at, stage in enumerate(stages):
        choices = []
        for last in range(at, -1, -1):  # stages last .. at - 1 are left out
            found = sum((each.faults for each in stages[last : at + 1]), Fraction(0))
            work, kept = best[last]
            choices.append((work + stage.inspect + found * stage.repair, (*kept, at)))
            if last and stages[last - 1].must:
                break
        best.append(min(choices))
    return best[-1]


def inspection_figures(line: str, gates: Sequence[Gate]) -> InspectionFigures | None:
    """Return which inspections of a line pay; None: fewer than two, or one without its times.

    The hand time of a gate is the work of its test; a repair is done as often as it takes.
    """
    stages = [stage for gate in gates if (stage := _stage(gate))]
    if len(gates) < 2 or len(stages) < len(gates):
        return None
    stages[-1] = replace(stages[-1], must=True)
    today = sum((s.inspect + s.faults * s.repair for s in stages), Fraction(0))
    least, kept = best_places(stages)
    left_out = [gate.task.number for at, gate in enumerate(gates) if at not in kept]
    numbers = [
        number
        for gate, stage, following in zip(gates, stages, stages[1:], strict=False)
        if not stage.must and (number := _break_even(gate, stage, following))
    ]
    told = ", ".join(left_out) or "none"
    numbers.append(
        Explained(
            name="least work of tests and repair of one unit",
            value=float(least),
            unit="s",
            formula="sum over the gates kept of work of one test + faults found there x work of "
            "one repair there",
            worked=f"today {figure(today, 3)} s; inspections that would be left out: {told}; then "
            f"{figure(least, 3)} s",
            source=PLACES,
            other="Faults that a later gate cannot find, and work that hides them, are not in it: "
            "look before a gate is left out.",
            key=f"{line}-inspection-work",
            where=f"line {line}",
        )
    )
    return InspectionFigures(line=line, numbers=tuple(numbers))


def _stage(gate: Gate) -> Stage | None:
    loop = repair_loop(gate.first, gate.repeat, gate.scrap)
    failing = 1 - gate.first
    if loop is None or (failing and not gate.step.repair_ms):
        return None
    hand = 0 if gate.task.machine else gate.task.time_ms or 0
    times = loop.repairs / failing if failing else Fraction(1)
    return Stage(
        faults=failing,
        inspect=Fraction(hand, 1000),
        repair=times * Fraction(gate.step.repair_ms or 0, 1000),
        must=gate.step.kind != QualityKind.INSPECTION,  # what a test finds no look finds
    )


def _break_even(gate: Gate, stage: Stage, following: Stage) -> Explained | None:
    """Return from which share of faults a gate pays; None: repair is no dearer at the next."""
    if following.repair <= stage.repair:
        return None
    _, number = BREAK_EVEN.opened(
        {
            "work of one test": rounded_time(stage.inspect),
            "work of repair at the next gate": rounded_time(following.repair),
            "work of repair here": rounded_time(stage.repair),
        },
        written=Written(places=6),
    )
    pays = (
        "it pays"
        if stage.faults * (following.repair - stage.repair) > stage.inspect
        else ("it does not pay by that")
    )
    share = plain(stage.faults).text()
    return replace(
        number,
        worked=f"{number.worked}; {share} of the units fail here: {pays}",
        key=f"{gate.where}-{number.key}".replace(" ", "-"),
        where=gate.where,
    )
