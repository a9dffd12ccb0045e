"""Tables, load charts and workbooks out of the store, for pages and commands."""

import re
from collections.abc import Sequence
from enum import StrEnum
from pathlib import Path
from typing import Literal

from stationflow.actions import exported_tables as tables
from stationflow.actions.opening.given_plans import choose_plan, read_given_plan, work_of_source
from stationflow.actions.opening.sources import Source
from stationflow.actions.plans.methods import explained_result
from stationflow.actions.plans.plan_keeping import PlanState, balanced_times
from stationflow.actions.plans.source_balancing import check_source, lines_to_balance
from stationflow.actions.showing.checking import check_product
from stationflow.actions.showing.pacing import paces
from stationflow.drawing.charts.load_chart_svg import load_chart_svg
from stationflow.drawing.charts.load_rows import Row, load_chart_rows
from stationflow.drawing.render import Kind, render_svg
from stationflow.files.sheets_out import SheetTable, lost_in, table_csv, tables_xlsx
from stationflow.model import Finding, Plan, Product, by_severity, error
from stationflow.units import TimeUnit

__all__ = [
    "PLAN_TABLES",
    "Ending",
    "SheetTable",
    "What",
    "chart_source",
    "export_source",
    "file_name",
    "lost_in",
    "plan_chart",
    "plan_tables",
    "product_tables",
    "state_tables",
    "table_csv",
    "tables_xlsx",
]

Ending = Literal["csv", "xlsx"]


class What(StrEnum):
    """What can be exported as a table."""

    TASKS = "tasks"
    PARTS = "parts"
    FINDINGS = "findings"
    PACE = "pace"
    MATRIX = "matrix"
    STATIONS = "stations"
    ASSIGNMENT = "assignment"
    NUMBERS = "numbers"


PLAN_TABLES = (What.STATIONS, What.ASSIGNMENT, What.NUMBERS)
"""What needs a plan."""
UNSAFE = re.compile(r"[^\w.\-]+")


def file_name(*words: str, ending: str) -> str:
    """Return a file name that every system can hold.

    >>> file_name("AP 200/b", "tasks", ending="csv")
    'AP-200-b-tasks.csv'
    """
    stem = "-".join(UNSAFE.sub("-", word).strip("-.") for word in words if word)
    return f"{stem[:120].strip('-.') or 'stationflow'}.{ending}"


def product_tables(product: Product, what: What, line: str | None = None) -> SheetTable:
    """Return one table of a product.

    Parameters
    ----------
    line
        Only the tasks, or the matrix, of this line; None: of all lines.

    Raises
    ------
    ValueError
        If the table needs a plan.
    """
    about = f"{product.code} {product.name}".strip()
    match what:
        case What.TASKS:
            return tables.tasks_table(product, line)
        case What.PARTS:
            return tables.parts_table(product)
        case What.FINDINGS:
            return tables.findings_table(check_product(product), about)
        case What.PACE:
            return tables.pace_table(product, paces(product))
        case What.MATRIX:
            tasks = product.tasks if line is None else product.tasks_of(line)
            before = [task.predecessors for task in tasks]
            return tables.matrix_table([task.number for task in tasks], before, about)
    raise ValueError(f"{what} needs a plan")


def plan_tables(
    plan: Plan, made_from: Product, findings: Sequence[Finding] = ()
) -> dict[What, SheetTable]:
    """Return the tables of a plan: stations, assignment, numbers, findings.

    Parameters
    ----------
    made_from
        The product as it was when the plan was made.
    findings
        What is to be said of the plan beside its own findings.
    """
    rows = _plan_rows(plan, made_from)
    said = by_severity((*findings, *plan.result.findings))
    return _tables_of_plan(plan, rows, made_from.time_unit, _about_plan(plan), said)


def plan_chart(plan: Plan, made_from: Product, kind: Kind) -> bytes:
    """Return the load chart of a plan as a picture.

    Raises
    ------
    DrawingError
        If it cannot be drawn.
    """
    return _chart(plan, _plan_rows(plan, made_from), made_from.time_unit, kind)


def state_tables(state: PlanState) -> list[SheetTable]:
    """Return all tables of a plan as it stands now, for one workbook."""
    return list(plan_tables(state.plan, state.made_from, state.verdict).values())


def export_source(
    source: Source, what: What, *, line: str | None, plan: Path | None, ending: Ending
) -> tuple[bytes | None, tuple[Finding, ...]]:
    """Return one table of a source as a file's bytes, and what was found.

    Parameters
    ----------
    line
        Name of the line; None: all lines, or the line of the plan.
    plan
        A plan file, for what needs a plan; None: the plan in force.
    """
    table, findings = _table_of_source(source, what, line, plan)
    if table is None:
        return None, by_severity((*source.findings, *findings))
    if ending == "csv":
        return table_csv(table), by_severity((*source.findings, *findings))
    return tables_xlsx([table]), by_severity((*source.findings, *findings, *lost_in([table])))


def chart_source(
    source: Source, *, line: str | None, plan: Path | None, kind: Kind
) -> tuple[bytes | None, tuple[Finding, ...]]:
    """Return the load chart of a plan as a file's bytes, and what was found."""
    chosen, rows, unit, findings = _chosen(source, line, plan)
    found = by_severity((*source.findings, *findings))
    return (None if chosen is None else _chart(chosen, rows, unit, kind)), found


def _table_of_source(
    source: Source, what: What, line: str | None, plan: Path | None
) -> tuple[SheetTable | None, tuple[Finding, ...]]:
    """Return one table of a source, or why there is none."""
    if what in PLAN_TABLES:
        chosen, rows, unit, findings = _chosen(source, line, plan)
        if chosen is None:
            return None, findings
        return _tables_of_plan(chosen, rows, unit, _about_plan(chosen), findings)[what], findings
    if what == What.FINDINGS:
        return tables.findings_table(check_source(source), source.name), ()
    product = source.product
    if product is None:
        return _instance_table(source, what)
    if line is not None and product.line(line) is None:
        return None, (error("unknown-line", f"Line {line}", "The product has no such line."),)
    return product_tables(product, what, line), ()


def _instance_table(source: Source, what: What) -> tuple[SheetTable | None, tuple[Finding, ...]]:
    """Return one table of a published instance, which has tasks and arrows only."""
    work, _ = work_of_source(source, "")
    assert work is not None
    before = [[work.numbers[p] for p in row] for row in work.predecessors]
    if what == What.MATRIX:
        return tables.matrix_table(work.numbers, before, source.name), ()
    if what == What.TASKS:
        return tables.work_table(work, before, source.name), ()
    message = f"It is a published instance, which holds no {what.value}."
    hint = "Export its tasks, matrix or findings, or a plan's stations."
    return None, (error("no-plan", source.name, message, hint),)


Chosen = tuple[Plan | None, list[Row], TimeUnit | str, tuple[Finding, ...]]
"""A plan, its load chart's rows, the unit its times are shown in, and what was found."""


def _chosen(source: Source, line: str | None, file: Path | None) -> Chosen:
    """Return the plan a command means: of a file, or the one in force."""
    if source.product is not None:
        usual = lines_to_balance(source, line)[0]
        chosen = choose_plan(source, line, file, usual)
        unit = source.product.time_unit
        if chosen.plan is None:
            return None, [], unit, chosen.findings
        return chosen.plan, _plan_rows(chosen.plan, chosen.product), unit, chosen.findings
    work, _ = work_of_source(source, "")
    assert work is not None
    if file is None:
        message = "A published instance has no plan in force."
        return None, [], work.time_unit, (error("no-plan", source.name, message),)
    plan, findings = read_given_plan(source, line, file)
    if plan is None:
        return None, [], work.time_unit, findings
    times = {n: t / work.ticks for n, t in zip(work.numbers, work.times, strict=True)}
    return plan, load_chart_rows(plan.result, times), work.time_unit, findings


def _plan_rows(plan: Plan, made_from: Product) -> list[Row]:
    """Return the load chart's rows of a plan."""
    names = {task.number: task.name for task in made_from.tasks}
    return load_chart_rows(plan.result, balanced_times(made_from, plan.line), names)


def _about_plan(plan: Plan) -> str:
    """Return what the tables of a plan belong to."""
    version = f", version {plan.product_version}" if plan.product_version else ""
    name = f", {plan.name}" if plan.name else ""
    return f"{plan.product}, line {plan.line}{version}{name}"


def _tables_of_plan(
    plan: Plan, rows: Sequence[Row], unit: TimeUnit | str, about: str, said: Sequence[Finding]
) -> dict[What, SheetTable]:
    """Return the tables of a plan."""
    return {
        What.STATIONS: tables.stations_table(plan.result, rows, unit, about),
        What.ASSIGNMENT: tables.assignment_table(rows, unit, plan.line, about),
        What.NUMBERS: tables.numbers_table(explained_result(plan.result), about),
        What.FINDINGS: tables.findings_table(said, about),
    }


def _chart(plan: Plan, rows: Sequence[Row], unit: TimeUnit | str, kind: Kind) -> bytes:
    """Return the load chart of a plan as a picture."""
    title = plan.name or f"{plan.product}, line {plan.line}"
    return render_svg(load_chart_svg(rows, plan.result.limit, unit, title=title), kind)
