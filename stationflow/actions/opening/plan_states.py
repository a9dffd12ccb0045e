"""How a plan stands to the product as it is now."""

from dataclasses import dataclass, replace

from stationflow.actions.opening.opened import Opened
from stationflow.balancing.judged_today import judged_today
from stationflow.balancing.plan_inputs import is_made_from, plan_differences
from stationflow.balancing.verify import verify
from stationflow.balancing.work import line_work
from stationflow.model import BalanceResult, Finding, Plan, Product, Severity, has_errors, warning
from stationflow.units import TimeUnit, show_seconds

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
    # the plan measured on the product as it is now; None: it is up to date, or cannot be measured
    today: BalanceResult | None = None
    now: Product | None = None  # the product as it is now, where the plan is measured on it
    # what is wrong with the plan against the product as it is now
    verdict: tuple[Finding, ...] = ()

    @property
    def is_out_of_date(self) -> bool:
        """Whether the product changed in something the plan depends on."""
        return bool(self.differences)

    @property
    def holds(self) -> bool:
        """Whether the plan can be worked by as the product is now."""
        return not has_errors(self.verdict) and not (self.is_out_of_date and self.today is None)

    @property
    def result(self) -> BalanceResult:
        """The plan as it is judged, drawn and counted: by today's times and demand."""
        return self.today or self.plan.result

    @property
    def judged(self) -> Plan:
        """The plan with the result of today."""
        return replace(self.plan, result=self.result)

    @property
    def judged_by(self) -> Product:
        """The product whose times `result` has."""
        return self.now or self.made_from

    @property
    def judged_words(self) -> str:
        """What the figures stand for, and what the plan was made for; empty: it is up to date."""
        if not self.is_out_of_date:
            return ""
        was = f"It was made for {self.made_for}."
        if self.today is None:
            return f"{was} The tasks have errors now, so it is not judged by today's."
        reached = _reached(self.today, self.judged_by.time_unit)
        return f"Judged by today's times and demand: {reached}. {was}"

    @property
    def made_for(self) -> str:
        """Limit and cycle time of the plan as it was made, in words."""
        return _reached(self.plan.result, self.made_from.time_unit)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What speaks against the plan: that it is out of date, and the verdict."""
        if not self.differences:
            return self.verdict
        more = len(self.differences) - 3
        said = " ".join(self.differences[:3]) + (f" And {more} more." if more > 0 else "")
        said = f"{said} {self.judged_words}"
        return (warning("plan-out-of-date", f"Plan of line {self.plan.line}", said), *self.verdict)


def broken_rules(state: PlanState) -> tuple[Finding, ...]:
    """Return what a plan breaks, as it is judged: errors, and limits its method did not keep."""
    broken = tuple(
        f
        for f in state.result.findings
        if f.severity == Severity.ERROR or f.code == "limits-broken"
    )
    return state.verdict or broken


def plan_state(opened: Opened, plan: Plan) -> PlanState:
    """Return a plan with what differs since it was made, and what `verify` says now."""
    now = opened.product
    if plan.product_checksum == opened.checksum:
        return PlanState(plan=plan, made_from=now)
    if is_made_from(plan, now):
        return PlanState(plan=plan, made_from=now)
    made_from = opened.made_from(plan.product_checksum)
    differences = plan_differences(made_from, now, plan.line) if made_from else (GONE,)
    if not differences or (made_from is None and _says_the_same(opened, plan)):
        return PlanState(plan=plan, made_from=now)
    today = judged_today(now, plan.result)
    wrong = line_work(now, plan.line)[1] if today is None else today.findings
    return PlanState(
        plan=plan,
        made_from=made_from or now,
        differences=differences,
        today=today,
        now=None if today is None else now,
        verdict=tuple(f for f in wrong if f.severity == Severity.ERROR),
    )


def _reached(result: BalanceResult, unit: TimeUnit) -> str:
    """Return limit and cycle time of a plan, in words."""
    limit = f"limit {show_seconds(result.limit, unit)}, " if result.limit else ""
    return f"{limit}cycle time {show_seconds(result.cycle_time, unit)}"


def plan_states(opened: Opened, line: str, *, archived: bool) -> list[PlanState]:
    """Return the plans of a line and whether they still hold, newest first."""
    return [plan_state(opened, plan) for plan in opened.plans(line, archived=archived)]


def _says_the_same(opened: Opened, plan: Plan) -> bool:
    """Return whether a plan of old files, which name no state we know, has today's loads and pace.

    Plans did not always keep the checksum of what they rest on.
    """
    work, _ = opened.work(plan.line)
    stations = [station.tasks for station in plan.result.stations]
    wrong = verify(work, stations) if work else ()
    is_paced = plan.result.pace.station_time in (None, opened.limit(plan.line))
    is_broken = not ORDER.isdisjoint(finding.code for finding in wrong)
    if plan.inputs or work is None or not is_paced or is_broken:
        return False
    times = dict(zip(work.numbers, work.times, strict=True))
    loads = [sum(times[task] for task in s.tasks) / work.ticks for s in plan.result.stations]
    return [round(load, 3) for load in loads] == [round(load, 3) for load in plan.result.loads]
