"""Use a plan that a file gives, or the one in force."""

from dataclasses import dataclass
from pathlib import Path

from stationflow.actions.opening.sources import Source
from stationflow.actions.opening.starting import open_own_store
from stationflow.actions.plans.plan_keeping import out_of_date_finding, plan_state
from stationflow.balancing.given_stations import GIVEN, given_result
from stationflow.balancing.work import LineWork, line_work
from stationflow.files.plan_document import read_plan_document
from stationflow.model import (
    MAIN_LINE,
    Finding,
    Plan,
    Product,
    error,
)
from stationflow.pace.takt import line_pace


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenPlan:
    """The plan a command means.

    Attributes
    ----------
    plan
        The plan; None: there is none that can be used.
    product
        The product as it was when the plan was made.
    findings
        What speaks against the plan.
    """

    plan: Plan | None
    product: Product
    findings: tuple[Finding, ...] = ()


def choose_plan(source: Source, line: str | None, file: Path | None, usual: str) -> ChosenPlan:
    """Return the plan of a file, or else the plan in force.

    Parameters
    ----------
    source
        A product.
    line
        The line asked for; None: not said.
    file
        A plan file; None: the plan in force is meant.
    usual
        The line when nothing says which.
    """
    product = source.product
    assert product is not None
    if file is not None:
        given, findings = read_given_plan(source, line, file)
        return ChosenPlan(plan=given, product=product, findings=findings)
    if product.line(usual) is None:
        unknown = error("unknown-line", f"Line {usual}", "The product has no such line.")
        return ChosenPlan(plan=None, product=product, findings=(unknown,))
    plan = source.plan_in_force(usual)
    if plan is None:
        missing = error("no-plan", f"Line {usual}", "The line has no plan in force.")
        return ChosenPlan(plan=None, product=product, findings=(missing,))
    state = plan_state(open_own_store() if source.version else None, source, plan)
    outdated = out_of_date_finding(state)
    findings = (*((outdated,) if outdated else ()), *state.verdict)
    return ChosenPlan(plan=plan, product=state.made_from, findings=findings)


def read_given_plan(
    source: Source, line: str | None, file: Path
) -> tuple[Plan | None, tuple[Finding, ...]]:
    """Return the plan of a file, its loads computed from the source's own times."""
    document, findings = read_plan_document(file)
    if document is None:
        return None, findings
    if line is not None and document.line != line:
        finding = error(
            "plan-file-broken",
            file.name,
            f"The plan is for line {document.line}, not for line {line}.",
            "Give the plan of the line asked for.",
        )
        return None, (*findings, finding)
    work, more = work_of_source(source, document.line)
    if work is None:
        return None, (*findings, *more)
    pace = line_pace(source.product, work.line) if source.product else None
    own = pace.station_time_s if pace else None
    result = given_result(
        work,
        document.stations,
        limit=document.limit if document.says_limit else own,
        pace=pace,
        method=str(document.document.get("method") or GIVEN),
    )
    plan = Plan(
        product=source.product.code if source.product else source.name,
        result=result,
        product_version=source.version,
        product_checksum=source.checksum,
    )
    return plan, (*findings, *result.findings)


def work_of_source(source: Source, line: str) -> tuple[LineWork | None, tuple[Finding, ...]]:
    """Return the work of one line of a product, or of an instance."""
    if source.product is None:
        assert source.instance is not None
        return source.instance.work, ()
    return line_work(source.product, line or MAIN_LINE)
