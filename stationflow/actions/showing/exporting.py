"""Tables, load charts and workbooks out of the store, for pages and commands."""

import re
from collections.abc import Sequence
from enum import StrEnum
from pathlib import Path
from typing import Literal

from stationflow.actions.opening.chosen_plan import ChosenPlan, choose_plan, unknown_line
from stationflow.actions.opening.opened import Opened
from stationflow.actions.opening.plan_states import PlanState
from stationflow.actions.showing.checking import check_opened, check_product
from stationflow.actions.showing.pacing import paces
from stationflow.balancing.explained.plan_explained import plan_numbers
from stationflow.balancing.load_rows import Row, load_chart_rows
from stationflow.balancing.work import LineWork, balanced_times, line_work, times_there
from stationflow.drawing.charts.chart_file import chart_file
from stationflow.drawing.charts.load_chart import load_chart
from stationflow.drawing.render import Kind
from stationflow.files.exports import exported_tables as tables
from stationflow.files.exports.sheets_out import SheetTable, lost_in, table_csv, tables_xlsx
from stationflow.model import Finding, Plan, Product, by_severity, error
from stationflow.model.unread import Use
from stationflow.units import TimeUnit

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
USES = {
    What.TASKS: (Use.WORK, Use.CARDS),
    What.MATRIX: (Use.WORK,),
    What.PACE: (Use.PACE,),
    What.PARTS: (Use.CARDS,),
}
"""What a table of a product is not made without."""
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

    `line`: only the tasks, or the matrix, of this line; None: of all lines.
    ValueError if the table needs a plan.
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
    plan: Plan, product: Product, findings: Sequence[Finding] = ()
) -> dict[What, SheetTable]:
    """Return the tables of a plan: stations, assignment, numbers, findings.

    `product`: the one whose times the plan has. `findings`: what is to be said of the
    plan beside its own findings.
    """
    rows = _plan_rows(plan, product)
    said = by_severity((*findings, *plan.result.findings))
    return _tables_of_plan(plan, rows, product.time_unit, _about_plan(plan), said)


def plan_chart(plan: Plan, product: Product, kind: Kind) -> bytes:
    """Return the load chart of a plan as a picture.

    DrawingError if it cannot be drawn.
    """
    return _chart(plan, _plan_rows(plan, product), product.time_unit, kind)


def state_tables(state: PlanState) -> list[SheetTable]:
    """Return all tables of a plan as it stands now, for one workbook."""
    return list(plan_tables(state.judged, state.judged_by, state.findings).values())


def export_opened(
    opened: Opened, what: What, *, line: str | None, plan: Path | None, ending: Ending
) -> tuple[bytes | None, tuple[Finding, ...]]:
    """Return one table of a source as a file's bytes, and what was found.

    `line`: name of the line; None: all lines, or the line of the plan. `plan`: a plan file, for
    what needs a plan; None: the plan in force.
    """
    table, findings = _table_of_opened(opened, what, line, plan)
    if table is None:
        return None, by_severity((*opened.findings, *findings))
    if ending == "csv":
        return table_csv(table), by_severity((*opened.findings, *findings))
    return tables_xlsx([table]), by_severity((*opened.findings, *findings, *lost_in([table])))


def chart_opened(
    opened: Opened, *, line: str | None, plan: Path | None, kind: Kind
) -> tuple[bytes | None, tuple[Finding, ...]]:
    """Return the load chart of a plan as a file's bytes, and what was found."""
    chosen = choose_plan(opened, line, plan)
    found = by_severity((*opened.findings, *chosen.findings))
    if chosen.plan is None:
        return None, found
    return _chart(chosen.plan, _rows(chosen, chosen.plan), opened.unit, kind), found


def _table_of_opened(
    opened: Opened, what: What, line: str | None, plan: Path | None
) -> tuple[SheetTable | None, tuple[Finding, ...]]:
    """Return one table of a source, or why there is none."""
    if what in PLAN_TABLES:
        chosen = choose_plan(opened, line, plan)
        if chosen.plan is None:
            return None, chosen.findings
        rows, said = _rows(chosen, chosen.plan), chosen.findings
        held = _tables_of_plan(chosen.plan, rows, opened.unit, _about_plan(chosen.plan), said)
        return held[what], said
    if what == What.FINDINGS:
        return tables.findings_table(check_opened(opened), opened.name), ()
    if opened.instance is not None:
        return _instance_table(opened.name, opened.instance.work, what)
    if line is not None and opened.product.line(line) is None:
        return None, (unknown_line(opened.product, line),)
    every = [each.name for each in opened.product.lines]
    if opened.product.stopped([line] if line else every, *USES[what]):
        return None, ()
    return product_tables(opened.product, what, line), ()


def _instance_table(
    name: str, work: LineWork, what: What
) -> tuple[SheetTable | None, tuple[Finding, ...]]:
    """Return one table of a published instance, which has tasks and arrows only."""
    before = [[work.numbers[p] for p in row] for row in work.predecessors]
    if what == What.MATRIX:
        return tables.matrix_table(work.numbers, before, name), ()
    if what == What.TASKS:
        return tables.work_table(work, before, name), ()
    message = f"It is a published instance, which holds no {what.value}."
    hint = "Export its tasks, matrix or findings, or a plan's stations."
    return None, (error("no-plan", name, message, hint),)


def _rows(chosen: ChosenPlan, plan: Plan) -> list[Row]:
    """Return the load chart's rows of the plan a command means."""
    if chosen.product is not None:
        return _plan_rows(plan, chosen.product)
    assert chosen.work is not None
    there = times_there(chosen.work, plan.result.stations)
    return load_chart_rows(plan.result, there.of_task, turns=there.turns)


def _plan_rows(plan: Plan, product: Product) -> list[Row]:
    """Return the load chart's rows of a plan."""
    names = {task.number: task.name for task in product.tasks}
    work, _ = line_work(product, plan.line)
    if work is None:
        return load_chart_rows(plan.result, balanced_times(product, plan.line), names)
    there = times_there(work, plan.result.stations)
    return load_chart_rows(plan.result, there.of_task, names, turns=there.turns)


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
        What.NUMBERS: tables.numbers_table(plan_numbers(plan.result), about),
        What.FINDINGS: tables.findings_table(said, about),
    }


def _chart(plan: Plan, rows: Sequence[Row], unit: TimeUnit | str, kind: Kind) -> bytes:
    """Return the load chart of a plan as a picture."""
    title = plan.name or f"{plan.product}, line {plan.line}"
    return chart_file(load_chart(rows, plan.result.limit, unit, title=title), kind)
