"""Long runs in a process of their own: the request, what serves it, and what comes back."""

from dataclasses import dataclass, replace
from typing import Any, TypeVar

from stationflow.actions.opening.opened import opened_draft
from stationflow.actions.opening.starting import open_store_at
from stationflow.actions.plans.curves import CurveAnswer, curve_and_keep
from stationflow.actions.plans.joint_balancing import balance_jointly
from stationflow.actions.plans.plan_keeping import balance_and_keep
from stationflow.actions.plans.rebalanced_plans import rebalanced_plans
from stationflow.actions.showing.simulating import SIMULATED, simulate_lines
from stationflow.balancing.progress import Progress
from stationflow.files.codec import PLAN, Kind
from stationflow.line.joint.joint_balance import JointBalance
from stationflow.line.simulation.simulated import SimulationSettings
from stationflow.model import (
    Author,
    BalanceSettings,
    CurveSettings,
    RebalanceSettings,
    Severity,
)
from stationflow.storage import Draft

JOINT = Kind("joint balance", JointBalance)
"""How all lines balanced at once come back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JointRequest:
    """All lines are to be balanced at once; `settings`: how each of them."""

    settings: BalanceSettings

    @property
    def method(self) -> str:
        """Name of the method."""
        return self.settings.method

    @property
    def seconds(self) -> float | None:
        """The time limit of all lines together."""
        return self.settings.seconds

    @property
    def cores(self) -> int | None:
        """How many cores it may use."""
        return self.settings.cores


Asked = BalanceSettings | CurveSettings | RebalanceSettings | JointRequest | SimulationSettings
"""What a long run can be asked."""
A = TypeVar("A", bound=Asked)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRequest:
    """A long run for a line or for all: balances, its curve, a rebalance, a simulation."""

    address: str  # address of the store
    # product, version, checksum: the very state of the product that is meant
    product: str
    version: int
    checksum: str
    line: str  # empty: all lines together
    by: Author  # who asked, when and with what right
    # balances, curve, rebalance, joint, simulation: what is asked
    balances: tuple[BalanceSettings, ...] = ()
    curve: CurveSettings | None = None
    rebalance: RebalanceSettings | None = None
    joint: JointRequest | None = None
    simulation: SimulationSettings | None = None

    @property
    def asked(self) -> tuple[Asked, ...]:
        """All that is asked, one after the other."""
        others = (self.curve, self.rebalance, self.joint, self.simulation)
        return (*self.balances, *(each for each in others if each is not None))


REQUEST = Kind("request for the product", JobRequest)
"""How a request goes to the other process, on one line."""


def job_request(
    address: str,
    draft: Draft,
    line: str,
    *asked: Asked,
    by: Author,
) -> JobRequest:
    """Return the request to serve what is asked of a line of a draft, or of all its lines.

    Several balances may be asked for at once, and one of each other kind.
    """

    def of(kind: type[A]) -> tuple[A, ...]:
        return tuple(each for each in asked if isinstance(each, kind))

    return JobRequest(
        address=address,
        product=draft.product.code,
        version=draft.version,
        checksum=draft.checksum,
        line=line,
        by=by,
        balances=of(BalanceSettings),
        curve=next(iter(of(CurveSettings)), None),
        rebalance=next(iter(of(RebalanceSettings)), None),
        joint=next(iter(of(JointRequest)), None),
        simulation=next(iter(of(SimulationSettings)), None),
    )


def served(
    request: JobRequest,
    asked: Asked,
    *,
    by: Author,
    progress: Progress,
) -> dict[str, Any]:
    """Serve one thing a request asks for; store what comes out and return it as an event."""
    store = open_store_at(request.address)
    draft = replace(
        store.draft(request.product),
        product=store.saved_product(request.product, request.checksum),
        version=request.version,
        checksum=request.checksum,
    )
    if isinstance(asked, BalanceSettings):
        plan = balance_and_keep(store, draft, request.line, asked, by=by, progress=progress)
        return {"event": "done", "plan": PLAN.to_json(plan)}
    if isinstance(asked, SimulationSettings):
        made = simulate_lines(opened_draft(store, draft), asked, progress)
        told = {"simulated": SIMULATED.to_json(made.simulated), "plans": made.plan_ids}
        return {"event": "done", **told}
    if isinstance(asked, RebalanceSettings):
        answers = rebalanced_plans(store, draft, request.line, asked, progress)
        return {"event": "done", "rebalanced": [PLAN.to_json(plan) for plan in answers]}
    if isinstance(asked, JointRequest):
        found = balance_jointly(opened_draft(store, draft), asked.settings, progress)
        return {"event": "done", "joint": JOINT.to_json(found)}
    answer = curve_and_keep(store, draft, request.line, asked, by=by, progress=progress)
    why = _refusal(answer)
    return {"event": "refused", "message": why} if why else {"event": "done"}


def _refusal(answer: CurveAnswer) -> str:
    """Return why there is no curve, in sentences; empty: there is one."""
    if answer.curve is not None:
        return ""
    errors = [f for f in answer.findings if f.severity == Severity.ERROR]
    return "There is no curve. " + " ".join(f"{f.where}: {f.message}" for f in errors)
