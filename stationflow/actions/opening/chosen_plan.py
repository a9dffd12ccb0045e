"""The plan that a command means: of a file, or the one in force."""

from dataclasses import dataclass
from pathlib import Path

from stationflow.actions.opening.opened import Opened
from stationflow.actions.opening.plan_states import PlanState, plan_state
from stationflow.balancing.given_stations import given_result
from stationflow.balancing.work import LineWork, line_work
from stationflow.files.plan_document import read_plan_document
from stationflow.model import Finding, Plan, Product, error
from stationflow.model.unread import Use
from stationflow.network.line_tree import line_tree
from stationflow.pace.takt import line_pace


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenPlan:
    """A line and the plan a command means."""

    line: str  # name of the line
    # the plan, that in force as it is judged today; None: there is none that can be used
    plan: Plan | None
    product: Product | None  # the product it is judged by; None: a published instance
    work: LineWork | None  # the work of the line of this product; None: its tasks have errors
    findings: tuple[Finding, ...] = ()  # what speaks against the plan, or why there is none
    # how the plan in force stands to the product; None: it is no plan in force
    state: PlanState | None = None


def choose_plan(opened: Opened, line: str | None, file: Path | None) -> ChosenPlan:
    """Return the plan of a file, or else the plan in force of the line (of the main line)."""
    name = opened.line(line)
    now = None if opened.instance else opened.product
    if file is not None:
        given, findings = read_given_plan(opened, line, file)
        name = given.line if given else name
        state = PlanState(plan=given, made_from=now) if given and now else None
    elif now is not None and now.line(name) is None:
        given, state, findings = None, None, (unknown_line(now, name),)
    elif (stored := opened.plan_in_force(name)) is not None:
        state = plan_state(opened, stored)
        given, now, findings = state.judged, state.judged_by, state.findings
    elif now is not None:
        given, state = None, None
        findings = (error("no-plan", f"Line {name}", "The line has no plan in force."),)
    else:
        given, state = None, None
        message = "A published instance has no plan in force."
        findings = (error("no-plan", opened.name, message),)
    if now is not None and (not_read := not_read_for_plan(now, name)):
        given, state, findings = None, None, (*findings, *not_read)
    work = opened.work(name)[0] if now is None else line_work(now, name)[0]
    return ChosenPlan(line=name, plan=given, product=now, work=work, findings=findings, state=state)


def not_read_for_plan(product: Product, line: str, *more: Use) -> tuple[Finding, ...]:
    """Return what was not read and the plan of a line rests on, or what `more` is made of it.

    The lines it feeds set its pace.
    """
    way = (line, *(each.name for each in line_tree(product).ways.get(line, ())))
    of_plan = product.stopped(way, Use.WORK, Use.PACE)
    return tuple(dict.fromkeys((*of_plan, *product.stopped([line], *more))))


def unknown_line(product: Product, name: str) -> Finding:
    """Return the finding that a product has no line of this name."""
    names = ", ".join(line.name for line in product.lines) or "none"
    message = f"The product has no such line; its lines are: {names}."
    return error("unknown-line", f"Line {name}", message)


def read_given_plan(
    opened: Opened, line: str | None, file: Path
) -> tuple[Plan | None, tuple[Finding, ...]]:
    """Return the plan of a file, its loads computed from the source's own times."""
    document, findings = read_plan_document(file, line, opened.line(None))
    if document is None:
        return None, findings
    work, more = opened.work(document.line)
    if work is None:
        return None, (*findings, *more)
    pace = None if opened.instance else line_pace(opened.product, work.line)
    asked = document.asked
    is_by_demand = asked.limit is None and asked.stations is None
    result = given_result(
        work,
        document.stations,
        limit=pace.station_time_s if pace and is_by_demand else asked.limit,
        pace=pace,
        asked=asked,
        effort=document.effort,
    )
    plan = Plan(
        product=opened.name if opened.instance else opened.product.code,
        result=result,
        product_version=opened.version,
        product_checksum=opened.checksum,
    )
    return plan, (*findings, *result.findings)
