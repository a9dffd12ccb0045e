"""What stands in a file and cannot be read stops what is made from it, and nothing else."""

import tomllib
from collections.abc import Callable, Collection
from dataclasses import replace
from datetime import date
from functools import cache
from io import BytesIO
from pathlib import Path

import pypdfium2
import pytest
from openpyxl import load_workbook
from small_products import ANA, BOARD_LAMP, MIXED, MOVABLE, PICTURES, write_folder

import stationflow as sf
from stationflow.actions.opening.opened import Opened, open_source
from stationflow.actions.opening.whole_plan import GatheredPlan
from stationflow.actions.plans.curves import curve_of
from stationflow.actions.products.product_upkeep import import_product, import_workbook
from stationflow.actions.products.products_out import export_workbook
from stationflow.actions.products.saving import save_edit
from stationflow.actions.showing.card_printing import FileKind, print_cards
from stationflow.actions.showing.checking import check_product
from stationflow.actions.showing.exporting import What, export_opened
from stationflow.actions.showing.line_showing import (
    drop_record_pdf,
    fault_cards_pdf,
    line_view_of,
    recommendation_pdf,
)
from stationflow.balancing.plan_inputs import plan_inputs_checksum
from stationflow.cards.paper import Paper
from stationflow.errors import CardError, SourceError
from stationflow.files.codec import PLAN
from stationflow.files.csv_text import read_csv, write_csv
from stationflow.files.product.product_folder import ProductFile, write_product_folder
from stationflow.files.product.toml_text import write_toml
from stationflow.files.product.workbook import read_workbook
from stationflow.files.product.workbook_writing import write_workbook
from stationflow.files.source import read_source_file
from stationflow.line.geometry.parallel_lines import parallel_lines
from stationflow.line.joint.joint_balance import joint_balance
from stationflow.line.quality.fault_pareto import pareto
from stationflow.line.quality.product_quality import quality_figures
from stationflow.line.simulation.from_plan import planned_flow
from stationflow.line.simulation.product_simulation import simulate
from stationflow.line.throughput.product_throughput import throughput
from stationflow.line.whole_line import whole_line
from stationflow.model import (
    BalanceSettings,
    Costs,
    CurveSettings,
    DropProcedure,
    Equipment,
    Fault,
    FaultCount,
    FinerGoal,
    FurtherJoin,
    Lift,
    Machine,
    MachineKind,
    Packing,
    Plan,
    Product,
    ProductPlan,
    QualityKind,
    QualityStep,
    ReachOptions,
    Severity,
    StationSetting,
    StationTime,
    TaskLimits,
    has_errors,
)
from stationflow.model.changes.cell_places import kept_as_it_stands
from stationflow.model.product_plan import LinePlan
from stationflow.model.schema.columns import NUMBERS, Column, Kind, Table
from stationflow.model.schema.tables import TABLE, TABLES
from stationflow.model.unread import Use
from stationflow.pace.reach import ways_to_reach
from stationflow.people.lifts_of_line import highest_lifting, station_lifting, task_lift
from stationflow.storage import Draft, Store

PACKAGE = Path(sf.__file__).parent
RULE = "largest-candidate"
NEVER = "4 or 5 of them"
"""A text that is no number, share, time, yes or no, clock time, day or word of any column."""

MAIN, BOARD = BOARD_LAMP.lines
FULL = replace(
    BOARD_LAMP,
    code="FULL",
    models=MIXED.models,
    reach=ReachOptions(overtime_limit_h=10),
    equipment=(Equipment(name="press"),),
    lines=(replace(MAIN, stations=(StationSetting(number=1, operators=1),)), BOARD),
    tasks=(
        replace(
            BOARD_LAMP.tasks[0],
            model_times=MIXED.tasks[0].model_times,
            station_times=(StationTime(station=2, time_ms=9000),),
            limits=TaskLimits(lift_kg=2),
            quality=QualityStep(kind=QualityKind.INSPECTION, first_pass_share=0.9),
            lift=Lift(
                from_reach_mm=400,
                from_height_mm=700,
                to_reach_mm=400,
                to_height_mm=700,
                to_turn_deg=30,
            ),
        ),
        *BOARD_LAMP.tasks[1:],
    ),
    machines=(Machine(name="Press", kind=MachineKind.PRESS, task="10", piece_ms=2000),),
    packing=Packing(gross_kg=5, drop_procedure=DropProcedure.ISTA_1A),
    costs=Costs(operator_cost_h=30),
    faults=(Fault(code="F1", gate="10"),),
    tally=(FaultCount(date="2026-03-02", fault="F1"),),
)
"""A row in every table but that of the further joins, which change the pace of the feeder."""
JOINED = replace(FULL, joins=(FurtherJoin(line="board", feeds="main", join="40"),))
OF_FEEDER = ("lines", "joins")
"""The tables of which the row of the feeder is spoilt."""


def full(table: Table) -> Product:
    """Return the product that has a row in a table."""
    return JOINED if table.name == "joins" else FULL


CHECKED = {*NUMBERS, Kind.CHOICE, Kind.YES_NO, Kind.DAYS, Kind.CLOCK}
CELLS = [(table, c) for table in TABLES for c in table.columns if c.kind in CHECKED]
"""Every cell that can hold something that is not read."""


def spoilt_folder(folder: Path, table: Table, column: Column, text: str = NEVER) -> ProductFile:
    """Return what is read of the folder of FULL with one cell that cannot be read."""
    path = write_folder(folder, full(table))
    row = len(FULL.lines) - 1 if table.name == "lines" else 0  # the feeder
    if table.in_toml:
        document = tomllib.loads((path / "product.toml").read_text("utf-8"))
        content = document.setdefault(table.name, {})
        (content[row] if isinstance(content, list) else content)[column.name] = text
        (path / "product.toml").write_bytes(write_toml(document))
    else:
        file = path / f"{table.name}.csv"
        grid = [list(cells) for cells in read_csv(file.read_bytes())]
        grid[1][grid[0].index(column.name)] = text
        file.write_bytes(write_csv(grid))
    read = read_source_file(path)
    assert isinstance(read, ProductFile)
    return read


@cache
def full_workbook(*, is_joined: bool) -> bytes:
    """Return the workbook of FULL."""
    return write_workbook(JOINED if is_joined else FULL, PICTURES)[0]


def spoilt_workbook(table: Table, column: Column, text: str = NEVER) -> bytes:
    """Return the workbook of FULL with one cell that cannot be read."""
    book = load_workbook(BytesIO(full_workbook(is_joined=table.name == "joins")))
    sheet = book[table.title]
    at = [cell.value for cell in sheet[1]].index(column.title)
    row = 1 + len(FULL.lines) if table.name == "lines" else 2
    sheet.cell(row=row, column=at + 1).value = text
    out = BytesIO()
    book.save(out)
    return out.getvalue()


PLANS = ProductPlan(
    lines=tuple(
        LinePlan(line=line, result=sf.balance_line(FULL, line=line, limit_s=100, method=RULE))
        for line in ("main", "board")
    )
)
"""The plans of FULL, by which the whole line is counted whatever is spoilt."""


def line_is_counted(product: Product, line: str) -> bool:
    """Return whether a line has its figures: places, machines and tests alike."""
    whole = whole_line(product, PLANS)
    figures = whole.line(line)
    assert figures is not None
    assert figures.stations > 0  # that is the plan's
    told = {figures.through_s is not None}
    told |= {m.utilisation is not None for m in whole.machines if m.line == line}
    told |= {line in {gate.line for gate in whole.gates}} if line == "main" else set()
    assert len(told) == 1
    return told == {True}


def output_is_told(product: Product) -> bool:
    """Return whether all lines have an output together, by formula and simulated alike."""
    is_told = throughput(product, PLANS).output_per_h is not None
    assert is_told == (planned_flow(product, PLANS).model is not None)
    return is_told


def lift_is_weighed(product: Product) -> bool:
    """Return whether task 10, its station and the whole line have a lifting index alike."""
    task, main = product.tasks[0], PLANS.of("main")
    assert main is not None
    lift = task_lift(product, task, 60)
    assert lift is not None
    is_told = bool(lift.numbers)
    assert is_told == bool(station_lifting(product, product.tasks[:2], 1, 60))
    assert is_told == (highest_lifting(product, main.result) is not None)
    return is_told


IS_MADE: dict[Use, Callable[[Product, str], bool]] = {
    Use.WORK: lambda product, line: (
        sf.balance_line(product, line=line, limit_s=100, method=RULE).has_plan
    ),
    Use.PACE: lambda product, line: sf.line_pace(product, line).station_time_s is not None,
    Use.REACH: lambda product, line: bool(ways_to_reach(product)),
    Use.FLOW: line_is_counted,
    Use.OUTPUT: lambda product, line: output_is_told(product),
    Use.LIFTING: lambda product, line: lift_is_weighed(product),
    Use.COSTS: lambda product, line: parallel_lines(product)[0].cost_week is not None,
    Use.FAULTS: lambda product, line: bool(pareto(product, PLANS).rows),
    Use.DROPS: lambda product, line: quality_figures(product, PLANS).drops is not None,
}
"""Whether each thing is made of a product, or of a line of it; of the others tests stand below."""
RESTS_ON = {use: {use} for use in IS_MADE} | {
    Use.REACH: {Use.REACH, Use.PACE},
    Use.FLOW: {Use.FLOW, Use.WORK, Use.PACE},
    Use.OUTPUT: {Use.OUTPUT, Use.FLOW, Use.WORK, Use.PACE},
    Use.COSTS: {Use.COSTS, Use.FLOW, Use.WORK, Use.PACE},
}
"""What each thing is made from."""
OF_MAIN = {Use.REACH, Use.LIFTING, Use.COSTS}
"""What is made of the main line alone: no value of a feeder stops it."""


IN_SHORT = frozenset({Use.WORK, Use.PACE, Use.FLOW})
"""What is looked at where a cell is stopped in the same way as that of a folder."""


def stopped_uses(product: Product, line: str, looked_at: Collection[Use] = IS_MADE) -> set[Use]:
    """Return what cannot be made of a product and a line of it."""
    return {use for use in looked_at if not IS_MADE[use](product, line)}


def expected_stops(
    table: Table, column: Column, line: str, looked_at: Collection[Use] = IS_MADE
) -> set[Use]:
    """Return what is stopped by a value in whose column the schema says what is made from it."""
    named = set(table.uses_of(column))
    stopped = {use for use in looked_at if RESTS_ON[use] & named}
    return stopped - OF_MAIN if line == "board" else stopped


@pytest.mark.parametrize("line", ["main", "board"])
def test_the_full_product_stops_nothing(line: str):
    assert stopped_uses(FULL, line) == set()


@pytest.mark.parametrize(("table", "column"), CELLS, ids=lambda it: it.name)
def test_a_cell_of_a_folder_that_cannot_be_read_stops_what_is_made_from_it(
    tmp_path: Path, table: Table, column: Column
):
    read = spoilt_folder(tmp_path, table, column)
    line = "board" if table.name in OF_FEEDER else "main"
    assert stopped_uses(read.product, line) == expected_stops(table, column, line)


@pytest.mark.parametrize(("table", "column"), CELLS, ids=lambda it: it.name)
def test_a_cell_that_cannot_be_read_is_an_error_with_its_text(
    tmp_path: Path, table: Table, column: Column
):
    read = spoilt_folder(tmp_path, table, column)
    assert [f.code for f in read.findings if has_errors([f]) and NEVER in f.message] == [
        "value-not-read"
    ]


@pytest.mark.parametrize(("table", "column"), CELLS, ids=lambda it: it.name)
def test_a_sheet_of_a_workbook_stops_the_same_as_the_table_of_a_folder(
    table: Table, column: Column
):
    product = read_workbook(spoilt_workbook(table, column)).product
    line = "board" if table.name in OF_FEEDER else "main"
    expected = expected_stops(table, column, line, IN_SHORT)
    assert stopped_uses(product, line, IN_SHORT) == expected


@pytest.mark.parametrize("use", Use)
def test_whoever_makes_a_thing_asks_whether_all_of_it_was_read(use: Use):
    asking = [p for p in PACKAGE.rglob("*.py") if "model" not in p.relative_to(PACKAGE).parts]
    assert any(f"Use.{use.name}" in path.read_text("utf-8") for path in asking)


def test_a_column_of_which_nobody_says_what_is_made_from_it_is_refused():
    silent = Column("mass_kg", Kind.NUMBER)
    with pytest.raises(ValueError, match="mass_kg"):
        Table(name="t", title="T", record=Lift, columns=(silent,), about="", path="t")


COST = (TABLE["equipment"], TABLE["equipment"].column("cost"))
CHEAPEST = {"limit_s": 100, "method": RULE, "then": (FinerGoal.LEAST_EQUIPMENT,)}


def test_the_cheapest_equipment_is_not_looked_for_without_its_prices(tmp_path: Path):
    read = spoilt_folder(tmp_path, *COST)
    refused = sf.balance_line(read.product, **CHEAPEST)
    assert (refused.has_plan, [f.where for f in refused.findings if NEVER in f.message]) == (
        False,
        ["equipment.csv, row 2, column cost"],
    )
    assert sf.balance_line(FULL, **CHEAPEST).has_plan


def test_all_lines_at_once_are_balanced_only_where_it_was_read_which_may_do_a_task(tmp_path: Path):
    path = write_folder(tmp_path, MOVABLE)
    settings = BalanceSettings(method=RULE)
    assert joint_balance(sf.read_product(path)[0], settings).has_plans
    tasks = path / "tasks.csv"
    tasks.write_text(tasks.read_text("utf-8").replace("other_lines", "other_line"), "utf-8")
    product, _ = sf.read_product(path)
    assert not joint_balance(product, settings).has_plans
    assert stopped_uses(product, "main", {Use.WORK, Use.PACE}) == set()


def test_fault_cards_are_not_made_without_a_fault_of_the_files(tmp_path: Path):
    read = spoilt_folder(tmp_path, TABLE["tally"], TABLE["tally"].column("count"))
    view = line_view_of(GatheredPlan(product=read.product, plan=PLANS))
    with pytest.raises(CardError, match=r"tally\.csv, row 2, column count"):
        fault_cards_pdf(view, "", Paper.A4, date(2026, 3, 2))


def test_the_form_of_the_drop_test_is_not_made_without_what_was_packed(tmp_path: Path):
    read = spoilt_folder(tmp_path, TABLE["packing"], TABLE["packing"].column("gross_kg"))
    view = line_view_of(GatheredPlan(product=read.product, plan=PLANS))
    with pytest.raises(CardError, match="gross_kg"):
        drop_record_pdf(view, "", Paper.A4, date(2026, 3, 2))


def test_reports_of_the_line_say_what_is_left_out_and_hold_no_output(tmp_path: Path):
    read = spoilt_folder(tmp_path, TABLE["machines"], TABLE["machines"].column("load_s"))
    view = line_view_of(GatheredPlan(product=read.product, plan=PLANS))
    nothing = simulate(read.product, PLANS)
    assert nothing.replications == 0
    made = recommendation_pdf(view, nothing, "", Paper.A4, date(2026, 3, 2))
    text = " ".join(pypdfium2.PdfDocument(made)[0].get_textpage().get_text_bounded().split())
    assert f"The output is left out: machines.csv, row 2, column load_s: '{NEVER}'" in text
    assert "Good units an hour - - -" in text  # by formula, simulated, limits
    assert "The line was not simulated." in text


QUANTITY = (TABLE["lines"], TABLE["lines"].column("quantity"))


def test_a_feeder_without_a_readable_quantity_has_no_limit(tmp_path: Path):
    # With the quantity of 2 it is 60 s / 2 = 30 s; taken as one it would be 60 s.
    assert sf.line_pace(FULL, "board").station_time_s == 30
    read = spoilt_folder(tmp_path, *QUANTITY, "4 pcs")
    assert sf.line_pace(read.product, "board").station_time_s is None


def test_the_line_a_feeder_joins_keeps_its_pace(tmp_path: Path):
    read = spoilt_folder(tmp_path, *QUANTITY, "4 pcs")
    assert sf.line_pace(read.product, "main").station_time_s == 60


def test_a_task_time_for_a_model_that_cannot_be_read_is_not_the_time_of_the_task(tmp_path: Path):
    read = spoilt_folder(tmp_path, TABLE["model_times"], TABLE["model_times"].column("time_s"))
    found = sf.balance_line(read.product, limit_s=100, method=RULE).findings
    assert "model_times.csv, row 2, column time_s" in [f.where for f in found]


def test_a_balance_of_another_line_goes_on(tmp_path: Path):
    read = spoilt_folder(tmp_path, TABLE["tasks"], TABLE["tasks"].column("time_s"))
    assert stopped_uses(read.product, "board", IN_SHORT) == set()


def test_a_way_to_reach_more_is_not_computed_without_its_numbers(tmp_path: Path):
    read = spoilt_folder(tmp_path, TABLE["reach"], TABLE["reach"].column("overtime_limit_h"))
    assert (bool(ways_to_reach(FULL)), ways_to_reach(read.product)) == (True, ())


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("model_times.csv", b"task,model,time_s\n10,A,\xff20\n"),
        ("model_times.csv", b"task,time_s\n10,20\n"),  # the model is missing
        ("model_times.csv", b"task,model,time\n10,A,20\n"),  # of what unit
        ("model_times.csv", b"task,model,time_s\n010,A,20\n"),  # 10, as the table of tasks says
        ("model_times.csv", b"task,model,time_s,time_s\n10,A,20,30\n"),
        ("model_times.csv", b"task,model,time_s\n10,A,20,30\n"),
        ("limits.csv", b"task,station\n10,1\n10,2\n"),
    ],
)
def test_a_table_that_is_not_read_whole_stops_the_balance(
    tmp_path: Path, name: str, content: bytes
):
    path = write_folder(tmp_path, FULL)
    (path / name).write_bytes(content)
    product, _ = sf.read_product(path)
    assert not sf.balance_line(product, limit_s=100, method=RULE).has_plan


@pytest.mark.parametrize(
    "text", ["= no TOML", "[[demand]]\nquantity = 1\n[[demand]]\nquantity=2\n"]
)
def test_a_header_that_is_not_read_whole_sets_no_pace(tmp_path: Path, text: str):
    path = write_folder(tmp_path, FULL)
    old = (path / "product.toml").read_text("utf-8")
    own = old.replace("[demand]", "[unheard_of]")
    (path / "product.toml").write_text(f"{own}\n{text}", "utf-8")
    product, findings = sf.read_product(path)
    assert sf.line_pace(product, "main").station_time_s is None
    assert has_errors(findings)


def opened_with_plan(folder: Path, name: str, column: str, text: str = NEVER) -> Opened:
    """Return the spoilt folder of FULL, with the plan in force that FULL had."""
    result = sf.balance_line(FULL, limit_s=100, method=RULE)
    path = folder / FULL.code
    table = TABLE[name]
    found = table.column(column)
    assert found is not None
    plan = Plan(product=FULL.code, result=result, in_force=True)
    spoilt_folder(folder, table, found, text)
    product, _ = sf.read_product(path)
    plan = replace(plan, inputs=plan_inputs_checksum(product, "main"))
    (path / "plans" / "001.json").write_text(PLAN.to_json(plan), "utf-8")
    return open_source(str(path))


def cards_of(opened: Opened) -> bytes | None:
    """Return the cards of the main line as a web page."""
    on = date(2026, 3, 2)
    made = print_cards(opened, line=None, plan=None, kind=FileKind.HTML, on=on)
    return made[0]


@pytest.mark.parametrize(
    ("table", "column"),
    [
        ("part_uses", "quantity"),
        ("demand", "yield_share"),
        ("limits", "lift_kg"),
        ("lifts", "from_reach_mm"),  # by which a card asks for two persons
    ],
)
def test_cards_are_not_printed_without_what_stands_on_them(tmp_path: Path, table: str, column: str):
    assert cards_of(opened_with_plan(tmp_path, table, column)) is None


@pytest.mark.parametrize(("table", "column"), [("tasks", "remark"), ("tasks", "time_source")])
def test_a_remark_that_cannot_be_read_stops_nothing(tmp_path: Path, table: str, column: str):
    opened = opened_with_plan(tmp_path, table, column, "x" * 50_000)  # longer than is read
    assert has_errors(opened.findings)
    assert cards_of(opened) is not None
    assert curve_of(opened, "main", CurveSettings(seconds=1)).curve is not None


@pytest.mark.parametrize("what", [What.TASKS, What.MATRIX, What.STATIONS, What.ASSIGNMENT])
def test_no_table_is_written_with_a_usual_value_for_what_was_not_read(tmp_path: Path, what: What):
    opened = opened_with_plan(tmp_path, "tasks", "time_s")
    made = export_opened(opened, what, line="main", plan=None, ending="csv")
    assert (made[0], has_errors(made[1])) == (None, True)


def stored(tmp_path: Path, store: Store, table: Table, column: Column, text: str = NEVER) -> Draft:
    """Return the draft that the spoilt folder becomes."""
    spoilt_folder(tmp_path, table, column, text)
    return import_product(store, tmp_path / FULL.code, **ANA).draft


def is_lost_without(table: Table, column: Column) -> bool:
    """Return whether a row without this column is no record."""
    return column.is_required or column.name in (table.parent, *table.keys)


VALUES = [(t, c) for t, c in CELLS if (t.keys or t.is_single) and not is_lost_without(t, c)]


@pytest.mark.parametrize(("table", "column"), VALUES, ids=lambda it: it.name)
def test_a_value_that_cannot_be_read_stays_open_in_a_draft_and_stops_the_same(
    tmp_path: Path, store, table: Table, column: Column
):
    product = stored(tmp_path, store, table, column).product
    line = "board" if table.name in OF_FEEDER else "main"
    expected = expected_stops(table, column, line, IN_SHORT)
    assert stopped_uses(product, line, IN_SHORT) == expected


@pytest.mark.parametrize(("table", "column"), VALUES, ids=lambda it: it.name)
def test_a_draft_written_to_a_folder_and_read_again_has_the_same_open(
    tmp_path: Path, store, table: Table, column: Column
):
    product = stored(tmp_path, store, table, column).product
    write_product_folder(tmp_path / "again", product, {})
    again, _ = sf.read_product(tmp_path / "again")
    assert [u.cell for u in again.unread] == [u.cell for u in product.unread] != []


@pytest.mark.parametrize(("table", "column"), VALUES, ids=lambda it: it.name)
def test_a_draft_written_to_a_workbook_and_read_again_has_the_same_open(
    tmp_path: Path, store, table: Table, column: Column
):
    draft = stored(tmp_path, store, table, column)
    again = read_workbook(export_workbook(store, draft.product.code)).product
    assert [u.cell for u in again.unread] == [u.cell for u in draft.product.unread] != []


def test_the_draft_has_an_error_with_the_place_in_the_product(tmp_path: Path, store):
    draft = stored(tmp_path, store, *QUANTITY, "4 pcs")
    errors = [f for f in check_product(draft.product) if f.severity == Severity.ERROR]
    (found,) = [f for f in errors if f.code == "value-not-read"]
    assert (found.where, "'4 pcs' was not read" in found.message) == ("Line board, quantity", True)


def with_quantity(product: Product, quantity: int) -> Product:
    lines = (replace(n, quantity=quantity) if n.name == "board" else n for n in product.lines)
    return replace(product, lines=tuple(lines))


def test_a_value_that_is_entered_is_cured(tmp_path: Path, store):
    # 4 sets from each unit of 60 s: 15 s
    base = stored(tmp_path, store, *QUANTITY, "4 pcs")
    saved = save_edit(store, with_quantity(base.product, 4), base=base, **ANA).draft.product
    assert (saved.unread, sf.line_pace(saved, "board").station_time_s) == ((), 15)


def test_what_was_not_entered_stays_open_beside_another_edit(tmp_path: Path, store):
    base = stored(tmp_path, store, *QUANTITY, "4 pcs")
    saved = save_edit(store, replace(base.product, name="Other"), base=base, **ANA).draft.product
    assert saved.unread == base.product.unread


def test_an_open_value_goes_with_its_record_to_a_new_name(tmp_path: Path, store):
    base = stored(tmp_path, store, TABLE["tasks"], TABLE["tasks"].column("time_s"))
    (was,) = base.product.unread
    number = was.of_task
    tasks = tuple(replace(t, number="N1") if t.number == number else t for t in base.product.tasks)
    saved = save_edit(store, replace(base.product, tasks=tasks), base=base, **ANA).draft.product
    assert [(u.of_task, u.cell.key) for u in saved.unread] == [("N1", ("N1",))]


def test_an_open_value_goes_with_the_record_that_is_taken_out(tmp_path: Path, store):
    base = stored(tmp_path, store, *QUANTITY, "4 pcs")
    lines = tuple(line for line in base.product.lines if line.name != "board")
    saved = save_edit(store, replace(base.product, lines=lines), base=base, **ANA).draft.product
    assert saved.unread == ()


def test_undo_of_the_entry_leaves_the_value_open_again(tmp_path: Path, store):
    base = stored(tmp_path, store, *QUANTITY, "4 pcs")
    saved = save_edit(store, with_quantity(base.product, 4), base=base, **ANA).draft
    earlier = store.saved_product(saved.product.code, base.checksum)
    assert earlier.unread == base.product.unread


def test_what_either_of_two_editors_entered_is_cured(tmp_path: Path, store):
    base = stored(tmp_path, store, *QUANTITY, "4 pcs")
    save_edit(store, with_quantity(base.product, 4), base=base, **ANA)
    saved = save_edit(store, replace(base.product, name="Other"), base=base, **ANA).draft.product
    assert (saved.unread, saved.name, saved.line("board").quantity) == ((), "Other", 4)


def test_a_value_that_is_right_as_it_stands_is_said_to_be(tmp_path: Path, store):
    base = stored(tmp_path, store, *QUANTITY, "1 pcs")
    said = kept_as_it_stands(base.product, base.product.unread[0])
    saved = save_edit(store, said, base=base, **ANA).draft.product
    assert (saved.unread, sf.line_pace(saved, "board").station_time_s) == ((), 60)


def test_a_folder_in_which_a_row_is_lost_does_not_come_into_the_store(tmp_path: Path, store):
    path = write_folder(tmp_path, FULL)
    (path / "model_times.csv").write_bytes(b"task,model,time_s\n010,A,20\n")
    with pytest.raises(SourceError, match="There is no task '010'"):
        import_product(store, path, **ANA)


def test_a_workbook_with_what_cannot_be_read_comes_into_the_store(store):
    content = spoilt_workbook(*QUANTITY, "4 pcs")
    (unread,) = import_workbook(store, content, **ANA).draft.product.unread
    assert unread.of_line == "board"
