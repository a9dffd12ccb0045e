"""Tables and load charts that go out. The values are worked out by hand from the small products.

The lamp on three stations: 10 and 20 take 30 + 25 = 55 s, 30 and 40 take 35 + 20 = 55 s, 50 takes
40 s; at a limit of 60 s they are idle for 5 s, 5 s and 20 s.
"""

import re
import sys
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from small_plans import answer, changed, station
from small_products import BOARD_LAMP, BROKEN, EMPTY, LAMP

from stationflow.actions.showing import exporting
from stationflow.actions.showing.exporting import (
    PLAN_TABLES,
    What,
    file_name,
    plan_chart,
    plan_tables,
    product_tables,
    table_csv,
    tables_xlsx,
)
from stationflow.balancing.load_rows import load_chart_rows
from stationflow.balancing.work import balanced_times
from stationflow.drawing.charts.load_chart import load_chart
from stationflow.files.csv_text import read_csv
from stationflow.files.exports.exported_tables import matrix_table
from stationflow.files.product.table_reading import Found, read_table
from stationflow.model import (
    Ending,
    Plan,
    Product,
    warning,
)
from stationflow.model.schema.tables import TABLE
from stationflow.units import TimeUnit

RESULT = answer(
    station(1, ("10", "20"), 55.0),
    station(2, ("30", "40"), 55.0),
    station(3, ("50",), 40.0),
    limit=60.0,
    ending=Ending.OPTIMAL,
)
PLAN = Plan(product="L-100", result=RESULT, name="by hand")
IN_CENTIMINUTES = replace(LAMP, time_unit=TimeUnit.CENTIMINUTE)


def column(what: What, heading: str, product: Product = LAMP) -> list[object]:
    """Return what stands below one heading."""
    if what in PLAN_TABLES:
        table = plan_tables(PLAN, product)[what]
    else:
        table = product_tables(product, what)
    place = [c.heading for c in table.columns].index(heading)
    return [row[place] for row in table.rows]


def test_stations_are_exported_with_their_loads():
    assert column(What.STATIONS, "Load (s)") == [55, 55, 40]


def test_idle_time_is_what_the_limit_leaves():
    assert column(What.STATIONS, "Idle (s)") == [5, 5, 20]


def test_a_station_over_the_limit_is_exported_with_how_far():
    plan = replace(PLAN, result=changed(RESULT, limit=50.0))
    table = plan_tables(plan, LAMP)[What.STATIONS]
    place = [c.title for c in table.columns].index("Over")
    assert [row[place] for row in table.rows] == [5, 5, 0]


def test_loads_are_exported_in_the_unit_shown():
    # 55 s / 0.6 s = 91.666667 hundredths of a minute; 40 s / 0.6 s = 66.666667.
    assert column(What.STATIONS, "Load (1/100 min)", IN_CENTIMINUTES) == pytest.approx(
        [91.666667, 91.666667, 66.666667]
    )


def test_without_a_takt_the_cycle_time_is_the_limit():
    plan = replace(PLAN, result=changed(RESULT, limit=None, stations=3))
    table = plan_tables(plan, LAMP)[What.STATIONS]
    place = [c.heading for c in table.columns].index("Cycle time (s)")
    assert {row[place] for row in table.rows} == {55.0}


def test_tasks_of_a_station_stand_in_the_order_of_work():
    assert column(What.STATIONS, "Tasks") == ["10; 20", "30; 40", "50"]


def test_the_assignment_says_when_each_task_begins():
    assert column(What.ASSIGNMENT, "Begins at (s)") == [0, 30, 0, 35, 0]


def test_the_assignment_has_one_row_for_each_task():
    assert column(What.ASSIGNMENT, "Task") == ["10", "20", "30", "40", "50"]


def test_numbers_of_a_plan_stand_with_their_values():
    # Work content 150 s over three stations of 60 s: 150 / 180.
    values = dict(zip(column(What.NUMBERS, "Number"), column(What.NUMBERS, "Value"), strict=True))
    assert values["balance efficiency on the limit"] == pytest.approx(150 / 180)


@pytest.mark.parametrize("unit", TimeUnit)
def test_exported_tasks_are_read_back_with_the_same_times(unit: TimeUnit):
    table = product_tables(replace(LAMP, time_unit=unit), What.TASKS)
    rows = read_table(TABLE["tasks"], read_csv(table_csv(table)), "tasks.csv", Found())
    assert [row.values["time_ms"] for row in rows] == [30_000, 25_000, 35_000, 20_000, 40_000]


def test_every_heading_of_exported_tasks_is_known_to_the_reader():
    found = Found()
    list(
        read_table(TABLE["tasks"], read_csv(table_csv(product_tables(LAMP, What.TASKS))), "", found)
    )
    assert [f for f in found.findings if f.code != "time-rounded"] == []


def test_tasks_of_one_line_are_exported_alone():
    rows = product_tables(BOARD_LAMP, What.TASKS, "board").rows
    assert [row[0] for row in rows] == ["b1", "b2", "b3"]


def test_parts_are_exported_with_the_tasks_that_fit_them():
    assert column(What.PARTS, "Fitted by") == ["10"]


def test_parts_are_exported_with_the_quantity_the_tasks_fit():
    assert column(What.PARTS, "Fitted by the tasks") == [1.0]


def test_the_matrix_has_a_one_where_a_task_comes_directly_before():
    # 10 before 20 and 30; 20 and 30 before 40; 40 before 50.
    assert product_tables(LAMP, What.MATRIX).rows == (
        ("10", 0, 1, 1, 0, 0),
        ("20", 0, 0, 0, 1, 0),
        ("30", 0, 0, 0, 1, 0),
        ("40", 0, 0, 0, 0, 1),
        ("50", 0, 0, 0, 0, 0),
    )


def test_the_pace_is_exported_with_its_takt_time():
    # 28 800 s a day for 480 good units.
    values = dict(zip(column(What.PACE, "Number"), column(What.PACE, "Value"), strict=True))
    assert values["takt time"] == 60


def test_findings_are_exported_with_what_to_do():
    assert column(What.FINDINGS, "Code", BROKEN).count("precedence-circle") == 1


def test_what_is_said_of_a_plan_now_is_among_its_findings():
    late = warning("plan-out-of-date", "Plan", "The product changed.")
    table = plan_tables(PLAN, LAMP, [late])[What.FINDINGS]
    assert [row[-1] for row in table.rows] == ["plan-out-of-date"]


def test_a_table_of_a_plan_is_not_made_of_a_product():
    with pytest.raises(ValueError, match="needs a plan"):
        product_tables(LAMP, What.STATIONS)


@pytest.mark.parametrize("product", [BROKEN, EMPTY, BOARD_LAMP], ids=lambda p: p.code)
@pytest.mark.parametrize("what", [w for w in What if w not in PLAN_TABLES])
def test_every_table_of_a_draft_can_be_written(product: Product, what: What):
    assert tables_xlsx([product_tables(product, what)])


@pytest.mark.parametrize(
    ("words", "name"),
    [
        (("AP 200/b", "main"), "AP-200-b-main.svg"),
        (("../../etc", "x"), "etc-x.svg"),
        (("漢字", ""), "漢字.svg"),
        (("...",), "stationflow.svg"),
        (("x" * 300,), "x" * 120 + ".svg"),
    ],
)
def test_a_file_name_is_one_that_every_system_holds(words: tuple[str, ...], name: str):
    assert file_name(*words, ending="svg") == name


SAID = re.compile(r"Station (\d+), task (\S+) .*, ([\d.]+) (?:s|1/100 min)$")
"""What a bar of the load chart says: station, task, time."""


def bars(product: Product = LAMP) -> list[tuple[int, float, float]]:
    """Return station, time and height in pixels of each task in the load chart."""
    drawn = ElementTree.fromstring(plan_chart(PLAN, product, "svg"))
    told = [(SAID.match(part.get("aria-label", "")), part.get("d", "")) for part in drawn.iter()]
    return [
        (int(said[1]), float(said[3]), float(re.search(r"v(-?[\d.]+)", path)[1]))
        for said, path in told
        if said
    ]


def test_the_chart_of_a_file_is_the_chart_of_the_page(monkeypatch):
    drawn = []
    monkeypatch.setattr(exporting, "chart_file", lambda spec, *_: drawn.append(spec) or b"")
    plan_chart(PLAN, LAMP, "svg")
    times, names = balanced_times(LAMP, "main"), {t.number: t.name for t in LAMP.tasks}
    rows = load_chart_rows(PLAN.result, times, names)
    page = load_chart(rows, PLAN.result.limit, LAMP.time_unit, title=PLAN.name)
    assert drawn == [page]


def test_times_in_the_load_chart_add_up_to_the_loads_of_the_plan():
    loads = {1: 0.0, 2: 0.0, 3: 0.0}
    for number, time, _ in bars():
        loads[number] += time
    assert loads == {1: 55, 2: 55, 3: 40}


def test_bars_in_the_load_chart_are_as_high_as_their_times():
    heights = [height for _, _, height in bars()]
    times = [30, 25, 35, 20, 40]
    assert [h / heights[0] for h in heights] == pytest.approx([t / 30 for t in times], rel=1e-3)


def test_the_load_chart_stands_in_the_unit_shown():
    times = [time for _, time, _ in bars(IN_CENTIMINUTES)]  # to a tenth of 1/100 min
    assert times == pytest.approx([50, 41.67, 58.33, 33.33, 66.67], abs=0.05)


@pytest.mark.parametrize("write", [table_csv, lambda table: tables_xlsx([table])])
def test_a_matrix_takes_fewer_steps_than_it_has_cells(write):
    # 300 tasks, each after the one before it: 90,000 cells, of which 299 hold a mark.
    before = ((), *((f"{n}",) for n in range(299)))
    steps = 0

    def count(_frame: object, event: str, _arg: object) -> None:
        nonlocal steps
        steps += event == "call"

    was = sys.getprofile()
    sys.setprofile(count)
    try:
        write(matrix_table([f"{n}" for n in range(300)], before))
    finally:
        sys.setprofile(was)
    assert steps < 90_000
