"""Simulate a product with the plans of its lines."""

from collections.abc import Sequence
from dataclasses import replace

from stationflow.line.simulation.from_plan import planned_flow
from stationflow.line.simulation.plans_at_once import simulate_at_once
from stationflow.line.simulation.replications import Progress, no_answer, simulate_flow
from stationflow.line.simulation.simulated import Simulated, SimulationSettings
from stationflow.model import Product, ProductPlan

DEFAULT = SimulationSettings()


def simulate(
    product: Product,
    plan: ProductPlan,
    settings: SimulationSettings = DEFAULT,
    progress: Progress | None = None,
) -> Simulated:
    """Return what the lines of a product give with their plans, simulated.

    `progress` is told the replications done and asked for; when it returns False, those done are
    the answer. Without a plan of the main line there is none, and a finding says so.
    """
    planned = planned_flow(product, plan)
    if planned.model is None:
        return no_answer(settings, *planned.findings)
    answer = simulate_flow(planned.model, settings, progress or (lambda done, of: True))
    return replace(answer, findings=(*planned.findings, *answer.findings))


def simulate_plans(
    product: Product,
    plans: Sequence[ProductPlan],
    settings: SimulationSettings,
    progress: Progress,
    *,
    processes: int | None = None,
    address: str = "",
) -> tuple[Simulated, ...]:
    """Return what a product gives with each of several plans, as `simulate_at_once` has it."""
    flows = [planned_flow(product, plan) for plan in plans]
    jobs = [(flow.model, settings) for flow in flows if flow.model is not None]
    made = iter(
        simulate_at_once(jobs, processes=processes, address=address, progress=progress)
        if jobs
        else ()
    )
    answers = [no_answer(settings) if flow.model is None else next(made) for flow in flows]
    return tuple(
        replace(answer, findings=(*flow.findings, *answer.findings))
        for answer, flow in zip(answers, flows, strict=True)
    )
