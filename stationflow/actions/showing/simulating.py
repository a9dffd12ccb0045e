"""The simulation of all lines of a product by its plans."""

from dataclasses import dataclass
from pathlib import Path

from stationflow.actions.opening.opened import Opened
from stationflow.actions.opening.whole_plan import gathered_plan
from stationflow.balancing.progress import Progress
from stationflow.files.codec import Kind
from stationflow.line.simulation.flow_compiled import prepare
from stationflow.line.simulation.product_simulation import simulate
from stationflow.line.simulation.simulated import Simulated, SimulationSettings
from stationflow.model import Finding

SIMULATED = Kind("simulation", Simulated)
"""How an answer goes from one process to the other."""
MOST_HOURS, MOST_REPLICATIONS, MOST_SEED = 10_000, 1_000, 2**31 - 1


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedLines:
    """The simulation of a product, the plans it is of, and what was found."""

    simulated: Simulated
    plan_ids: tuple[int | None, ...] = ()
    findings: tuple[Finding, ...] = ()


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
