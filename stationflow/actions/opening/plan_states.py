"""How a plan stands to the product as it is now."""

from dataclasses import dataclass

from stationflow.actions.opening.opened import Opened
from stationflow.balancing.plan_age import plan_differences
from stationflow.balancing.verify import verify
from stationflow.model import Finding, Plan, Product, warning

GONE = "The version the plan was made from is not there."


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanState:
    """A plan and how it stands to the product as it is now.

    Attributes
    ----------
    made_from
        The product exactly as it was when the plan was made; as it is now, if that is gone.
    differences
        What differs now, in words; empty: the plan is up to date.
    verdict
        What is wrong with the plan against the product as it is now.
    """

    plan: Plan
    made_from: Product
    differences: tuple[str, ...] = ()
    verdict: tuple[Finding, ...] = ()

    @property
    def is_out_of_date(self) -> bool:
        """Whether the product changed in something the plan depends on."""
        return bool(self.differences)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What speaks against the plan: that it is out of date, and the verdict."""
        if not self.differences:
            return self.verdict
        more = len(self.differences) - 3
        said = " ".join(self.differences[:3]) + (f" And {more} more." if more > 0 else "")
        return (warning("plan-out-of-date", f"Plan of line {self.plan.line}", said), *self.verdict)


def plan_state(opened: Opened, plan: Plan) -> PlanState:
    """Return a plan with what differs since it was made, and what `verify` says now."""
    made_from = opened.made_from(plan.product_checksum)
    if made_from is opened.product:
        return PlanState(plan=plan, made_from=made_from)
    if made_from is None:
        differences: tuple[str, ...] = (GONE,)
    else:
        differences = plan_differences(made_from, opened.product, plan.line)
    return PlanState(
        plan=plan,
        made_from=made_from or opened.product,
        differences=differences,
        verdict=_verdict(opened, plan) if differences else (),
    )


def _verdict(opened: Opened, plan: Plan) -> tuple[Finding, ...]:
    """Return what `verify` says of a plan against the product as it is now."""
    work, findings = opened.work(plan.line)
    if work is None:
        return findings
    stations = [station.tasks for station in plan.result.stations]
    return verify(work, stations, takt=plan.result.takt)
