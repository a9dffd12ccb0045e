"""How a plan stands to the product as it is now."""

from dataclasses import dataclass

from stationflow.actions.opening.opened import Opened
from stationflow.balancing.plan_inputs import plan_differences, plan_inputs_checksum
from stationflow.balancing.verify import verify
from stationflow.model import Finding, Plan, Product, warning

GONE = "The version the plan was made from is not there."
ORDER = {"unknown-task-in-plan", "task-assigned-twice", "task-not-assigned", "predecessor-later"}


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanState:
    """A plan and how it stands to the product as it is now."""

    plan: Plan
    # the product as it is now while the plan is up to date, or when what it was made from is gone;
    # else exactly as it was when the plan was made
    made_from: Product
    differences: tuple[str, ...] = ()  # what differs now, in words; empty: the plan is up to date
    # what is wrong with the plan against the product as it is now
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
    now = opened.product
    if plan.product_checksum == opened.checksum:
        return PlanState(plan=plan, made_from=now)
    if plan.inputs and plan.inputs == plan_inputs_checksum(now, plan.line):
        return PlanState(plan=plan, made_from=now)
    made_from = opened.made_from(plan.product_checksum)
    differences = plan_differences(made_from, now, plan.line) if made_from else (GONE,)
    if not differences or (made_from is None and _says_the_same(opened, plan)):
        return PlanState(plan=plan, made_from=now)
    verdict = _verdict(opened, plan)
    return PlanState(
        plan=plan, made_from=made_from or now, differences=differences, verdict=verdict
    )


def plan_states(opened: Opened, line: str, *, archived: bool) -> list[PlanState]:
    """Return the plans of a line and whether they still hold, newest first."""
    return [plan_state(opened, plan) for plan in opened.plans(line, archived=archived)]


def _verdict(opened: Opened, plan: Plan) -> tuple[Finding, ...]:
    """Return what `verify` says of a plan against the product as it is now."""
    work, findings = opened.work(plan.line)
    if work is None:
        return findings
    stations = [station.tasks for station in plan.result.stations]
    return verify(work, stations, limit=plan.result.limit)


def _says_the_same(opened: Opened, plan: Plan) -> bool:
    """Return whether a plan of old files, which name no state we know, has today's loads and pace.

    Plans did not always keep the checksum of what they rest on.
    """
    work, _ = opened.work(plan.line)
    is_paced = plan.result.pace.station_time in (None, opened.limit(plan.line))
    is_broken = not ORDER.isdisjoint(finding.code for finding in _verdict(opened, plan))
    if plan.inputs or work is None or not is_paced or is_broken:
        return False
    times = dict(zip(work.numbers, work.times, strict=True))
    loads = [sum(times[task] for task in s.tasks) / work.ticks for s in plan.result.stations]
    return [round(load, 3) for load in loads] == [round(load, 3) for load in plan.result.loads]
