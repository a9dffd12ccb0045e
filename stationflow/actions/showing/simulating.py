"""The simulation of all lines of a product by its plans."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from stationflow.actions.opening.opened import Opened
from stationflow.actions.opening.whole_plan import gathered_plan
from stationflow.balancing.progress import Progress
from stationflow.files.codec import Kind
from stationflow.files.plan_document import lines_of_document
from stationflow.line.simulation.flow_compiled import prepare
from stationflow.line.simulation.product_simulation import simulate, simulate_plans
from stationflow.line.simulation.simulated import Estimate, Simulated, SimulationSettings
from stationflow.line.simulation.student import more_per_h
from stationflow.model import Finding, ProductPlan

SIMULATED = Kind("simulation", Simulated)
"""How an answer goes from one process to the other."""
MOST_HOURS, MOST_REPLICATIONS, MOST_SEED = 10_000, 1_000, 2**31 - 1


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedLines:
    """The simulation of a product, the plans it is of, and what was found."""

    simulated: Simulated
    plan_ids: tuple[int | None, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedPlan:
    """One of several plans that were simulated with the same random numbers."""

    name: str  # its file
    made: SimulatedLines
    # good units an hour more than the best plan (below 0: less), replication by replication;
    # None: it is the best, or was not simulated
    more_per_h: Estimate | None = None

    @property
    def is_simulated(self) -> bool:
        """Whether there is an answer."""
        return self.made.simulated.replications > 0


def simulation_problems(settings: SimulationSettings) -> list[str]:
    """Return what is wrong with what is asked, in sentences."""
    rules = (
        (0 < settings.hours <= MOST_HOURS, f"hours above 0, at most {MOST_HOURS:,}"),
        (
            1 <= settings.replications <= MOST_REPLICATIONS,
            f"1 to {MOST_REPLICATIONS:,} replications",
        ),
        (0 <= settings.seed <= MOST_SEED, f"a seed from 0 to {MOST_SEED:,}"),
    )
    return [f"Give {rule}." for holds, rule in rules if not holds]


def simulate_lines(
    opened: Opened, settings: SimulationSettings, progress: Progress, plan: Path | None = None
) -> SimulatedLines:
    """Return the simulation of all lines with a plan; stopped, that of the replications done."""
    gathered = gathered_plan(opened, plan)

    def goes_on(done: int, of: int) -> bool:
        progress.on_replication(done, of)
        return not progress.should_stop()

    prepare(progress.on_prepare)
    made = simulate(gathered.product, gathered.plan, settings, goes_on)
    return SimulatedLines(
        simulated=made,
        plan_ids=tuple(each.plan_id for each in gathered.plan.lines),
        findings=tuple(dict.fromkeys((*gathered.findings, *made.findings))),
    )


def rank_plans(
    opened: Opened,
    settings: SimulationSettings,
    progress: Progress,
    files: Sequence[Path],
    *,
    processes: int | None = None,
    address: str = "",
) -> tuple[RankedPlan, ...]:
    """Return the simulations of several plans, the one with the greatest output first.

    They are shared out among processes of this machine, or the workers of a Dask cluster. A file
    whose plan cannot be taken is not simulated: those in force are not meant by it.
    """

    def goes_on(done: int, of: int) -> bool:
        progress.on_replication(done * settings.replications, of * settings.replications)
        return not progress.should_stop()

    asked = replace(settings, trace=0)
    gathered = [gathered_plan(opened, file) for file in files]
    plans = [
        each.plan if _is_taken(each.plan, file) else ProductPlan(lines=())
        for each, file in zip(gathered, files, strict=True)
    ]
    if not address:
        prepare(progress.on_prepare)
    answers = simulate_plans(
        opened.product, plans, asked, goes_on, processes=processes, address=address
    )
    ranked = [
        RankedPlan(
            name=str(file),
            made=SimulatedLines(
                simulated=answer,
                findings=tuple(dict.fromkeys((*each.findings, *answer.findings))),
            ),
        )
        for file, each, answer in zip(files, gathered, answers, strict=True)
    ]
    ranked.sort(key=lambda plan: (not plan.is_simulated, -plan.made.simulated.output_per_h.mean))
    best = ranked[0].made.simulated
    return tuple(
        replace(plan, more_per_h=more_per_h(plan.made.simulated, best))
        if at and plan.is_simulated
        else plan
        for at, plan in enumerate(ranked)
    )


def _is_taken(plan: ProductPlan, file: Path) -> bool:
    """Whether the plan of a product has that of each line of a file."""
    names = lines_of_document(file)
    return bool(names) and all(plan.of(name) for name in names)
