"""Simulate a product with the plans of its lines."""

from dataclasses import replace

from stationflow.line.simulation.flow_runs import Progress, no_answer, simulate_flow
from stationflow.line.simulation.from_plan import planned_flow
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
